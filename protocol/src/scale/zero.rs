//! Telling a zero that means "too much" from one that means nothing is on the pan.

use super::decoded::Decoded;
use super::profile::{Overload, Settings};
use crate::mass::Mass;
use crate::reading::{NoWeight, Reading};

/// Remembers whether the pan was loaded.
#[derive(Clone, Copy, Debug)]
pub(super) struct ZeroWatch {
    half: Mass,
    last: Mass,
}

impl ZeroWatch {
    /// Makes one for a scale that sends an exact zero for too much.
    pub(super) const fn of(settings: &Settings) -> Option<Self> {
        match (settings.overload, settings.capacity) {
            (Overload::Zero, Some(capacity)) => Some(Self {
                half: Mass::from_micrograms(capacity.micrograms() / 2),
                last: Mass::ZERO,
            }),
            (Overload::Told | Overload::Zero, _) => None,
        }
    }

    pub(super) const fn reset(&mut self) {
        self.last = Mass::ZERO;
    }

    /// A loaded pan cannot be empty from one reading to the next: a real lift shows numbers
    /// between. Until one comes, the zero stays an overload, for then nothing is booked wrongly.
    #[inline]
    pub(super) fn judge(&mut self, decoded: Decoded) -> Decoded {
        match decoded {
            Decoded::Reading(Reading::Weight(weighed)) => {
                if weighed.gross.is_zero() && self.half < self.last {
                    return Decoded::Reading(Reading::NoWeight(NoWeight::Over));
                }
                self.last = weighed.gross;
                decoded
            }
            Decoded::Reading(Reading::NoWeight(_)) | Decoded::Rejected(_) => decoded,
        }
    }
}
