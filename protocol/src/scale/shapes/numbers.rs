//! Several numbers on a line, of which one is the weight: `34.78,2.30`.

use crate::decimal::Decimal;
use crate::reading::{Motion, Reading};
use crate::scale::figures::Figures;
use crate::scale::sense::{Mark, Sense, trim};
use crate::scale::why::Why;
use crate::scale::words;

/// Most numbers that are looked at.
const MOST: usize = 16;

pub(super) fn read(body: &[u8], field: u8, sense: &Sense) -> Result<Reading, Why> {
    let wanted = usize::from(field).saturating_sub(1);
    let mut reading = None;
    for (at, part) in parts(body, sense.notation.mark).enumerate() {
        if at == wanted {
            reading = Some(match sense.measured(part) {
                Ok(weight) => Figures::of(weight, Motion::Unknown).reading(sense),
                Err(why) => Ok(Reading::NoWeight(words::no_weight(part).ok_or(why)?)),
            });
        } else if sense.measured(part).is_err() && words::no_weight(part).is_none() {
            return Err(Why::Unrecognised);
        }
    }
    reading.unwrap_or(Err(Why::Torn))
}

/// Returns the numbers of a line that is nothing but several numbers.
pub(super) fn list(body: &[u8]) -> Option<Vec<Decimal>> {
    let numbers: Option<Vec<Decimal>> = parts(body, Some(Mark::Point))
        .take(MOST)
        .map(|part| Decimal::parse(part, b'.').ok())
        .collect();
    numbers.filter(|numbers| 1 < numbers.len())
}

fn parts(body: &[u8], mark: Option<Mark>) -> impl Iterator<Item = &[u8]> {
    let between = move |byte: &u8| match byte {
        b',' => mark != Some(Mark::Comma),
        b';' | b'|' | b'/' | b'\t' | b' ' => true,
        _ => false,
    };
    trim(body)
        .split(between)
        .map(trim)
        .filter(|part| !part.is_empty())
}
