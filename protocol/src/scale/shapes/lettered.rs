//! Fourteen bytes with the CR: `:W`, seven of number, two of unit, a letter, a blank.
//!
//! `S` is stable; from memory: `U` or `M` is moving.

use crate::reading::Motion;
use crate::scale::said::{Figures, Said};
use crate::scale::sense::Sense;
use crate::scale::why::Why;
use crate::scale::words;

pub(super) fn read(body: &[u8], sense: &Sense<'_>) -> Result<Said, Why> {
    let Some([number @ .., letter, b' ']) = body.strip_prefix(b":W") else {
        return Err(Why::Unrecognised);
    };
    let Some((digits, _unit)) = number
        .split_at_checked(7)
        .filter(|(_, unit)| unit.len() == 2)
    else {
        return Err(Why::Unrecognised);
    };
    if let Some(state) = words::no_weight(digits) {
        return Ok(Said::NoWeight(state));
    }
    let motion = match letter {
        b'S' => Motion::Stable,
        b'U' | b'M' => Motion::Moving,
        b' ' => Motion::Unknown,
        _ => return Err(Why::Unrecognised),
    };
    Ok(Said::Weight(Figures::of(sense.measured(number)?, motion)))
}
