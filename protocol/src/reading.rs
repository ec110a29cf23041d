//! What a scale said, once its bytes are understood.

use serde::{Deserialize, Serialize};

use crate::decimal::Decimal;
use crate::mass::{Mass, MassUnit};

/// One thing a scale said: a weight, or that there is none.
///
/// "No weight" is a state of its own and never zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Reading {
    /// A number in a known unit.
    Weight(Weighed),
    /// The scale spoke, but not of a weight.
    NoWeight(NoWeight),
}

/// A weight as a scale sent it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Weighed {
    /// All that stands on the pan (net + tare where the scale sends both), or, on a
    /// [`Basis::Relative`] stream, what the scale calls net.
    pub gross: Mass,
    /// The digits and the unit as they came.
    pub sent: Sent,
    /// What `gross` counts from.
    pub basis: Basis,
    /// What the scale itself says about stability.
    pub motion: Motion,
}

/// What a weight counts from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Basis {
    /// From the zero of the pan.
    Gross,
    /// From a tare that the scale keeps to itself.
    Relative,
}

/// The digits and unit of a weight as sent.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Sent {
    /// One number and its unit.
    Single(Decimal, MassUnit),
    /// Whole pounds and ounces, both of the weight's sign.
    PoundsOunces(Decimal, Decimal),
}

impl Sent {
    /// Returns the mass that was sent, rounded once; `None` when it is absurdly large.
    #[must_use]
    #[inline]
    pub fn mass(self) -> Option<Mass> {
        match self {
            Self::Single(number, unit) => unit.mass(number),
            Self::PoundsOunces(pounds, ounces) => pounds_and_ounces(pounds, ounces),
        }
    }

    /// Returns the smallest step the sent digits can show: 0.01 g for `12.30 g`.
    #[must_use]
    pub fn digit(self) -> Option<Mass> {
        let (number, unit) = match self {
            Self::Single(number, unit) => (number, unit),
            Self::PoundsOunces(_, ounces) => (ounces, MassUnit::Ounce),
        };
        unit.mass(Decimal::new(1, number.scale())?)
    }
}

fn pounds_and_ounces(pounds: Decimal, ounces: Decimal) -> Option<Mass> {
    // One rounding for the sum: both parts over one denominator. 1 lb = 16 oz.
    let (micrograms, per) = MassUnit::Ounce.micrograms();
    let tens = |scale: u8| 10_i128.pow(u32::from(scale));
    let scale = pounds.scale().max(ounces.scale());
    let whole =
        |number: Decimal| i128::from(number.mantissa()).checked_mul(tens(scale - number.scale()));
    let ounces = whole(pounds)?
        .checked_mul(16)?
        .checked_add(whole(ounces)?)?;
    let numerator = ounces.checked_mul(i128::from(micrograms))?;
    Mass::from_ratio(numerator, i128::from(per) * tens(scale))
        .filter(|mass| mass.abs() <= Mass::LIMIT)
}

/// What a scale says about its own stability.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Motion {
    /// "Stable".
    Stable,
    /// "Moving".
    Moving,
    /// It does not say.
    Unknown,
}

/// Why a scale has no weight to tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum NoWeight {
    /// More than its capacity.
    Over,
    /// Less than its zero allows.
    Under,
    /// An error of its own, not-a-number included.
    Fault,
    /// The display is blank.
    Blank,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn decimal(text: &str) -> Decimal {
        text.parse().unwrap()
    }

    // Exact by definition: 1 lb = 453.59237 g, 1 oz = 1/16 lb.
    #[test]
    fn pounds_and_ounces_are_rounded_once() {
        let sent = Sent::PoundsOunces(decimal("1"), decimal("1.5"));
        // 17.5 oz = 496.1166546875 g
        assert_eq!(sent.mass(), Some(Mass::from_micrograms(496_116_655)));
    }

    #[test]
    fn the_digits_tell_the_smallest_step() {
        assert_eq!(
            Sent::Single(decimal("12.30"), MassUnit::Gram).digit(),
            Some(Mass::from_milligrams(10))
        );
        assert_eq!(
            Sent::Single(decimal("1.123"), MassUnit::Kilogram).digit(),
            Some(Mass::from_grams(1))
        );
    }
}
