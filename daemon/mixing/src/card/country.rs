//! Whose spoons and ounces are meant.

use std::fmt;
use std::str::FromStr;

use crate::units::{FluidOunce, Spoon};

/// The country a card is for: which spoons and which ounces its people have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Country {
    /// The United States: its own spoons, its own fluid ounce, the ounce of weight.
    Us,
    /// The United Kingdom: spoons of 5 and 15 ml, the imperial fluid ounce, the ounce of weight.
    Uk,
    /// Australia: spoons of 5 and 20 ml.
    Au,
    /// Anywhere with spoons of 5 and 15 ml.
    Metric,
}

/// A word that names no country known here.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not known; known are us, uk, au and metric")]
pub struct UnknownCountry(String);

impl FromStr for Country {
    type Err = UnknownCountry;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        Ok(match text {
            "us" => Self::Us,
            "uk" => Self::Uk,
            "au" => Self::Au,
            "metric" => Self::Metric,
            other => return Err(UnknownCountry(other.chars().take(40).collect())),
        })
    }
}

impl Country {
    /// Returns the measuring spoons in its drawers.
    #[must_use]
    pub const fn spoon(self) -> Spoon {
        match self {
            Self::Us => Spoon::Us,
            Self::Uk | Self::Metric => Spoon::Metric,
            Self::Au => Spoon::Australian,
        }
    }

    /// Returns its fluid ounce, where it has one.
    #[must_use]
    pub const fn fluid_ounce(self) -> Option<FluidOunce> {
        match self {
            Self::Us => Some(FluidOunce::Us),
            Self::Uk => Some(FluidOunce::Imperial),
            Self::Au | Self::Metric => None,
        }
    }

    /// Returns whether its people weigh in ounces too.
    #[must_use]
    pub const fn weighs_in_ounces(self) -> bool {
        match self {
            Self::Us | Self::Uk => true,
            Self::Au | Self::Metric => false,
        }
    }

    /// Says which measures are meant.
    #[must_use]
    pub const fn measures(self) -> &'static str {
        match self {
            Self::Us => {
                "US measures: teaspoon 4.93 ml, tablespoon 14.79 ml, fluid ounce 29.57 ml, ounce 28.35 g"
            }
            Self::Uk => {
                "UK measures: teaspoon 5 ml, tablespoon 15 ml, imperial fluid ounce 28.41 ml, ounce 28.35 g"
            }
            Self::Au => "Australian measures: teaspoon 5 ml, tablespoon 20 ml",
            Self::Metric => "metric measures: teaspoon 5 ml, tablespoon 15 ml",
        }
    }
}

impl fmt::Display for Country {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Us => "us",
            Self::Uk => "uk",
            Self::Au => "au",
            Self::Metric => "metric",
        })
    }
}
