//! A number with its unit, or alone: `12.30 g`, `+  12.30g`, `1lb 2.3oz`.

use crate::reading::{Motion, Reading};
use crate::scale::figures::Figures;
use crate::scale::sense::Sense;
use crate::scale::why::Why;
use crate::scale::words;

#[inline]
pub(super) fn read(body: &[u8], sense: &Sense) -> Result<Reading, Why> {
    match sense.measured(body) {
        Ok(weight) => Figures::of(weight, Motion::Unknown).reading(sense),
        Err(Why::Unrecognised) => words::no_weight(body)
            .map(Reading::NoWeight)
            .ok_or(Why::Unrecognised),
        Err(why) => Err(why),
    }
}
