//! What a misspelt word might have meant.

/// Words longer than this are no slips of the finger, and comparing them takes long.
const LONGEST: usize = 48;

/// Returns the candidate that is `word` but for a slip or two, if there is one.
pub(crate) fn nearest<'a>(
    word: &str,
    candidates: impl IntoIterator<Item = &'a str>,
) -> Option<&'a str> {
    if LONGEST < word.len() {
        return None;
    }
    let folded = fold(word);
    let allowed = match folded.chars().count() {
        0 => return None,
        1..=2 => 1,
        3..=5 => 2,
        letters => letters / 3,
    };
    candidates
        .into_iter()
        .filter(|candidate| candidate.len() <= LONGEST && *candidate != word)
        .map(|candidate| (strsim::osa_distance(&folded, &fold(candidate)), candidate))
        .filter(|&(distance, candidate)| {
            distance <= allowed && distance < candidate.chars().count()
        })
        .min()
        .map(|(_, candidate)| candidate)
}

/// Case and word marks are the commonest slips, so they cost nothing.
fn fold(word: &str) -> String {
    word.to_lowercase().replace(['_', ' '], "-")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(word: &str, expect: Option<&str>) {
        assert_eq!(
            nearest(word, ["amount", "within", "note", "at_most", "rest"]),
            expect,
            "{word}"
        );
    }

    #[test]
    fn a_slip_finds_the_word_that_was_meant() {
        check("ammount", Some("amount"));
        check("wihtin", Some("within"));
        check("At Most", Some("at_most"));
    }

    #[test]
    fn another_word_altogether_finds_nothing() {
        check("temperature", None);
        check("", None);
        check(&"a".repeat(10_000), None);
    }
}
