//! A trail, and a jar at the moment it was measured.

use serde::{Deserialize, Serialize};
use tarehand_protocol::Mass;

/// The longest trail anybody waits for, in seconds (our own choice).
const LONGEST_S: f64 = 600.0;

/// A trail in seconds; 0 = leaves none.
///
/// A mix that leaves none is not infinitely thin: its trail is shorter than anybody can time, and no more is
/// known of it. Seconds are an estimate by eye and hand, hence `f64`.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct Trail(f64);

/// Why a number is no trail.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("a trail is a number of seconds from 0 to 600")]
pub struct NotATrail;

impl Trail {
    /// The shortest trail that can be timed by eye: what is below it leaves none (*common practice*: half a second).
    pub const SHORTEST_S: f64 = 0.5;

    /// Makes a trail of so many seconds, kept to a millionth: finer than anybody times, and exact in the journal's text.
    ///
    /// # Errors
    /// When it is not a number from 0 to 600.
    pub fn from_seconds(seconds: f64) -> Result<Self, NotATrail> {
        match seconds {
            seconds if (0.0..=LONGEST_S).contains(&seconds) => {
                Ok(Self((seconds * 1e6).round() / 1e6))
            }
            _ => Err(NotATrail),
        }
    }

    /// Returns the seconds; 0 = leaves none.
    #[must_use]
    pub const fn seconds(self) -> f64 {
        self.0
    }

    /// Returns whether it leaves none: all that is known is that the trail is below what can be timed.
    #[must_use]
    pub fn is_none_left(self) -> bool {
        self.0 <= 0.0
    }

    /// Returns the natural logarithm of the seconds; `None` where none is left, for a logarithm holds no 0.
    #[must_use]
    pub fn ln_estimate(self) -> Option<f64> {
        (!self.is_none_left()).then(|| self.0.ln())
    }

    /// Returns the seconds to aim at where this trail is wanted: what can just not be timed, where none is.
    #[must_use]
    pub const fn aim_s(self) -> f64 {
        self.0.max(Self::SHORTEST_S)
    }

    /// Returns how far a trail may be from this one and still count as the same.
    ///
    /// Half a second, or a tenth of a long one: nobody times a sinking line better (*common practice*).
    #[must_use]
    pub const fn tolerance_s(self) -> f64 {
        (self.0 / 10.0).max(Self::SHORTEST_S)
    }
}

impl TryFrom<f64> for Trail {
    type Error = NotATrail;

    fn try_from(seconds: f64) -> Result<Self, Self::Error> {
        Self::from_seconds(seconds)
    }
}

impl From<Trail> for f64 {
    fn from(trail: Trail) -> Self {
        trail.seconds()
    }
}

/// A trail with what the jar held when it was measured.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Measured {
    /// The trail.
    pub trail: Trail,
    /// The thinner in the jar: what was added to the mix to thin it.
    pub thinner: Mass,
    /// Everything in the jar, the thinner too.
    pub jar: Mass,
}

impl Measured {
    /// Returns the thinner's fraction of the jar, from 0 to below 1; an estimate's input. 0 for an empty jar.
    #[must_use]
    pub fn fraction(&self) -> f64 {
        fraction(self.thinner, self.jar)
    }
}

/// Returns the thinner's fraction of a jar; 0 for an empty one.
pub(super) fn fraction(thinner: Mass, jar: Mass) -> f64 {
    if jar <= Mass::ZERO {
        return 0.0;
    }
    (thinner.max(Mass::ZERO).grams() / jar.grams()).min(1.0)
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// A jar of so many grams with so much thinner in it.
    pub(in crate::trail) fn measured(seconds: f64, thinner_g: f64, jar_g: f64) -> Measured {
        Measured {
            trail: Trail::from_seconds(seconds).unwrap(),
            thinner: Mass::from_estimated_grams(thinner_g),
            jar: Mass::from_estimated_grams(jar_g),
        }
    }

    #[test]
    fn zero_is_a_trail_that_has_no_logarithm() {
        let none = Trail::from_seconds(0.0).unwrap();
        assert!(none.is_none_left());
        assert_eq!(none.ln_estimate(), None);
    }

    #[test]
    fn what_nobody_waits_for_is_no_trail() {
        for seconds in [-0.1, 600.1, f64::NAN, f64::INFINITY] {
            assert_eq!(Trail::from_seconds(seconds), Err(NotATrail), "{seconds}");
        }
    }

    #[test]
    fn a_trail_is_kept_to_a_millionth() {
        let trail = Trail::from_seconds(2.000_000_449_9).unwrap();
        assert_eq!(trail.seconds().to_bits(), 2.0_f64.to_bits());
    }

    #[test]
    fn an_empty_jar_has_no_thinner_in_it() {
        assert_eq!(
            measured(3.0, 0.0, 0.0).fraction().to_bits(),
            0.0_f64.to_bits()
        );
    }
}
