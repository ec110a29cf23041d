//! Whose spoons and ounces are meant.

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
