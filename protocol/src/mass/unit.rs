//! The units of mass, as scales send them and people write them.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use super::{Mass, ParseMassError};
use crate::decimal::Decimal;

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

    pub(super) fn rounded(self, number: Decimal) -> Option<Mass> {
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
