//! A line of labels and numbers: `Reading: 12.30 g  Factor: 430.1`.
//!
//! Exactly one number has a unit of mass, or a net weight stands beside its tare. Other numbers
//! must belong to labels of their own; a word that belongs to nothing makes the line unreadable.

use crate::decimal::Decimal;
use crate::mass::MassUnit;
use crate::reading::{Motion, Reading};
use crate::scale::figures::{Amount, Figures, Measured};
use crate::scale::sense::{Kind, Sense, number_length, trim};
use crate::scale::why::Why;
use crate::scale::words;

/// Labels of masses that are settings and not on the pan.
const SETTINGS: [&[u8]; 9] = [
    b"max",
    b"min",
    b"cap",
    b"capacity",
    b"limit",
    b"target",
    b"division",
    b"d",
    b"e",
];

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Label {
    Plain,
    Tare,
    Weight(Kind),
    Setting,
}

#[derive(Default)]
struct Line {
    weight: Option<(Measured, Option<Kind>)>,
    tare: Option<Measured>,
    more: Vec<Decimal>,
    motion: Option<Motion>,
}

pub(super) fn read(body: &[u8], sense: &Sense) -> Result<Reading, Why> {
    let mut line = Line::default();
    let mut label: Option<Label> = None;
    let mut labels = 0_u32;
    let mut pending: &[u8] = b"";
    let mut rest = skip_between(body);
    while !rest.is_empty() {
        let digits = number_length(rest);
        if 0 < digits {
            let (measured, after) = number(rest, digits, sense)?;
            line.add(measured, label.take())?;
            pending = b"";
            rest = skip_between(after);
            continue;
        }
        let (word, after) = rest.split_at(word_length(rest));
        if word.is_empty() {
            return Err(Why::Unrecognised);
        }
        if let Some(state) = words::no_weight(word) {
            return Ok(Reading::NoWeight(state));
        }
        labels += 1;
        match words::motion(word) {
            Some(motion) => line.motion = Some(motion),
            None => {
                label = Some(stronger(label, meaning(word)));
                pending = word;
            }
        }
        rest = skip_between(match after {
            [b':' | b'=', rest @ ..] => rest,
            rest => rest,
        });
    }
    if labels == 0 {
        return Err(Why::Unrecognised);
    }
    if !pending.is_empty() {
        return Err(Why::word(pending));
    }
    line.reading(sense)
}

impl Line {
    fn add(&mut self, measured: Measured, label: Option<Label>) -> Result<(), Why> {
        let number = match measured.amount {
            Amount::Number(number) | Amount::PoundsOunces(number, _) => number,
        };
        match (measured.unit, label) {
            (_, Some(Label::Setting)) | (None, Some(_)) => {}
            (Some(_), Some(Label::Tare)) if self.tare.is_none() => self.tare = Some(measured),
            (Some(_), label) if self.weight.is_none() => {
                let kind = match label {
                    Some(Label::Weight(kind)) => Some(kind),
                    Some(Label::Plain | Label::Tare | Label::Setting) | None => None,
                };
                self.weight = Some((measured, kind));
            }
            (Some(_) | None, _) => self.more.push(number),
        }
        Ok(())
    }

    fn reading(self, sense: &Sense) -> Result<Reading, Why> {
        let Some((weight, kind)) = self.weight else {
            return Err(match self.tare {
                Some(_) => Why::TareOnly,
                None => Why::Unrecognised,
            });
        };
        if !self.more.is_empty() {
            let first = match weight.amount {
                Amount::Number(number) | Amount::PoundsOunces(number, _) => number,
            };
            let numbers = [first].into_iter().chain(self.more).collect();
            return Err(Why::SeveralNumbers(numbers));
        }
        Figures {
            weight,
            tare: self.tare,
            kind,
            motion: self.motion.unwrap_or(Motion::Unknown),
        }
        .reading(sense)
    }
}

/// Reads the number that begins `text`, and the unit behind it.
fn number<'t>(text: &'t [u8], digits: usize, sense: &Sense) -> Result<(Measured, &'t [u8]), Why> {
    let (digits, rest) = text.split_at(digits);
    // A comma behind a number separates it from what follows.
    let (digits, rest) = match digits {
        [number @ .., b','] => (number, rest),
        _ => (digits, rest),
    };
    let blanks = rest.iter().take_while(|&&byte| byte == b' ').count();
    let word = &rest[blanks..];
    let length = word.iter().take_while(|byte| byte.is_ascii_alphabetic());
    let (word, after) = word.split_at(length.count());
    let labels_next = matches!(after.first(), Some(b':' | b'='));
    match MassUnit::from_word(word).filter(|_| !labels_next) {
        Some(unit) => {
            let number = sense.number(digits, true)?;
            let amount = Amount::Number(number);
            let unit = Some(unit);
            Ok((Measured { amount, unit }, after))
        }
        None => Ok((Measured::bare(sense.number(digits, false)?), rest)),
    }
}

fn meaning(word: &[u8]) -> Label {
    let is = |known: &[u8]| word.eq_ignore_ascii_case(known);
    if is(b"tare") {
        Label::Tare
    } else if is(b"net") {
        Label::Weight(Kind::Net)
    } else if is(b"gross") {
        Label::Weight(Kind::Gross)
    } else if SETTINGS.iter().any(|setting| is(setting)) {
        Label::Setting
    } else {
        Label::Plain
    }
}

/// `Net weight:` is as much a label of a net weight as `Net:` is.
const fn stronger(before: Option<Label>, now: Label) -> Label {
    match (before, now) {
        (Some(before), Label::Plain) => before,
        (_, now) => now,
    }
}

fn word_length(text: &[u8]) -> usize {
    match text.first() {
        Some(first) if first.is_ascii_alphabetic() => text
            .iter()
            .take_while(|&&byte| byte.is_ascii_alphanumeric() || matches!(byte, b'_' | b'-' | b'.'))
            .count(),
        _ => 0,
    }
}

fn skip_between(text: &[u8]) -> &[u8] {
    let skipped = text
        .iter()
        .take_while(|byte| matches!(byte, b' ' | b'\t' | b',' | b';' | b'|'))
        .count();
    trim(&text[skipped..])
}
