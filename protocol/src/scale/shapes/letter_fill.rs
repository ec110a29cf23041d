//! A number, or one letter in place of every digit, between STX and ETX.
//!
//! `IIIII` while the weight moves, `NNNNN` when the pan is relieved below zero, `SSSSS` for too
//! much. A number therefore is stable, and while it moves there is none.

use crate::reading::{Motion, NoWeight, Reading};
use crate::scale::figures::Figures;
use crate::scale::sense::{Sense, trim};
use crate::scale::why::Why;

pub(super) fn read(body: &[u8], sense: &Sense) -> Result<Reading, Why> {
    let text = trim(body);
    match text {
        [letter @ (b'I' | b'N' | b'S'), rest @ ..]
            if 3 <= rest.len() && rest.iter().all(|byte| byte == letter) =>
        {
            Ok(Reading::NoWeight(match letter {
                b'I' => NoWeight::Blank,
                b'N' => NoWeight::Under,
                _ => NoWeight::Over,
            }))
        }
        _ => Figures::of(sense.measured(text)?, Motion::Stable).reading(sense),
    }
}
