//! Densities as a shelf states them.

use std::fmt;
use std::str::FromStr;

use tarehand_protocol::{Decimal, Mass};

use super::{Volume, parse_number};
use crate::ratio::Ratio;

/// A density: whole micrograms per millilitre, above zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Density(u64);

/// The densest thing accepted: 25 g/ml, a little above osmium.
const MOST: u64 = 25_000_000;

impl Density {
    /// What is assumed where nothing is known: 1 g/ml.
    pub const WATER_LIKE: Self = Self(1_000_000);

    /// Makes a density of micrograms per millilitre; `None` for zero and beyond 25 g/ml.
    #[must_use]
    pub const fn from_ug_per_ml(ug_per_ml: u64) -> Option<Self> {
        if 0 < ug_per_ml && ug_per_ml <= MOST {
            Some(Self(ug_per_ml))
        } else {
            None
        }
    }

    /// Returns the micrograms in a millilitre.
    #[must_use]
    pub const fn ug_per_ml(self) -> u64 {
        self.0
    }

    /// Returns the exact micrograms of a volume.
    #[must_use]
    pub fn weight_of(self, volume: &Volume) -> Ratio {
        volume.microlitres() * &self.ug_per_ul()
    }

    /// Returns the exact volume of so many micrograms.
    #[must_use]
    pub fn volume_of(self, micrograms: &Ratio) -> Volume {
        let volume = micrograms.checked_div(&self.ug_per_ul());
        Volume::from_microlitres(volume.expect("a density is above zero"))
    }

    fn ug_per_ul(self) -> Ratio {
        let density = i64::try_from(self.0).expect("a density is at most 25 g/ml");
        Ratio::new(density, 1_000)
    }
}

impl fmt::Display for Density {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let micrograms = i64::try_from(self.0).expect("a density is at most 25 g/ml");
        f.pad(&format!("{}/ml", Mass::from_micrograms(micrograms)))
    }
}

/// Why a text is not a [`Density`].
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ParseDensityError {
    /// No number, or one with other signs in it.
    #[error("a density begins with a number; write for example `1.06 g/ml`")]
    Number,
    /// A number alone.
    #[error("the unit of the density is missing; write for example `1.06 g/ml`")]
    MissingUnit,
    /// A unit this program does not know.
    #[error("`{0}` is not a unit of density; known are g/ml, g/cm3, kg/l, g/l and kg/m3")]
    UnknownUnit(String),
    /// Zero, or more than anything on earth.
    #[error("a density lies above 0 and below 25 g/ml")]
    OutOfRange,
}

impl FromStr for Density {
    type Err = ParseDensityError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let (number, unit) = parse_number(text.trim()).map_err(|_| ParseDensityError::Number)?;
        let per_ml = match unit {
            "" => return Err(ParseDensityError::MissingUnit),
            "g/ml" | "g/mL" | "g/cm3" | "g/cm³" | "kg/l" | "kg/L" => 1_000_000,
            "g/l" | "g/L" | "kg/m3" | "kg/m³" => 1_000,
            other => return Err(ParseDensityError::UnknownUnit(other.to_owned())),
        };
        from_parts(number, per_ml).ok_or(ParseDensityError::OutOfRange)
    }
}

fn from_parts(number: Decimal, per_ml: i64) -> Option<Density> {
    let exact = &Ratio::from_decimal(number) * &Ratio::new(per_ml, 1);
    let rounded = u64::try_from(exact.to_mass().micrograms()).ok()?;
    Density::from_ug_per_ml(rounded)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str, expect: &Result<u64, ParseDensityError>) {
        assert_eq!(text.parse::<Density>().map(Density::ug_per_ml), *expect);
    }

    // Water at 20 °C, 998.207 kg/m³: PyPI `iapws` (IAPWS-95).
    #[test]
    fn water_at_twenty_degrees_reads_the_same_in_every_unit() {
        check("998.207 kg/m3", &Ok(998_207));
        check("998.207 g/l", &Ok(998_207));
        check("0.998207 g/ml", &Ok(998_207));
        check("0.998207kg/l", &Ok(998_207));
    }

    #[test]
    fn a_density_without_sense_is_refused() {
        check("1.06", &Err(ParseDensityError::MissingUnit));
        check("heavy", &Err(ParseDensityError::Number));
        check("0 g/ml", &Err(ParseDensityError::OutOfRange));
        check("1060 g/ml", &Err(ParseDensityError::OutOfRange));
        check(
            "1.06 g",
            &Err(ParseDensityError::UnknownUnit("g".to_owned())),
        );
    }
}
