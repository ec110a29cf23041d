//! What is on the shelf, and what batches took from it.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::ShelfSaid;
use super::bench::MeasuresSaid;

/// Say what is left of a shelf.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct StockRequest {
    /// The text of the shelf.
    pub shelf: String,
    /// Which kitchen measures are meant.
    #[serde(default, deserialize_with = "super::object::only")]
    pub measures: MeasuresSaid,
}

/// What is on the shelf.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ShelfStock {
    /// Whether what batches drew is taken off.
    pub drawn_known: bool,
    /// The ingredients, by key.
    pub ingredients: Vec<StockLine>,
    /// What is worth a second look.
    pub warnings: Vec<ShelfWarning>,
}

/// One ingredient.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct StockLine {
    /// Its key.
    pub ingredient: String,
    /// Its name.
    pub name: String,
    /// What is left in all, in grams; `null` where the shelf does not say.
    pub left_g: Option<f64>,
    /// What was poured beyond all that its packs held, in grams.
    pub beyond_g: f64,
    /// Its packs, the one to use first at the head.
    pub packs: Vec<PackLine>,
    /// Its family of paint.
    pub family: Option<String>,
    /// What it was mixed from, in shares of one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub made_of: Option<BTreeMap<String, f64>>,
    /// Its cautions, in the shelf's own words.
    #[serde(default)]
    pub cautions: Vec<String>,
}

/// One pack.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PackLine {
    /// Its lot.
    pub lot: Option<String>,
    /// What it held, in grams.
    pub holds_g: f64,
    /// What is left, in grams.
    pub left_g: f64,
    /// When that was known last (RFC 3339, UTC).
    pub weighed: Option<String>,
    /// When it was opened.
    pub opened: Option<String>,
    /// Until when the maker vouches for it.
    pub best_before: Option<String>,
    /// Whether it is the one to pour from.
    pub in_use: bool,
}

/// Something of the shelf that is worth a second look.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ShelfWarning {
    /// The ingredient.
    pub ingredient: String,
    /// The lot, where it is about one.
    pub lot: Option<String>,
    /// Its kind, one word.
    pub kind: String,
    /// What it is and what to do.
    pub text: String,
    /// The ingredient's name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// What it is, as data.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub said: Option<ShelfSaid>,
}

/// What batches took from the shelf.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ShelfDrawn {
    /// What was taken, by ingredient; rehearsals take nothing.
    pub ingredients: Vec<IngredientDrawn>,
}

/// What batches took of one ingredient.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct IngredientDrawn {
    /// The ingredient's key.
    pub ingredient: String,
    /// All of it, in grams; what was taken back counts back.
    pub drawn_g: f64,
    /// Each time, in order.
    pub draws: Vec<DrawLine>,
}

/// What a batch took in one go.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct DrawLine {
    /// When it was booked (RFC 3339, UTC).
    pub at: String,
    /// The batch, by its mark.
    pub batch: String,
    /// How much, in grams; below zero where a booking was taken back.
    pub drawn_g: f64,
}
