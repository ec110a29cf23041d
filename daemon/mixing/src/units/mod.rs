//! Quantities a person writes: volumes, densities, spoons, counts and times.

mod density;
mod length;
mod measures;
mod percent;
mod quantity;
mod time;
mod volume;

pub use density::{Density, ParseDensityError};
pub use length::{Area, Length, ParseLengthError};
pub use measures::{FluidOunce, Measures, Spoon};
pub use quantity::{Measure, ParseQuantityError, Quantity};
pub use time::{ParseTimeError, parse_time};
pub use volume::{Volume, VolumeUnit};

pub(crate) use percent::parse_percent;
pub(crate) use quantity::{help, parse_number, unit_help};
