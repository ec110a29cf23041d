//! Lines of text cut into numbers, words and what stands between, and a pattern made of them.

use std::fmt::Write as _;

use crate::mass::MassUnit;

/// A part of a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Part {
    /// Sign, digits, mark and decimals, and blanks between the sign and the digits.
    Number {
        sign: Option<char>,
        whole: String,
        decimals: Option<(char, String)>,
    },
    /// Letters, or one other character.
    Word(String),
    Blank,
}

pub(super) fn parts(line: &str) -> Vec<Part> {
    let letters: Vec<char> = line.chars().collect();
    let mut parts = Vec::new();
    let mut at = 0;
    let digit = |at: usize| letters.get(at).is_some_and(char::is_ascii_digit);
    let run = |from: usize, holds: fn(&char) -> bool| {
        letters
            .iter()
            .skip(from)
            .take_while(|&letter| holds(letter))
            .count()
    };
    let text =
        |from: usize, count: usize| letters.iter().skip(from).take(count).collect::<String>();
    while let Some(&letter) = letters.get(at) {
        let signed = matches!(letter, '+' | '-');
        let digits_at = at + usize::from(signed);
        let digits_at = digits_at
            + if signed {
                run(digits_at, |letter| *letter == ' ')
            } else {
                0
            };
        if digit(digits_at) {
            let whole = run(digits_at, char::is_ascii_digit);
            let mark = letters.get(digits_at + whole).copied();
            let part = match mark {
                Some('.' | ',') if digit(digits_at + whole + 1) => {
                    run(digits_at + whole + 1, char::is_ascii_digit)
                }
                _ => 0,
            };
            parts.push(Part::Number {
                sign: signed.then_some(letter),
                whole: text(digits_at, whole),
                decimals: mark
                    .filter(|_| part != 0)
                    .map(|mark| (mark, text(digits_at + whole + 1, part))),
            });
            at = digits_at + whole + if part == 0 { 0 } else { part + 1 };
        } else if letter.is_ascii_alphabetic() {
            let count = run(at, char::is_ascii_alphabetic);
            parts.push(Part::Word(text(at, count)));
            at += count;
        } else if letter == ' ' || letter == '\t' {
            at += run(at, |letter| matches!(letter, ' ' | '\t'));
            parts.push(Part::Blank);
        } else {
            parts.push(Part::Word(letter.to_string()));
            at += 1;
        }
    }
    parts
}

/// Returns a number as it is told, its mark left out where it has none.
pub(super) fn value(part: &Part) -> Option<f64> {
    let Part::Number {
        sign,
        whole,
        decimals,
    } = part
    else {
        return None;
    };
    let text = match decimals {
        Some((_, decimals)) => format!("{whole}.{decimals}"),
        None => whole.clone(),
    };
    let size: f64 = text.parse().ok()?;
    Some(if *sign == Some('-') { -size } else { size })
}

/// Which kinds of parts follow each other, by which lines are alike.
pub(super) fn kinds(parts: &[Part]) -> String {
    parts
        .iter()
        .map(|part| match part {
            Part::Number { decimals: None, .. } => 'n',
            Part::Number { .. } => 'd',
            Part::Word(_) => 'w',
            Part::Blank => ' ',
        })
        .collect()
}

/// A word of a line and what it was seen to go with.
pub(super) struct Told<'a> {
    /// Words that stood only while the weight moved.
    pub(super) moving: &'a [String],
    /// Words that stood only while it was still, where another one stood while it moved.
    pub(super) stable: &'a [String],
}

/// Makes the pattern of lines that are alike, of which the number at `weight` is the weight.
pub(super) fn pattern(lines: &[&Vec<Part>], weight: usize, told: &Told<'_>) -> String {
    // Blanks fill a line up on either side.
    let mut pattern = String::from(r"\s*");
    let count = lines.first().map_or(0, |line| line.len());
    let mut said = false;
    let mut unit_said = false;
    for at in 0..count {
        let column: Vec<&Part> = lines.iter().filter_map(|line| line.get(at)).collect();
        match column.first() {
            Some(Part::Number { .. }) => number(&column, at == weight, &mut pattern),
            Some(Part::Blank) => pattern.push_str(r"\s+"),
            Some(Part::Word(_)) => {
                let mut words: Vec<&String> = column
                    .iter()
                    .filter_map(|part| match part {
                        Part::Word(word) => Some(word),
                        _ => None,
                    })
                    .collect();
                words.sort();
                words.dedup();
                let escaped: Vec<String> = words.iter().map(|word| regex::escape(word)).collect();
                let escaped = escaped.join("|");
                let of_motion = words.iter().any(|word| told.moving.contains(word))
                    || words.iter().all(|word| told.stable.contains(word));
                let of_motion = of_motion
                    && words
                        .iter()
                        .all(|word| told.moving.contains(word) || told.stable.contains(word));
                let unit = weight < at
                    && words
                        .iter()
                        .all(|word| MassUnit::from_word(word.as_bytes()).is_some());
                let name = match (unit && !unit_said, of_motion && !said) {
                    (true, _) => {
                        unit_said = true;
                        "?<unit>"
                    }
                    (false, true) => {
                        said = true;
                        "?<stability>"
                    }
                    (false, false) => "?:",
                };
                let _written = write!(pattern, "({name}{escaped})");
            }
            None => {}
        }
    }
    pattern.push_str(r"\s*");
    pattern
}

/// Only signs, and so many digits, as were seen.
fn number(column: &[&Part], weight: bool, pattern: &mut String) {
    let mut signs: Vec<char> = Vec::new();
    let (mut unsigned, mut mark) = (false, None);
    let mut wholes = (usize::MAX, 0);
    let mut parts = (usize::MAX, 0);
    let widened = |range: (usize, usize), length: usize| (range.0.min(length), range.1.max(length));
    for part in column {
        let Part::Number {
            sign,
            whole,
            decimals,
        } = part
        else {
            continue;
        };
        match sign {
            Some(sign) if !signs.contains(sign) => signs.push(*sign),
            Some(_) => {}
            None => unsigned = true,
        }
        wholes = widened(wholes, whole.len());
        if let Some((of, decimals)) = decimals {
            mark = Some(*of);
            parts = widened(parts, decimals.len());
        }
    }
    if !signs.is_empty() {
        let signs: String = signs
            .iter()
            .map(|sign| if *sign == '+' { r"\+" } else { r"\-" })
            .collect();
        let name = if weight { "?<sign>" } else { "?:" };
        let maybe = if unsigned { "?" } else { "" };
        let _written = write!(pattern, "(?:({name}[{signs}])\\s*){maybe}");
    }
    let name = if weight { "?<weight>" } else { "?:" };
    let _written = write!(pattern, r"({name}\d{{{},{}}}", wholes.0, wholes.1);
    if let Some(mark) = mark {
        let _written = write!(
            pattern,
            r"{}\d{{{},{}}}",
            regex::escape(&mark.to_string()),
            parts.0,
            parts.1
        );
    }
    pattern.push(')');
}
