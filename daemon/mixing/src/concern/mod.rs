//! What speaks against a procedure on this scale, in this jar, from this shelf, before the first gram.
//!
//! | file | idea |
//! |---|---|
//! | `checks`, `steps` | looks through a procedure, and at single steps |
//! | `weighing` | what follows from how well a scale can know |
//! | `text` | in plain words |

mod checks;
mod steps;
mod text;
mod weighing;

use serde::Serialize;
use tarehand_protocol::Mass;

use crate::sizing::Count;
use crate::weighing::Scale;

pub use checks::{concerns, stock};
pub(crate) use text::{more_than_stock, short};
pub use weighing::{RatioEstimate, in_force, ratio_uncertainty, smallest_worth_weighing};

/// The scale and the jar a procedure is to be carried out with.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Outfit {
    /// The scale's division, where it is known.
    pub division: Option<Mass>,
    /// The most the scale weighs, where it is known.
    pub capacity: Option<Mass>,
    /// What the empty jar weighs, once it stands on the scale.
    pub tare: Option<Mass>,
    /// A second, finer scale on the same bench, where there is one.
    pub fine: Option<Scale>,
}

/// How much a [`Concern`] weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Gravity {
    /// It cannot go well.
    Blocking,
    /// It will go worse than the recipe asks.
    Serious,
    /// Worth knowing.
    Minor,
}

/// One thing that speaks against a procedure as it stands. Steps count from 1.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "concern")]
pub enum Concern {
    /// The scale is coarser than the tolerance: the weighing's own uncertainty is in force.
    Widened {
        /// Which step.
        step: usize,
        /// What is added, by its name.
        ingredient: String,
        /// How much of it.
        target: Mass,
        /// The tolerance the recipe asks for.
        asked: Mass,
        /// The tolerance in force.
        in_force: Mass,
        /// The smallest amount this scale weighs as accurately as asked.
        smallest: Mass,
        /// What can be done.
        ways: Vec<Way>,
    },
    /// The whole addition is no more than the weighing's uncertainty.
    Unweighable {
        /// Which step.
        step: usize,
        /// What is added, by its name.
        ingredient: String,
        /// How much of it.
        target: Mass,
        /// The uncertainty of the weighing.
        uncertainty: Mass,
        /// What can be done.
        ways: Vec<Way>,
    },
    /// A range, or one splash, that the scale cannot tell from nothing.
    Unseen {
        /// Which step.
        step: usize,
        /// What is added, by its name.
        ingredient: String,
        /// The splash, or the width of the range.
        amount: Mass,
        /// The scale's division.
        division: Mass,
    },
    /// The count does not come out even.
    UnevenCount {
        /// Which step.
        step: usize,
        /// What is added, by its name.
        ingredient: String,
        /// The count as it will be said.
        count: Count,
        /// How far the count's weight is from the share, as a fraction of it.
        off: f64,
        /// What can be done.
        ways: Vec<Way>,
    },
    /// Jar and contents are more than the scale weighs.
    OverCapacity {
        /// What the contents may weigh at most.
        contents: Mass,
        /// The empty jar, where it is known.
        tare: Option<Mass>,
        /// What the scale weighs at most.
        capacity: Mass,
        /// What can be done.
        ways: Vec<Way>,
    },
    /// Jar and contents may be more than the scale weighs, since the jar is not weighed yet.
    LittleLeftForJar {
        /// What the contents may weigh at most.
        contents: Mass,
        /// What the scale weighs at most.
        capacity: Mass,
    },
    /// The contents are more than the jar holds.
    JarTooSmall {
        /// What the contents may take up, in microlitres.
        contents_ul: u64,
        /// What the jar holds, in microlitres.
        jar_ul: u64,
        /// Ingredients taken as 1 g/ml because their density is not known.
        assumed: Vec<String>,
        /// What can be done.
        ways: Vec<Way>,
    },
    /// There is too little on the shelf.
    StockShort {
        /// Of what, by its name.
        ingredient: String,
        /// The most that may be needed.
        needed: Mass,
        /// What there is.
        stock: Mass,
        /// What can be done.
        ways: Vec<Way>,
    },
}

/// A way round a [`Concern`].
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "way")]
pub enum Way {
    /// Make at least so much.
    BiggerBatch {
        /// The planned total.
        planned: Mass,
    },
    /// Make exactly so much, and the count comes out even.
    EvenBatch {
        /// The planned total.
        planned: Mass,
    },
    /// Make at most so much.
    SmallerBatch {
        /// The planned total.
        planned: Mass,
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
        /// The coarsest division that will do.
        division: Mass,
    },
    /// Take a larger jar.
    LargerJar {
        /// What it should hold, in microlitres.
        holds_ul: u64,
    },
    /// Take a lighter jar.
    LighterJar {
        /// What it may weigh.
        tare: Mass,
    },
    /// Weigh out of the bottle, with the jar beside the scale.
    OutOfBottle,
    /// Get more of it.
    GetMore {
        /// How much more.
        missing: Mass,
    },
}
