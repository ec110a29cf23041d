//! Exact masses and the units they are written in.

mod unit;

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Neg, Sub, SubAssign};
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use crate::decimal::{Decimal, ParseDecimalError};

pub use unit::MassUnit;

/// A mass. Exact: whole micrograms, never a float.
///
/// Masses from outside are at most [`Mass::LIMIT`] either way, so that sums of thousands of
/// them cannot overflow; the operators saturate all the same.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct Mass(i64);

impl Mass {
    /// No mass.
    pub const ZERO: Self = Self(0);

    /// The largest mass accepted from a file, a scale or a person: a thousand tonnes.
    pub const LIMIT: Self = Self(1_000_000_000_000_000);

    /// Makes a mass of whole micrograms.
    #[must_use]
    pub const fn from_micrograms(micrograms: i64) -> Self {
        Self(micrograms)
    }

    /// Makes a mass of whole milligrams.
    #[must_use]
    pub const fn from_milligrams(milligrams: i64) -> Self {
        Self(milligrams.saturating_mul(1_000))
    }

    /// Makes a mass of whole grams.
    #[must_use]
    pub const fn from_grams(grams: i64) -> Self {
        Self(grams.saturating_mul(1_000_000))
    }

    /// Makes the mass nearest to an estimated number of grams.
    ///
    /// For estimates only (a flow, an uncertainty); what was weighed never passes through a float.
    #[must_use]
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a float-to-integer `as` saturates, which is what is wanted"
    )]
    pub fn from_estimated_grams(grams: f64) -> Self {
        Self((grams * 1e6).round_ties_even() as i64)
    }

    /// Returns the whole micrograms.
    #[must_use]
    pub const fn micrograms(self) -> i64 {
        self.0
    }

    /// Returns the grams as a float, for estimates and for JSON.
    #[must_use]
    #[expect(
        clippy::cast_precision_loss,
        reason = "masses below Mass::LIMIT are exact in an f64"
    )]
    pub fn grams(self) -> f64 {
        self.0 as f64 / 1e6
    }

    /// Returns the mass without its sign.
    #[must_use]
    pub const fn abs(self) -> Self {
        Self(self.0.saturating_abs())
    }

    /// Returns whether the mass is exactly nothing.
    #[must_use]
    pub const fn is_zero(self) -> bool {
        self.0 == 0
    }

    /// Returns the multiple of `division` nearest to this mass, half to even.
    #[must_use]
    pub fn rounded_to(self, division: Self) -> Self {
        if division.0 <= 0 {
            return self;
        }
        Self::from_ratio(i128::from(self.0), i128::from(division.0))
            .and_then(|steps| steps.0.checked_mul(division.0))
            .map_or(self, Self)
    }

    /// Returns `numerator / denominator` micrograms rounded once, half to even.
    ///
    /// `None` when the denominator is not positive or the result does not fit.
    #[must_use]
    pub fn from_ratio(numerator: i128, denominator: i128) -> Option<Self> {
        if denominator <= 0 {
            return None;
        }
        let floor = numerator.div_euclid(denominator);
        let twice_rest = numerator.rem_euclid(denominator).checked_mul(2)?;
        let up = denominator < twice_rest || (twice_rest == denominator && floor % 2 != 0);
        i64::try_from(floor + i128::from(up)).ok().map(Self)
    }

    /// Writes the mass in grams with a fixed count of decimals, half to even: `12.30`.
    #[must_use]
    pub fn grams_text(self, decimals: u8) -> String {
        let decimals = decimals.min(6);
        let unit = 10_i64.pow(6 - u32::from(decimals));
        let steps = self.rounded_to(Self(unit)).0 / unit;
        Decimal::new(steps, decimals).map_or_else(String::new, |number| number.to_string())
    }
}

impl Add for Mass {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl AddAssign for Mass {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sub for Mass {
    type Output = Self;

    fn sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}

impl SubAssign for Mass {
    fn sub_assign(&mut self, other: Self) {
        *self = *self - other;
    }
}

impl Neg for Mass {
    type Output = Self;

