//! What is the matter with a plan, or on the shelf.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What is the matter with a plan. Jars and ingredients are said by their names.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case", tag = "what")]
pub enum PlanSaid {
    /// A jar does not hold what goes into it.
    JarTooSmall {
        /// Which.
        jar: String,
        /// What goes in at most, in millilitres.
        most_ml: f64,
        /// What it holds, in millilitres.
        holds_ml: f64,
    },
    /// A jar, thinned as far as its recipe lets it, holds much added water.
    Watery {
        /// Which.
        jar: String,
        /// How much of it is added water, by weight, from 0 to 1.
        share: f64,
        /// The limit that was set for a warning.
        limit: f64,
    },
    /// There is more pigment than the binder can fill the gaps of.
    Overloaded {
        /// In which jar.
        jar: String,
        /// Its pigment by volume when dry, from 0 to 1.
        pvc: f64,
        /// The most that its binder can fill.
        critical: f64,
    },
    /// A powder meets a jar that is more than half full.
    LatePowder {
        /// Which powder.
        ingredient: String,
        /// Which jar.
        jar: String,
    },
    /// A jar is wanted thicker than one before it.
    OutOfOrder {
        /// Which.
        jar: String,
        /// Its trail, in seconds.
        trail_s: f64,
        /// The thinnest before it.
        behind: String,
        /// The trail of that one, in seconds.
        thinner_s: f64,
    },
    /// There is too little on the shelf.
    Short {
        /// Of which ingredient.
        ingredient: String,
        /// How much is missing, in grams.
        short_g: f64,
        /// How many packs to buy, where the shelf says how it is sold.
        #[serde(default)]
        packs: Option<u64>,
        /// What a pack holds, in grams.
        #[serde(default)]
        pack_g: Option<f64>,
    },
}

/// What is worth a second look on the shelf.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case", tag = "what")]
pub enum ShelfSaid {
    /// More was poured than the packs are known to have held.
    Beyond {
        /// How much more, in grams.
        beyond_g: f64,
    },
    /// Nothing is left.
    Empty,
    /// Little is left.
    Low {
        /// What is left in all, in grams.
        left_g: f64,
        /// Below what it is little, in grams.
        below_g: f64,
    },
    /// The maker no longer vouches for a pack that still has something.
    PastBestBefore {
        /// Until when it did.
        date: String,
    },
    /// A pack that still has something was opened long ago.
    LongOpen {
        /// When.
        date: String,
    },
    /// The newest dry test of the lot in use came out badly.
    DryTest {
        /// When.
        date: String,
        /// How.
        result: DryWord,
    },
}

/// How a dry test came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum DryWord {
    /// Clear and hard.
    Clear,
    /// Cloudy.
    Cloudy,
    /// Still sticky.
    Tacky,
    /// With fine cracks.
    Crazed,
}
