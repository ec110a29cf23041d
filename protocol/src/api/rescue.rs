//! Putting a slip right without a scale.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::bench::MeasuresSaid;

/// Ask what can still be done with a jar.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RescueRequest {
    /// Which of the files, by its stem.
    pub recipe: String,
    /// The recipe files, text by stem.
    pub recipes: BTreeMap<String, String>,
    /// The text of the shelf, where there is one. Its stock is what is there now.
    #[serde(default)]
    pub shelf: Option<String>,
    /// Which kitchen measures are meant.
    #[serde(default, deserialize_with = "super::object::only")]
    pub measures: MeasuresSaid,
    /// What is chosen of what the recipe leaves to choose, option by choice; the first option where nobody chooses.
    #[serde(default)]
    pub choices: BTreeMap<String, String>,
    /// What was to be made, a mass such as `250 g`; what the recipe says by default.
    #[serde(default)]
    pub make: Option<String>,
    /// What was poured, in order.
    pub poured: Vec<PouredSaid>,
    /// What the jar holds, a mass or a volume; what the recipe says by default.
    #[serde(default)]
    pub jar: Option<String>,
    /// What was spilled or taken out of the mix since, a mass.
    #[serde(default)]
    pub taken_out: Option<String>,
    /// What is in the jar that the recipe does not know, a mass.
    #[serde(default)]
    pub outside: Option<String>,
    /// What all of it weighs, a mass: one amount of `poured` may then be unknown.
    #[serde(default)]
    pub in_jar: Option<String>,
    /// The division of the scale, a mass.
    #[serde(default)]
    pub division: Option<String>,
}

/// One thing that was poured.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PouredSaid {
    /// An ingredient, a premix, or what a premix is made of.
    pub ingredient: String,
    /// A mass, or nothing where nobody knows.
    #[serde(default)]
    pub amount: Option<String>,
}

/// What can still be done with a jar.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RescueAnswer {
    /// What was to be made, in grams.
    pub planned_g: f64,
    /// What is in the jar of the recipe's ingredients, in grams.
    pub in_jar_g: f64,
    /// Every way out, the best first; those that cannot be done last.
    pub options: Vec<RescueLine>,
    /// The kind of the way that is recommended, where one can be done.
    pub recommended: Option<String>,
    /// Why it is recommended.
    pub reason: Option<String>,
}

/// One way out; numbers are not rounded unless their name says so.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RescueLine {
    /// `top-up-exact`, `top-up-least`, `take-out`, `make-less` or `accept`.
    pub kind: String,
    /// The option, ready to read.
    pub text: String,
    /// Whether it can be done.
    pub feasible: bool,
    /// Why not; the numbers are then those it would take.
    pub why_not: Option<String>,
    /// What the recipe's ingredients come to at the end.
    pub total_g: f64,
    /// What is taken out first, of the well-stirred mix.
    pub take_out_g: f64,
    /// What is added.
    pub add: Vec<RescuePour>,
    /// The share of every raw ingredient.
    pub shares: Vec<RescueShare>,
    /// The largest fraction of itself by which a share is off.
    pub worst_deviation: f64,
    /// What the additions cost, where every price is known.
    pub cost: Option<f64>,
    /// The currency, where the shelf says it (ISO 4217).
    pub currency: Option<String>,
}

/// One addition of a way out.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RescuePour {
    /// Its key.
    pub ingredient: String,
    /// How much.
    pub grams: f64,
    /// How much the scale can show of it; 0 where it is too little to be weighed.
    pub rounded_g: f64,
}

/// A raw ingredient's share of the whole, from 0 to 1.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RescueShare {
    /// Its key.
    pub ingredient: String,
    /// As the recipe wants it.
    pub planned: f64,
    /// As it would be.
    pub result: f64,
    /// Its expanded uncertainty (k = 2) from the weighing, where the division is known.
    pub uncertainty: Option<f64>,
}
