//! Which spoon and which fluid ounce a person means.

use serde::{Deserialize, Serialize};

use super::Volume;
use crate::ratio::Ratio;

/// The settings that say which spoon and which fluid ounce are meant; never guessed.
///
/// `oz` is always the ounce of mass (28.349523125 g); the fluid one is written `fl-oz`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
pub struct Measures {
    /// Which set of measuring spoons is in the drawer.
    pub spoon: Option<Spoon>,
    /// Which fluid ounce `fl-oz` means.
    pub fluid_ounce: Option<FluidOunce>,
}

/// A set of measuring spoons.
///
/// The old imperial spoons have no agreed size: weigh one level spoon and put that mass on the shelf.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Spoon {
    /// Teaspoon 5 ml, tablespoon 15 ml.
    Metric,
    /// Teaspoon 4.92892159375 ml, tablespoon 14.78676478125 ml (1/6 and 1/2 US fluid ounce).
    Us,
    /// Teaspoon 5 ml, tablespoon 20 ml.
    Australian,
}

impl Spoon {
    /// Returns what a level teaspoon holds.
    #[must_use]
    pub fn teaspoon(self) -> Volume {
        match self {
            Self::Metric | Self::Australian => Volume::from_millilitres(5),
            Self::Us => Volume::from_microlitres(Ratio::new(492_892_159_375, 100_000_000)),
        }
    }

    /// Returns what a level tablespoon holds.
    #[must_use]
    pub fn tablespoon(self) -> Volume {
        match self {
            Self::Metric => Volume::from_millilitres(15),
            Self::Us => Volume::from_microlitres(Ratio::new(1_478_676_478_125, 100_000_000)),
            Self::Australian => Volume::from_millilitres(20),
        }
    }
}

/// A fluid ounce.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FluidOunce {
    /// 29.5735295625 ml.
    Us,
    /// 28.4130625 ml.
    Imperial,
}

impl FluidOunce {
    /// Returns the volume of one.
    #[must_use]
    pub fn volume(self) -> Volume {
        Volume::from_microlitres(match self {
            Self::Us => Ratio::new(295_735_295_625, 10_000_000),
            Self::Imperial => Ratio::new(284_130_625, 10_000),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Exact by definition: the US gallon is 231 cubic inches of 2.54 cm, the imperial one 4.54609 l;
    // the same figures as PyPI `pint` gives.
    #[test]
    fn spoons_and_fluid_ounces_are_exact_parts_of_their_gallon() {
        let us_gallon = Ratio::new(231, 1)
            * Ratio::new(254, 100)
            * Ratio::new(254, 100)
            * Ratio::new(254, 100)
            * Ratio::new(1_000, 1);
        let of_us_gallon = |part: i64| Volume::from_microlitres(&us_gallon * &Ratio::new(1, part));
        assert_eq!(FluidOunce::Us.volume(), of_us_gallon(128));
        assert_eq!(Spoon::Us.tablespoon(), of_us_gallon(256));
        assert_eq!(Spoon::Us.teaspoon(), of_us_gallon(768));
        assert_eq!(
            FluidOunce::Imperial.volume(),
            Volume::from_microlitres(Ratio::new(4_546_090, 160))
        );
    }
}
