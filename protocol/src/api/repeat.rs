//! A batch made again, and two batches side by side.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::batch::BatchRecord;
use super::bench::MeasuresSaid;

/// Make a batch again.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RepeatBatch {
    /// Its mark.
    pub mark: String,
    /// Whether what really went in is made, and not what its recipe says.
    #[serde(default)]
    pub as_poured: bool,
    /// How much, a mass such as `200 g`; as much as was planned, or was poured, by default.
    #[serde(default)]
    pub make: Option<String>,
    /// The text of the shelf as it is now; the one that the batch kept by default.
    #[serde(default)]
    pub shelf: Option<String>,
    /// Which kitchen measures are meant in its recipe.
    #[serde(default, deserialize_with = "super::object::only")]
    pub measures: MeasuresSaid,
    /// A rescue may make the batch grow by at most so many percent without asking; 10 by default.
    #[serde(default)]
    pub grow_by_percent: Option<u32>,
    /// How warm and damp the room is, as `21 C, 45 %`, for the record.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room: Option<String>,
    /// Whose hand pours, up to 40 letters: stop is learnt of each hand by itself. The usual one where nobody says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hand: Option<String>,
}

/// The recipe that a batch was made from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct BatchRecipe {
    /// Its text, as it was when the batch was opened.
    pub text: String,
    /// A recipe of what really went in; not there where nothing did.
    #[serde(default)]
    pub as_poured: Option<String>,
}

/// The recipe's file, as it is now in the folder that was named.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct RecipeFile {
    /// The file's name.
    pub file: String,
    /// Whether its text is another than the one the batch was made from.
    pub changed: bool,
}

/// Two batches side by side.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ComparedBatches {
    /// The one.
    pub one: BatchRecord,
    /// The other.
    pub other: BatchRecord,
    /// Whether both were made from the same text.
    pub same_recipe: bool,
    /// What went in, by ingredient, those of the one first.
    pub ingredients: Vec<ComparedIngredient>,
    /// The trails that were measured, in seconds and in order.
    pub trails_s: Pair<Vec<f64>>,
}

/// One ingredient of two batches.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ComparedIngredient {
    /// Its key.
    pub ingredient: String,
    /// Its name.
    pub name: String,
    /// As planned, in grams.
    pub planned_g: Pair<Option<f64>>,
    /// As poured, in grams.
    pub poured_g: Pair<Option<f64>>,
    /// Its part of all that was poured, from 0 to 1.
    pub part: Pair<Option<f64>>,
}

/// The same of both.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Pair<T> {
    /// Of the one.
    pub one: T,
    /// Of the other.
    pub other: T,
}
