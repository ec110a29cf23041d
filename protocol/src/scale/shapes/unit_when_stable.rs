//! A number whose unit is there when it is stable and blank when it is not.
//!
//! The unit is told once; a line with another unit is refused, because the lines without one
//! would then be misread.

use crate::reading::{Motion, Reading};
use crate::scale::figures::Figures;
use crate::scale::sense::Sense;
use crate::scale::why::Why;
use crate::scale::words;

pub(super) fn read(body: &[u8], sense: &Sense) -> Result<Reading, Why> {
    let weight = match sense.measured(body) {
        Ok(weight) => weight,
        Err(why) => return words::no_weight(body).map(Reading::NoWeight).ok_or(why),
    };
    let motion = match (weight.unit, sense.unit) {
        (None, _) => Motion::Moving,
        (Some(sent), Some(told)) if sent != told => return Err(Why::OtherUnit { told, sent }),
        (Some(_), _) => Motion::Stable,
    };
    Figures::of(weight, motion).reading(sense)
}
