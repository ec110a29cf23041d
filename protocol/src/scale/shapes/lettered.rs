//! Fourteen bytes with the CR: `:W`, seven of number, two of unit, a letter, a blank.
//!
//! `S` is stable; from memory: `U` or `M` is moving.

use crate::reading::{Motion, Reading};
use crate::scale::figures::Figures;
use crate::scale::sense::Sense;
use crate::scale::why::Why;
use crate::scale::words;

const HEAD: &[u8] = b":W";

/// Returns whether the head is there: it stands before the number, and once.
pub(super) fn shows_beginning(body: &[u8]) -> bool {
    body.starts_with(HEAD)
}

pub(super) fn read(body: &[u8], sense: &Sense) -> Result<Reading, Why> {
    let Some([number @ .., letter, b' ']) = body.strip_prefix(HEAD) else {
        return Err(Why::Unrecognised);
    };
    let Some((digits, _unit)) = number
        .split_at_checked(7)
        .filter(|(_, unit)| unit.len() == 2)
    else {
        return Err(Why::Unrecognised);
    };
    let motion = match letter {
        b'S' => Motion::Stable,
        b'U' | b'M' => Motion::Moving,
        b' ' => Motion::Unknown,
        _ => return Err(Why::Unrecognised),
    };
    match sense.measured(number) {
        Ok(weight) => Figures::of(weight, motion).reading(sense),
        Err(why) => words::no_weight(digits).map(Reading::NoWeight).ok_or(why),
    }
}
