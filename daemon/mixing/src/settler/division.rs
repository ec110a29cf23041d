//! The division of a scale that does not state it.

use tarehand_protocol::{Mass, Sent};

/// So many new values are looked at before a coarser division than the last digit is believed.
const ENOUGH: u32 = 20;

/// The division, told or estimated.
///
/// The last digit sent is the first guess. A display that counts by twos or fives never shows the
/// digits between, so the greatest common divisor of what it did show is the better one.
#[derive(Clone, Debug)]
pub(super) struct DivisionEstimate {
    told: Option<Mass>,
    digit: Option<Mass>,
    shown: Option<Shown>,
    step: u64,
    values: u32,
}

/// The range of values shown so far.
///
/// Only a value beyond it counts as new: a jar that stands there, or is lifted and set back, shows the same ones again.
#[derive(Clone, Copy, Debug)]
struct Shown {
    base: i64,
    low: i64,
    high: i64,
}

impl DivisionEstimate {
    pub(super) const fn new(told: Option<Mass>) -> Self {
        Self {
            told,
            digit: None,
            shown: None,
            step: 0,
            values: 0,
        }
    }

    /// Takes a division that was told later; the first one told counts.
    pub(super) fn tell(&mut self, division: Mass) {
        self.told.get_or_insert(division);
    }

    pub(super) fn observe(&mut self, sent: Sent) {
        if self.told.is_some() {
            return;
        }
        if self.digit != sent.digit() {
            *self = Self {
                digit: sent.digit(),
                ..Self::new(None)
            };
        }
        let Sent::Single(number, _) = sent else {
            return;
        };
        let value = number.mantissa();
        let shown = self.shown.get_or_insert(Shown {
            base: value,
            low: value,
            high: value,
        });
        if value < shown.low || shown.high < value {
            shown.low = shown.low.min(value);
            shown.high = shown.high.max(value);
            self.values = self.values.saturating_add(1);
        }
        self.step = gcd(self.step, value.abs_diff(shown.base));
    }

    pub(super) fn value(&self) -> Option<Mass> {
        self.told.or_else(|| {
            let coarse = match self.step {
                step if self.values < ENOUGH || step % 2 != 0 && step % 5 != 0 => 1,
                step if step % 10 == 0 => 10,
                step if step % 5 == 0 => 5,
                _ => 2,
            };
            self.digit
                .map(|digit| Mass::from_micrograms(digit.micrograms().saturating_mul(coarse)))
        })
    }
}

const fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}
