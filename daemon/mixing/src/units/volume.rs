//! Exact volumes and the units they are written in.

use std::fmt;

use super::FluidOunce;
use crate::ratio::Ratio;

/// A volume. Exact: a rational number of microlitres, never a float.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Volume(Ratio);

impl Volume {
    /// Makes a volume of this many microlitres.
    #[must_use]
    pub const fn from_microlitres(microlitres: Ratio) -> Self {
        Self(microlitres)
    }

    /// Makes a volume of whole millilitres.
    #[must_use]
    pub fn from_millilitres(millilitres: i64) -> Self {
        Self(&Ratio::new(millilitres, 1) * &Ratio::new(1_000, 1))
    }

    /// Returns the exact microlitres.
    #[must_use]
    pub const fn microlitres(&self) -> &Ratio {
        &self.0
    }

    /// Returns the microlitres rounded to a whole number, half to even.
    #[must_use]
    pub fn whole_microlitres(&self) -> u64 {
        u64::try_from(self.0.to_mass().micrograms()).unwrap_or(0)
    }
}

/// Millilitres with at most one decimal: `250 ml`.
impl fmt::Display for Volume {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let tenths = (&self.0 * &Ratio::new(1, 100)).to_mass().micrograms();
        match tenths % 10 {
            0 => f.pad(&format!("{} ml", tenths / 10)),
            tenth => f.pad(&format!("{}.{tenth} ml", tenths / 10)),
        }
    }
}

/// A unit of volume that a person may write.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum VolumeUnit {
    /// Millilitre.
    Millilitre,
    /// Litre.
    Litre,
    /// Fluid ounce; which one is a setting ([`FluidOunce`]).
    FluidOunce,
}

impl VolumeUnit {
    /// Returns the symbol, as written in files.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Millilitre => "ml",
            Self::Litre => "l",
            Self::FluidOunce => "fl-oz",
        }
    }

    /// Returns one of this unit; `None` for a fluid ounce while nobody said which.
    #[must_use]
    pub fn one(self, ounce: Option<FluidOunce>) -> Option<Volume> {
        match self {
            Self::Millilitre => Some(Volume::from_millilitres(1)),
            Self::Litre => Some(Volume::from_millilitres(1_000)),
            Self::FluidOunce => ounce.map(FluidOunce::volume),
        }
    }
}
