//! What a scale can tell apart.

use serde::{Deserialize, Serialize};
use tarehand_protocol::Mass;

/// What a small cup may weigh (our own choice; a dosing cup weighs 2 g, a small glass one 20 g).
pub const SMALL_CUP: Mass = Mass::from_grams(20);

/// What is known of the scale a batch is weighed on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Scale {
    /// Its division `d`.
    pub division: Option<Mass>,
    /// The most it can weigh.
    pub capacity: Option<Mass>,
}

impl Scale {
    /// Returns the expanded uncertainty of one pour; nothing while the division is unknown.
    #[must_use]
    pub fn uncertainty(&self) -> Mass {
        self.division.map_or(Mass::ZERO, uncertainty)
    }

    /// Returns whether so much can be weighed out on this scale, and better than on the one that the jar stands on.
    #[must_use]
    pub fn weighs_finer(&self, jar: Self, mass: Mass) -> bool {
        let carries = self
            .capacity
            .is_none_or(|capacity| mass + SMALL_CUP <= capacity);
        self.division.is_some() && self.uncertainty() < jar.uncertainty() && carries
    }

    /// Returns the smallest difference that is not just flicker of the display.
    #[must_use]
    pub fn flicker(&self) -> Mass {
        self.division.unwrap_or(Mass::ZERO)
    }
}

/// The scales of a batch: the jar's, and a finer one beside it for what the jar's is too coarse for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Scales {
    /// The jar's.
    pub jar: Scale,
    /// The finer one, where it is there.
    pub fine: Option<Scale>,
}

impl Scales {
    /// Returns a scale of this division alone.
    #[must_use]
    pub const fn alone(division: Option<Mass>) -> Self {
        Self {
            jar: Scale {
                division,
                capacity: None,
            },
            fine: None,
        }
    }

    /// Returns the scale on which so much is weighed that may be off by `within`.
    #[must_use]
    pub fn of(&self, mass: Mass, within: Mass) -> Scale {
        self.fine
            .filter(|fine| within < self.jar.uncertainty() && fine.weighs_finer(self.jar, mass))
            .unwrap_or(self.jar)
    }
}

/// Returns the expanded uncertainty (k = 2) of the difference of two readings, from rounding alone.
///
/// Each reading is rounded to a division `d`, a rectangular distribution of standard deviation
/// d/√12; the difference of two has d·√(2/12), so U = 2·d·√(2/12) = 0.816·d (JCGM 100, 4.3.7 and 5.1.2).
#[must_use]
pub fn uncertainty(division: Mass) -> Mass {
    Mass::from_estimated_grams(2.0 * division.grams() * (2.0_f64 / 12.0).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    // 0.82·d: the form of USP <41>.
    #[test]
    fn two_readings_of_a_division_are_good_to_eight_tenths_of_it() {
        assert_eq!(uncertainty(Mass::from_grams(1)).grams_text(3), "0.816");
        assert_eq!(
            uncertainty(Mass::from_milligrams(10)).grams_text(5),
            "0.00816"
        );
    }
}
