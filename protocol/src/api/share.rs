//! Handing recipes and batches on.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::bench::MeasuresSaid;

/// In which form a card is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CardForm {
    /// Plain text.
    #[default]
    Text,
    /// Markdown.
    Markdown,
    /// JSON-LD: a `HowTo` of schema.org.
    JsonLd,
}

/// Whose spoons and ounces a card says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CountryWord {
    /// The United States.
    Us,
    /// The United Kingdom.
    Uk,
    /// Australia.
    Au,
    /// Anywhere with spoons of 5 and 15 ml.
    Metric,
}

/// Ask for the card of a recipe.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ShareRequest {
    /// Which of the files, by its stem.
    pub recipe: String,
    /// The recipe files, text by stem.
    pub recipes: BTreeMap<String, String>,
    /// The text of the shelf, where there is one.
    #[serde(default)]
    pub shelf: Option<String>,
    /// Which kitchen measures are meant in the files.
    #[serde(default, deserialize_with = "super::object::only")]
    pub measures: MeasuresSaid,
    /// What is chosen of what the recipe leaves to choose, option by choice; the first option where nobody chooses.
    #[serde(default)]
    pub choices: BTreeMap<String, String>,
    /// For how much, a mass such as `250 g`; what the recipe says by default.
    #[serde(default)]
    pub make: Option<String>,
    /// In which form.
    #[serde(default)]
    pub format: CardForm,
    /// Whose spoons and ounces to say beside the grams; none by default.
    #[serde(default, rename = "for")]
    pub country: Option<CountryWord>,
}

/// Ask for the card of a set.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ShareSetRequest {
    /// The text of the set.
    pub set: String,
    /// What the card's document calls it, the stem of its file; `set` by default.
    #[serde(default)]
    pub key: Option<String>,
    /// The recipe files, text by stem.
    pub recipes: BTreeMap<String, String>,
    /// The text of the shelf, where there is one.
    #[serde(default)]
    pub shelf: Option<String>,
    /// Which kitchen measures are meant in the files.
    #[serde(default, deserialize_with = "super::object::only")]
    pub measures: MeasuresSaid,
    /// What is chosen for all jars, option by choice, in place of what the set chooses for all.
    #[serde(default)]
    pub choices: BTreeMap<String, String>,
    /// In which form.
    #[serde(default)]
    pub format: CardForm,
    /// Whose spoons and ounces to say beside the grams; none by default.
    #[serde(default, rename = "for")]
    pub country: Option<CountryWord>,
}

/// A card, written.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct SharedCard {
    /// Its media type: `text/plain`, `text/markdown` or `application/ld+json`.
    pub media_type: String,
    /// The card.
    pub text: String,
}

/// A new version of a recipe, from what was judged in a batch of it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct AdoptedRecipe {
    /// The text of its file.
    pub text: String,
    /// What was judged and stays as it was written, and why.
    pub notes: Vec<String>,
}
