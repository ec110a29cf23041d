//! Quantities a person writes: volumes, densities, spoons, counts and times.
//!
//! | file | idea |
//! |---|---|
//! | `quantity` | a number with a unit, exactly as written |
//! | `volume`, `density`, `length`, `percent`, `time` | what it may be, beside a mass |
//! | `measures` | which spoon and which fluid ounce are meant |

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
