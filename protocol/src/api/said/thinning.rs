//! What is advised about thinning.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What is advised in a step that thins, and why.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case", tag = "what")]
pub enum Advised {
    /// The recipe's splash: nothing else is known yet.
    RecipeSplash,
    /// As far as the limit of added water.
    WaterLimit {
        /// The limit, as a share of the jar from 0 to 1.
        limit: f64,
    },
    /// A splash by the trails of this jar.
    ByThisJar {
        /// By how many trails.
        points: u32,
        /// How well the way of the trail is known, as a fraction of itself; an estimate.
        spread: f64,
        /// The trail to be expected after the splash, in seconds; an estimate.
        expected_s: f64,
    },
    /// A splash by earlier batches.
    ByEarlierBatches {
        /// By how many.
        batches: u32,
        /// How well the way of the trail is known, as a fraction of itself; an estimate.
        spread: f64,
        /// The trail to be expected after the splash, in seconds; an estimate.
        expected_s: f64,
    },
    /// Measure the trail now.
    Measure,
    /// The trail is right.
    Right,
    /// It is too thin, and so much of the mix without thinner brings it back.
    TooThin {
        /// How much, in grams; an estimate.
        unthinned_g: f64,
    },
    /// It is too thin, and the trails do not tell how much of the mix without thinner brings it back.
    TooThinUntold {
        /// How much to try, in grams.
        unthinned_g: f64,
    },
    /// It is too thin, and not by the thinner.
    TooThinAnyway,
    /// All the thinner that the recipe allows is in.
    AtMost,
}

/// More water was added than the limit that was set for a warning.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Watered {
    /// The share of the jar by weight that is added water, from 0 to 1.
    pub share: f64,
    /// The limit, from 0 to 1.
    pub limit: f64,
}
