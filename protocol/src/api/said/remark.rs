//! What is remarked of a recipe, its amounts and its sizes.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Something to know of a recipe that can be made all the same; what to do about it follows from it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case", tag = "what")]
pub enum RemarkSaid {
    /// It has shares alone and no size of its own.
    OnlyShares,
    /// Its percentages are no whole: each is taken as its share of what they come to.
    PercentNotWhole {
        /// What they come to, as a fraction.
        sum: f64,
    },
    /// Its amounts do not come to what it says it makes: their ratio is kept.
    AmountsNotMakes {
        /// What they come to, in grams.
        sum_g: f64,
        /// What it says it makes, in grams.
        makes_g: f64,
    },
    /// A tolerance lets everything pass.
    LetsAllPass {
        /// The addition it is for, in grams.
        amount_g: f64,
    },
    /// The jar is too small.
    JarTooSmall {
        /// What goes in at most, in millilitres.
        contents_ml: f64,
        /// What the jar holds, in millilitres.
        jar_ml: f64,
        /// Ingredients taken as 1 g/ml because their density is not known.
        #[serde(default)]
        assumed: Vec<String>,
    },
    /// Paints of two families are in one jar.
    Families {
        /// One that is of another family than the first of the jar.
        other: String,
        /// Its family.
        other_family: String,
        /// The first of the jar.
        first: String,
        /// Its family.
        first_family: String,
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
    /// Something stands in for what is not to be had.
    StandsIn {
        /// What is not to be had.
        missing: String,
        /// What stands in for it.
        used: String,
        /// What the shelf says of it, in its own words.
        #[serde(default)]
        note: Option<String>,
    },
    /// A name is neither on the shelf nor a recipe.
    NotOnShelf {
        /// The name.
        name: String,
        /// What it may have meant.
        #[serde(default)]
        meant: Option<String>,
    },
    /// There is no shelf to look for a name on.
    NoShelf {
        /// The name.
        name: String,
        /// What it may have meant.
        #[serde(default)]
        meant: Option<String>,
    },
    /// The steps are rounded to whole micrograms, and do not come to what was planned.
    Rounded {
        /// What they come to, in grams.
        sum_g: f64,
        /// What was planned, in grams.
        planned_g: f64,
    },
    /// No density is known: 1 g/ml is taken.
    Assumed {
        /// Of which ingredients.
        ingredients: Vec<String>,
    },
    /// Stand-ins changed how much there is of an ingredient.
    Changed {
        /// Which.
        ingredient: String,
        /// Its share as the recipe is written, from 0 to 1.
        written_share: f64,
        /// Its grams as the recipe is written.
        written_g: f64,
        /// Its share with the stand-ins.
        share: f64,
        /// Its grams with the stand-ins.
        grams: f64,
    },
}
