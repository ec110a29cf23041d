//! What was learnt, as a page.

use tarehand_protocol::api::{LearntKind, LearntLine, LearntList, LearntWord};

use super::{Column, Width, shown, table};

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
pub(crate) fn learnt_page(list: &LearntList, width: Width) -> String {
    let told = |kind: &&LearntKind| !kind.lines.is_empty() || !kind.on;
    let kinds = list.kinds.iter().filter(told);
    let kinds: Vec<String> = kinds.map(|kind| kind_page(kind, width)).collect();
    if kinds.is_empty() {
        return "nothing is learnt yet: what batches on a scale show comes here by itself"
            .to_owned();
    }
    kinds.join("\n\n")
}

fn kind_page(kind: &LearntKind, width: Width) -> String {
    let off = if kind.on { "" } else { "; off" };
    let head = format!("{}: {}{off}", learnt_word(kind.kind), shown(&kind.used_in));
    let rows: Vec<Vec<String>> = kind.lines.iter().map(|line| row(kind.kind, line)).collect();
    if rows.is_empty() {
        return head;
    }
    let (words, right) = (Column::Prose, Column::Right);
    let lines = table(&[words, right, right, words], &rows, width);
    let better = kind.lines.iter().filter(|line| line.better);
    let commands = better.filter_map(|line| command(kind.kind, line));
    let commands = commands.map(|command| format!("\n  to count with it: {command}"));
    format!("{head}\n{lines}{}", commands.collect::<String>())
}

/// The command that takes over what was learnt. A drop's or a spoon's weight says what every recipe means that counts
/// them, so it is the person who writes it down.
fn command(kind: LearntWord, line: &LearntLine) -> Option<String> {
    let (what, count) = match kind {
        LearntWord::Drop => ("drop", 100),
        LearntWord::Teaspoon => ("spoon", 10),
        _ => return None,
    };
    let weight = line.value * f64::from(count);
    let key = shown(&line.of);
    Some(format!(
        "tarehand shelf measure {key} {what} --count {count} --weight {weight:.2}g"
    ))
}

fn row(kind: LearntWord, line: &LearntLine) -> Vec<String> {
    // By the key it is forgotten, so that stands there too.
    let of = match (line.of.as_str(), &line.name) {
        ("", _) => "all mixes".to_owned(),
        (key, Some(name)) => format!("{} ({})", shown(name), shown(key)),
        (key, None) => shown(key).into_owned(),
    };
    let of = match &line.hand {
        Some(hand) => format!("{of}, {}", shown(hand)),
        None => of,
    };
    let runs = match line.runs {
        1 => "1 run".to_owned(),
        runs => format!("{runs} runs"),
    };
    vec![of, figure(kind, line), runs, standing(kind, line)]
}

/// The estimate and its spread; of a stop lead also to which side.
fn figure(kind: LearntWord, line: &LearntLine) -> String {
    let (unit, spread) = (shown(&line.unit), line.spread);
    let (value, side) = match kind {
        LearntWord::StopLead if line.value < 0.0 => (-line.value, " later"),
        LearntWord::StopLead => (line.value, " earlier"),
        _ => (line.value, ""),
    };
    let decimals = match value.abs() {
        large if 10.0 <= large => 1,
        middle if 0.1 <= middle => 2,
        _ => 4,
    };
    format!("{value:.decimals$} ± {spread:.decimals$} {unit}{side}")
}

fn standing(kind: LearntWord, line: &LearntLine) -> String {
    let Some(default) = line.default else {
        return "only shown".to_owned();
    };
    let default = match kind {
        LearntWord::StopLead => "the flow alone".to_owned(),
        _ => format!("{default} {}", shown(&line.unit)),
    };
    let used = if line.used { "used: " } else { "" };
    match line.misses_percent {
        Some(percent) => format!("{used}misses by {percent} % of what {default} does"),
        None => format!("not better than {default} so far"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(of: &str, value: f64, default: Option<f64>, misses: Option<f64>) -> LearntLine {
        LearntLine {
            of: of.to_owned(),
            name: None,
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
            used_in: match kind {
                LearntWord::StopLead => "when stop is said".to_owned(),
                _ => "advice".to_owned(),
            },
            lines,
        }
    }

    #[test]
    fn the_page_says_what_was_learnt_and_what_it_is_worth() {
        let mut hers = line("chalk-white", -0.21, Some(0.0), None);
        hers.hand = Some("noor".to_owned());
        hers.runs = 1;
        hers.name = Some("Chalk white".to_owned());
        let leads = vec![line("gloss", 0.42, Some(0.0), Some(38.0)), hers];
        let drop = LearntLine {
            unit: "g".to_owned(),
            used: false,
            ..line("levelling-drops", 0.0404, Some(0.031), Some(22.0))
        };
        let stick = LearntLine {
            unit: "g".to_owned(),
            ..line("", 1.25, None, None)
        };
        let list = LearntList {
            kinds: vec![
                kind(LearntWord::StopLead, true, leads),
                kind(LearntWord::Drop, true, vec![drop]),
                kind(LearntWord::Teaspoon, true, Vec::new()),
                kind(LearntWord::Thinner, false, Vec::new()),
                kind(LearntWord::Stick, true, vec![stick]),
            ],
        };
        insta::assert_snapshot!(learnt_page(&list, Width::Full), @r"
        stop-lead: when stop is said
          gloss                            0.42 ± 0.04 s earlier  6 runs  used: misses by 38 % of what the flow alone does
          Chalk white (chalk-white), noor    0.21 ± 0.02 s later   1 run  not better than the flow alone so far

        drop: advice
          levelling-drops  0.0404 ± 0.0040 g  6 runs  misses by 22 % of what 0.031 g does
          to count with it: tarehand shelf measure levelling-drops drop --count 100 --weight 4.04g

        thinner: advice; off

        stick: advice
          all mixes  1.25 ± 0.12 g  6 runs  only shown
        ");
    }

    #[test]
    fn what_was_learnt_has_room_on_usual_and_narrow_terminals() {
        let mut hers = line("chalk-white", -0.21, Some(0.0), None);
        hers.hand = Some("noor".to_owned());
        let leads = vec![line("chalk-white", 0.42, Some(0.0), Some(38.0)), hers];
        let list = LearntList {
            kinds: vec![kind(LearntWord::StopLead, true, leads)],
        };
        insta::assert_snapshot!(learnt_page(&list, Width::Columns(80)), @r"
        stop-lead: when stop is said
          chalk-white        0.42 ± 0.04 s earlier  6 runs  used: misses by 38 % of what
                                                            the flow alone does
          chalk-white, noor    0.21 ± 0.02 s later  6 runs  not better than the flow
                                                            alone so far
        ");
        insta::assert_snapshot!(learnt_page(&list, Width::Columns(40)), @r"
        stop-lead: when stop is said
          chalk-white
              0.42 ± 0.04 s earlier  6 runs
              used: misses by 38 % of what the
              flow alone does
          chalk-white, noor
                0.21 ± 0.02 s later  6 runs
              not better than the flow alone so
              far
        ");
    }

    #[test]
    fn a_new_bench_says_that_it_will_learn() {
        let list = LearntList { kinds: Vec::new() };
        assert!(learnt_page(&list, Width::Full).starts_with("nothing is learnt yet"));
    }
}