    fn neg(self) -> Self {
        Self(self.0.saturating_neg())
    }
}

impl Sum for Mass {
    fn sum<I: Iterator<Item = Self>>(masses: I) -> Self {
        masses.fold(Self::ZERO, Add::add)
    }
}

/// Grams without needless zeros: `12.3 g`.
impl fmt::Display for Mass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = self.grams_text(6);
        let text = text.trim_end_matches('0').trim_end_matches('.');
        f.pad(&format!("{text} g"))
    }
}

/// Why a text is not a [`Mass`].
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ParseMassError {
    /// A number alone: grams are never assumed.
    #[error("the unit is missing; write for example `12.5 g`")]
    MissingUnit,
    /// A unit this program does not know.
    #[error("`{0}` is not a unit of mass; known are mg, g, kg, oz, lb, ozt, ct and gr")]
    UnknownUnit(String),
    /// The number is not one.
    #[error("{0}")]
    Number(#[from] ParseDecimalError),
    /// More than [`Mass::LIMIT`].
    #[error("more than a thousand tonnes")]
    TooLarge,
}

impl FromStr for Mass {
    type Err = ParseMassError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let text = text.trim();
        let split = text
            .find(|c: char| c.is_ascii_alphabetic())
            .ok_or(ParseMassError::MissingUnit)?;
        let (number, unit) = text.split_at(split);
        let number: Decimal = number.trim_end().parse()?;
        let unit: MassUnit = unit.parse()?;
        unit.mass(number).ok_or(ParseMassError::TooLarge)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[track_caller]
    fn check(text: &str, expect: i64) {
        assert_eq!(
            text.parse::<Mass>().map(Mass::micrograms),
            Ok(expect),
            "{text}"
        );
    }

    // Exact by definition (international yard and pound agreement, 1959); the same figures as PyPI `pint` gives.
    #[test]
    fn units_are_exact_by_definition() {
        check("1 g", 1_000_000);
        check("1mg", 1_000);
        check("1 kg", 1_000_000_000);
        check("16 oz", 453_592_370);
        check("1 lb", 453_592_370);
        check("10 ozt", 311_034_768);
        check("5 ct", 1_000_000);
        check("100 gr", 6_479_891);
    }

    #[test]
    fn a_half_microgram_goes_to_the_even_side() {
        check("0.0000005 g", 0);
        check("0.0000015 g", 2);
        check("-0.0000005 g", 0);
        check("-0.0000015 g", -2);
        // One ounce is 28 349 523.125 µg.
        check("1 oz", 28_349_523);
        check("4 oz", 113_398_092);
    }

    #[test]
    fn a_bare_number_and_a_strange_unit_are_refused() {
        assert_eq!("12".parse::<Mass>(), Err(ParseMassError::MissingUnit));
        assert_eq!(
            "12 stone".parse::<Mass>(),
            Err(ParseMassError::UnknownUnit("stone".to_owned()))
        );
        assert_eq!("2000000 kg".parse::<Mass>(), Err(ParseMassError::TooLarge));
    }

    #[test]
    fn grams_are_written_without_needless_zeros() {
        assert_eq!(Mass::from_micrograms(12_300_000).to_string(), "12.3 g");
        assert_eq!(Mass::from_grams(-5).to_string(), "-5 g");
        assert_eq!(Mass::from_micrograms(12_345_000).grams_text(2), "12.34");
        assert_eq!(Mass::from_micrograms(-4_000).grams_text(2), "0.00");
    }

    #[test]
    fn rounding_to_a_division_is_half_to_even() {
        let division = Mass::from_milligrams(100);
        assert_eq!(
            Mass::from_milligrams(250).rounded_to(division),
            Mass::from_milligrams(200)
        );
        assert_eq!(
            Mass::from_milligrams(350).rounded_to(division),
            Mass::from_milligrams(400)
        );
        assert_eq!(
            Mass::from_milligrams(-251).rounded_to(division),
            Mass::from_milligrams(-300)
        );
    }

    proptest! {
        #[test]
        fn a_step_from_the_table_is_what_the_fraction_gives(
            mantissa in any::<i64>(), digits in 0_u32..19, scale in 0_u8..=18,
        ) {
            let number = Decimal::new(mantissa / 10_i64.pow(digits), scale).unwrap();
            for unit in MassUnit::ALL {
                let expect = unit.rounded(number).filter(|mass| mass.abs() <= Mass::LIMIT);
                prop_assert_eq!(unit.mass(number), expect);
            }
        }
    }
}
