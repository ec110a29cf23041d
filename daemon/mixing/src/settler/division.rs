//! The division of a scale that does not state it.

use tarehand_protocol::{Decimal, Mass, Sent};

/// So many changes of the display are looked at before a coarser division than the last digit is believed.
const ENOUGH: u32 = 20;

/// The division, told or estimated.
///
/// The last digit sent is the first guess. A display that counts by twos or fives never shows the
/// digits between, so the greatest common divisor of what it did show is the better one. A display that stands still
/// says nothing new: only changes count, or a jar of 80 g that stays on the pan would make a division of 1 g.
#[derive(Clone, Debug)]
pub(super) struct DivisionEstimate {
    told: Option<Mass>,
    digit: Option<Mass>,
    base: Option<Decimal>,
    last: Option<Decimal>,
    step: u64,
    changes: u32,
}

impl DivisionEstimate {
    pub(super) const fn new(told: Option<Mass>) -> Self {
        Self {
            told,
            digit: None,
            base: None,
            last: None,
            step: 0,
            changes: 0,
        }
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
        let base = *self.base.get_or_insert(number);
        let changed = self.last.replace(number).is_some_and(|last| last != number);
        if changed {
            self.step = gcd(self.step, number.mantissa().abs_diff(base.mantissa()));
            self.changes = self.changes.saturating_add(1);
        }
    }

    pub(super) fn value(&self) -> Option<Mass> {
        self.told.or_else(|| {
            let coarse = match self.step {
                step if self.changes < ENOUGH || step % 2 != 0 && step % 5 != 0 => 1,
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
