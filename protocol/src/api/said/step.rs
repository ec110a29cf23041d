//! What a step is.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What is done in a step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case", tag = "what")]
pub enum StepAction {
    /// Add an ingredient.
    Add {
        /// Its name.
        ingredient: String,
    },
    /// Add more of an ingredient, since a rescue says so.
    More {
        /// Its name.
        ingredient: String,
    },
    /// Empty a whole vessel into the jar.
    WholeVessel {
        /// Which, in the author's words.
        vessel: String,
        /// What is in it, by its name.
        ingredient: String,
    },
    /// Stir.
    Stir {
        /// How long, in seconds.
        seconds: f64,
    },
    /// Let it rest.
    Rest {
        /// How long, in seconds.
        seconds: f64,
    },
    /// Strain.
    Strain {
        /// Through what, in the author's words.
        through: String,
    },
    /// Look.
    Look {
        /// What should be seen, in the author's words.
        expect: String,
    },
    /// Measure the trail.
    Trail,
    /// Thin in small amounts.
    Thin {
        /// With what, by its name.
        ingredient: String,
    },
    /// Take some of the mix out of the jar.
    TakeOut {
        /// How much, in grams.
        take_out_g: f64,
    },
    /// Let the mix out of the jar into another vessel.
    Decant {
        /// How much, in grams; not there where it is all that comes out.
        #[serde(default)]
        decant_g: Option<f64>,
        /// Into what, in the author's words.
        into: String,
    },
    /// Read a remark.
    Note {
        /// The author's words.
        text: String,
    },
}

/// What is counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CountUnitWord {
    /// Drops.
    Drop,
    /// Teaspoons.
    Teaspoon,
    /// Tablespoons.
    Tablespoon,
}

/// How many of a unit are counted.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CountSaid {
    /// Of which unit.
    pub unit: CountUnitWord,
    /// How many: whole drops, quarters of spoons; 0 where it is less than the least that is counted.
    pub number: f64,
    /// The least that is counted of this unit.
    pub least: f64,
    /// Whether the count is exact.
    pub exact: bool,
}
