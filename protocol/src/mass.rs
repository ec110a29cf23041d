//! Exact masses and the units they are written in.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Neg, Sub, SubAssign};
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use crate::decimal::{Decimal, ParseDecimalError};

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

/// A unit of mass that a scale may send or a person may write.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum MassUnit {
    /// Milligram.
    #[serde(rename = "mg")]
    Milligram,
    /// Gram.
    #[serde(rename = "g")]
    Gram,
    /// Kilogram.
    #[serde(rename = "kg")]
    Kilogram,
    /// Avoirdupois ounce, exactly 28.349523125 g.
    #[serde(rename = "oz")]
    Ounce,
    /// Avoirdupois pound, exactly 453.59237 g.
    #[serde(rename = "lb")]
    Pound,
    /// Troy ounce, exactly 31.1034768 g.
    #[serde(rename = "ozt")]
    TroyOunce,
    /// Metric carat, exactly 0.2 g.
    #[serde(rename = "ct")]
    Carat,
    /// Grain, exactly 0.06479891 g.
    #[serde(rename = "gr")]
    Grain,
}

impl MassUnit {
    /// Every unit.
    pub const ALL: [Self; 8] = [
        Self::Milligram,
        Self::Gram,
        Self::Kilogram,
        Self::Ounce,
        Self::Pound,
        Self::TroyOunce,
        Self::Carat,
        Self::Grain,
    ];

    /// Returns the unit as micrograms, an exact fraction `(numerator, denominator)`.
    ///
    /// The pound and the troy ounce are exact by the international agreement of 1959.
    #[must_use]
    pub const fn micrograms(self) -> (i64, i64) {
        match self {
            Self::Milligram => (1_000, 1),
            Self::Gram => (1_000_000, 1),
            Self::Kilogram => (1_000_000_000, 1),
            Self::Ounce => (28_349_523_125, 1_000),
            Self::Pound => (453_592_370, 1),
            Self::TroyOunce => (311_034_768, 10),
            Self::Carat => (200_000, 1),
            Self::Grain => (6_479_891, 100),
        }
    }

    /// Returns the symbol, as written in files and on screens.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Milligram => "mg",
            Self::Gram => "g",
            Self::Kilogram => "kg",
            Self::Ounce => "oz",
            Self::Pound => "lb",
            Self::TroyOunce => "ozt",
            Self::Carat => "ct",
            Self::Grain => "gr",
        }
    }

    /// Returns the unit that a word on a scale's line or in a file stands for, in any case of letters.
    #[must_use]
    #[inline]
    pub fn from_word(word: &[u8]) -> Option<Self> {
        // The two that nearly every line has; the table would find them too.
        match word {
            b"g" => Some(Self::Gram),
            b"kg" => Some(Self::Kilogram),
            word => Self::from_any_word(word),
        }
    }

    fn from_any_word(word: &[u8]) -> Option<Self> {
        let mut lower = [0_u8; 8];
        let lower = lower.get_mut(..word.len())?;
        lower.copy_from_slice(word);
        lower.make_ascii_lowercase();
        Some(match &*lower {
            b"mg" => Self::Milligram,
            b"g" | b"gm" | b"gram" | b"grams" => Self::Gram,
            b"kg" | b"kgs" => Self::Kilogram,
            b"oz" => Self::Ounce,
            b"lb" | b"lbs" => Self::Pound,
            b"ozt" | b"oz t" | b"toz" | b"troy oz" => Self::TroyOunce,
            b"ct" | b"carat" => Self::Carat,
            b"gr" | b"gn" | b"grain" | b"grains" => Self::Grain,
            _ => return None,
        })
    }

    /// Converts a number of this unit, rounded once, half to even.
    ///
    /// `None` beyond [`Mass::LIMIT`] either way.
    #[must_use]
    #[inline]
    pub fn mass(self, number: Decimal) -> Option<Mass> {
        let mass = match self.exact_step(number.scale()) {
            Some(step) => number.mantissa().checked_mul(step).map(Mass),
            None => self.rounded(number),
        };
        mass.filter(|mass| mass.abs() <= Mass::LIMIT)
    }

    /// Returns the last of so many decimals where it is whole micrograms of a metric unit.
    ///
    /// A table, so that the lines of most scales need no division.
    const fn exact_step(self, decimals: u8) -> Option<i64> {
        const STEPS: [i64; 10] = [
            1_000_000_000,
            100_000_000,
            10_000_000,
            1_000_000,
            100_000,
            10_000,
            1_000,
            100,
            10,
            1,
        ];
        let above = match self {
            Self::Kilogram => 0,
            Self::Gram => 3,
            Self::Milligram => 6,
            Self::Ounce | Self::Pound | Self::TroyOunce | Self::Carat | Self::Grain => return None,
        };
        let at = above + decimals as usize;
        if at < STEPS.len() {
            Some(STEPS[at])
        } else {
            None
        }
    }

    fn rounded(self, number: Decimal) -> Option<Mass> {
        let (micrograms, per) = self.micrograms();
        let numerator = i128::from(number.mantissa()) * i128::from(micrograms);
        let denominator = i128::from(per) * 10_i128.pow(u32::from(number.scale()));
        Mass::from_ratio(numerator, denominator)
    }
}

impl fmt::Display for MassUnit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.symbol())
    }
}

impl FromStr for MassUnit {
    type Err = ParseMassError;

    fn from_str(word: &str) -> Result<Self, Self::Err> {
        Self::from_word(word.trim().as_bytes())
            .ok_or_else(|| ParseMassError::UnknownUnit(word.trim().to_owned()))
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
