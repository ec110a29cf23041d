//! What batches took from the shelf.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What batches took from the shelf since a moment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ShelfDrawn {
    /// Since when (RFC 3339, UTC); `null` for all that the log knows.
    pub since: Option<String>,
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
