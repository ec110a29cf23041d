//! What keeps a way out from being done, and what put a mix off its ratio.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Why a way out cannot be done.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case", tag = "what")]
pub enum ObstacleSaid {
    /// The jar is too small.
    Jar {
        /// What it would have to hold, in millilitres.
        needs_ml: f64,
        /// What it holds, in millilitres.
        holds_ml: f64,
    },
    /// The jar is too small, by weight.
    JarWeight {
        /// What it would have to hold, in grams.
        needs_g: f64,
        /// What it holds, in grams.
        holds_g: f64,
    },
    /// The shelf has too little of an ingredient.
    Stock {
        /// The ingredient's name.
        ingredient: String,
        /// How much is still needed, in grams.
        needs_g: f64,
        /// How much there is, in grams.
        has_g: f64,
    },
    /// There is so much of an ingredient in the jar that a smaller batch is out of reach.
    TooMuchIn {
        /// The ingredient's name.
        ingredient: String,
        /// The batch that this much of it makes, in grams.
        makes_g: f64,
        /// The largest batch that was looked for, in grams.
        most_g: f64,
    },
    /// What there is of one ingredient serves less than what is in the jar of another.
    Outrun {
        /// The name of the ingredient that is short.
        ingredient: String,
        /// The batch that what there is of it is enough for, in grams.
        enough_for_g: f64,
        /// The name of the ingredient that is in already.
        of: String,
        /// The batch that this much of it makes, in grams.
        makes_g: f64,
    },
}

/// What put a mix off its ratio.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SlipWord {
    /// There is no more of an ingredient.
    RanOut,
    /// Something was taken out.
    TakenOut,
}
