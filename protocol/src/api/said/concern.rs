//! What speaks against a batch as it stands, and the ways round it.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::CountSaid;

/// One thing that speaks against a batch as it stands.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case", tag = "what")]
pub enum ConcernSaid {
    /// The scale is coarser than the tolerance.
    Widened {
        /// Which ingredient, by its name.
        ingredient: String,
        /// How much of it, in grams.
        target_g: f64,
        /// The tolerance the recipe asks for, in grams.
        asked_g: f64,
        /// The tolerance in force, in grams.
        in_force_g: f64,
        /// The smallest amount this scale weighs as accurately as asked, in grams.
        smallest_g: f64,
    },
    /// The whole addition is no more than the weighing's uncertainty.
    Unweighable {
        /// Which ingredient, by its name.
        ingredient: String,
        /// How much of it, in grams.
        target_g: f64,
        /// The uncertainty of the weighing, in grams.
        uncertainty_g: f64,
    },
    /// The scale cannot tell it from nothing.
    Unseen {
        /// Which ingredient, by its name.
        ingredient: String,
        /// The splash, or the width of the range, in grams.
        amount_g: f64,
        /// The scale's division, in grams.
        division_g: f64,
    },
    /// The count does not come out even.
    UnevenCount {
        /// Which ingredient, by its name.
        ingredient: String,
        /// The count as it will be said.
        count: CountSaid,
        /// How far the count's weight is from the share, as a fraction of it.
        off: f64,
    },
    /// Jar and contents are more than the scale weighs.
    OverCapacity {
        /// What the contents may weigh at most, in grams.
        contents_g: f64,
        /// The empty jar, in grams, where it is known.
        #[serde(default)]
        tare_g: Option<f64>,
        /// What the scale weighs at most, in grams.
        capacity_g: f64,
    },
    /// Jar and contents may be more than the scale weighs.
    LittleLeftForJar {
        /// What the contents may weigh at most, in grams.
        contents_g: f64,
        /// What the empty jar may weigh at most, in grams.
        left_g: f64,
        /// What the scale weighs at most, in grams.
        capacity_g: f64,
    },
    /// The contents are more than the jar holds.
    JarTooSmall {
        /// What the contents may take up, in millilitres.
        contents_ml: f64,
        /// What the jar holds, in millilitres.
        jar_ml: f64,
        /// Ingredients taken as 1 g/ml because their density is not known.
        #[serde(default)]
        assumed: Vec<String>,
    },
    /// There is too little on the shelf.
    StockShort {
        /// Of which ingredient, by its name.
        ingredient: String,
        /// The most that may be needed, in grams.
        needed_g: f64,
        /// What there is, in grams.
        stock_g: f64,
    },
    /// The finished jar on the pan does not weigh what its record says.
    UnlikeItsRecord {
        /// Which jar, by its recipe and its mark.
        jar: String,
        /// How much more it weighs than it should, in grams; below nothing where it weighs less.
        off_g: f64,
        /// What it should weigh, in grams.
        should_g: f64,
    },
}

/// A way round a [`ConcernSaid`].
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case", tag = "what")]
pub enum WayRound {
    /// Make at least so much.
    BiggerBatch {
        /// The planned total, in grams.
        planned_g: f64,
    },
    /// Make exactly so much, and the count comes out even.
    EvenBatch {
        /// The planned total, in grams.
        planned_g: f64,
    },
    /// Make at most so much.
    SmallerBatch {
        /// The planned total, in grams.
        planned_g: f64,
    },
    /// Count drops instead of weighing.
    CountDrops,
    /// Dilute it first, so that more of it is weighed.
    DiluteFirst {
        /// How many times as much.
        times: u64,
    },
    /// Weigh this step on a finer scale.
    FinerScale {
        /// The coarsest division that will do, in grams.
        division_g: f64,
    },
    /// Take a larger jar.
    LargerJar {
        /// What it should hold, in millilitres.
        holds_ml: f64,
    },
    /// Take a lighter jar.
    LighterJar {
        /// What it may weigh, in grams.
        tare_g: f64,
    },
    /// Weigh out of the bottle, with the jar beside the scale.
    OutOfBottle,
    /// Get more of it.
    GetMore {
        /// How much more, in grams.
        missing_g: f64,
    },
    /// Give this up and put the right jar on the pan; or go on with this one as it is.
    RightJar,
}
