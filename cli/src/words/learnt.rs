//! What was learnt, as a page.

use tarehand_protocol::api::{LearntKind, LearntLine, LearntList, LearntWord};

use super::{Column, shown, table};

/// Returns a kind as one word, as it is typed.
pub(crate) const fn learnt_word(kind: LearntWord) -> &'static str {
    match kind {
        LearntWord::StopLead => "stop-lead",
        LearntWord::Drop => "drop",
        LearntWord::Teaspoon => "teaspoon",
        LearntWord::Tablespoon => "tablespoon",
        LearntWord::Thinner => "thinner",
        LearntWord::Stick => "stick",
        LearntWord::Yield => "yield",
    }
}

/// Writes what was learnt as a page: each kind of which something is known, or that is off.
pub(crate) fn learnt_page(list: &LearntList) -> String {
    let told = |kind: &&LearntKind| !kind.lines.is_empty() || !kind.on;
    let kinds: Vec<String> = list.kinds.iter().filter(told).map(kind_page).collect();
    if kinds.is_empty() {
        return "nothing is learnt yet: what batches on a scale show comes here by itself"
            .to_owned();
    }
    kinds.join("\n\n")
}

fn kind_page(kind: &LearntKind) -> String {
    let off = if kind.on { "" } else { "; off" };
    let head = format!("{}: {}{off}", learnt_word(kind.kind), shown(&kind.used_in));
    let rows: Vec<Vec<String>> = kind.lines.iter().map(row).collect();
    if rows.is_empty() {
        return head;
    }
    let (left, right) = (Column::Left, Column::Right);
    format!("{head}\n{}", table(&[left, right, right, left], &rows))
}

fn row(line: &LearntLine) -> Vec<String> {
    let of = match line.of.as_str() {
        "" => "all mixes".to_owned(),
        of => shown(of).into_owned(),
    };
    let of = match &line.hand {
        Some(hand) => format!("{of}, {}", shown(hand)),
        None => of,
    };
    let runs = match line.runs {
        1 => "1 run".to_owned(),
        runs => format!("{runs} runs"),
    };
    vec![of, figure(line), runs, standing(line)]
}

/// A time with its sign: it is said by so much earlier, or later.
fn figure(line: &LearntLine) -> String {
    let unit = shown(&line.unit);
    let (value, spread) = (line.value, line.spread);
    let decimals = match value.abs() {
        large if 10.0 <= large => 1,
        middle if 0.1 <= middle => 2,
        _ => 4,
    };
    format!("{value:.decimals$} ± {spread:.decimals$} {unit}")
}

fn standing(line: &LearntLine) -> String {
    match (line.default, line.misses_percent) {
        (None, _) => "only shown".to_owned(),
        (Some(default), Some(percent)) => {
            let used = if line.used { "used: " } else { "" };
            let unit = shown(&line.unit);
            format!("{used}misses {percent} % of what {default} {unit} would")
        }
        (Some(default), None) => {
            let unit = shown(&line.unit);
            format!("not better than {default} {unit} so far")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(of: &str, value: f64, default: Option<f64>, misses: Option<f64>) -> LearntLine {
        LearntLine {
            of: of.to_owned(),
            hand: None,
            value,
            spread: value.abs() / 10.0,
            unit: "s".to_owned(),
            runs: 6,
            default,
            better: misses.is_some(),
            misses_percent: misses,
            used: misses.is_some(),
        }
    }

    fn kind(kind: LearntWord, on: bool, lines: Vec<LearntLine>) -> LearntKind {
        LearntKind {
            kind,
            on,
            used_in: "when stop is said".to_owned(),
            lines,
        }
    }

    #[test]
    fn the_page_says_what_was_learnt_and_what_it_is_worth() {
        let mut hers = line("chalk-white", -0.21, Some(0.0), None);
        hers.hand = Some("noor".to_owned());
        hers.runs = 1;
        let leads = vec![line("chalk-white", 0.42, Some(0.0), Some(38.0)), hers];
        let stick = LearntLine {
            unit: "g".to_owned(),
            ..line("", 1.25, None, None)
        };
        let list = LearntList {
            kinds: vec![
                kind(LearntWord::StopLead, true, leads),
                kind(LearntWord::Drop, true, Vec::new()),
                kind(LearntWord::Thinner, false, Vec::new()),
                kind(LearntWord::Stick, true, vec![stick]),
            ],
        };
        insta::assert_snapshot!(learnt_page(&list), @"");
    }

    #[test]
    fn a_new_bench_says_that_it_will_learn() {
        let list = LearntList { kinds: Vec::new() };
        assert!(learnt_page(&list).starts_with("nothing is learnt yet"));
    }
}
