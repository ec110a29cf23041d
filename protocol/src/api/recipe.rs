//! Checking and sizing recipes.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::bench::{MeasuresSaid, Size};
use super::{CountSaid, RemarkSaid, StepAction};

/// Check recipes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CheckRequest {
    /// The recipe files, text by stem.
    pub recipes: BTreeMap<String, String>,
    /// The text of the shelf, where there is one.
    #[serde(default)]
    pub shelf: Option<String>,
    /// Which kitchen measures are meant.
    #[serde(default, deserialize_with = "super::object::only")]
    pub measures: MeasuresSaid,
    /// What is chosen of what the recipe leaves to choose, option by choice; the first option where nobody chooses.
    #[serde(default)]
    pub choices: BTreeMap<String, String>,
}

/// What a check found.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CheckAnswer {
    /// Whether every recipe can be made.
    pub good: bool,
    /// Everything found, in order.
    pub diagnostics: Vec<DiagnosticLine>,
    /// The choices that a recipe leaves, as they were made, by its stem; recipes that leave none are left out.
    #[serde(default)]
    pub choices: BTreeMap<String, Vec<ChoiceLine>>,
}

/// A choice that a recipe leaves, as it was made.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct ChoiceLine {
    /// What is chosen.
    pub name: String,
    /// What was chosen.
    pub chosen: String,
    /// What could have been chosen instead.
    pub others: Vec<String>,
}

/// One thing a check found.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct DiagnosticLine {
    /// `error`, `warning` or `note`.
    pub severity: String,
    /// The file.
    pub file: String,
    /// The line, from one.
    pub line: u32,
    /// The column, from one.
    pub column: u32,
    /// What was found.
    pub message: String,
    /// What would be right.
    pub help: Option<String>,
    /// The same as data; not there where nothing can be made before it is mended.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub remark: Option<RemarkSaid>,
}

/// Size a recipe.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SizeRequest {
    /// Which of the files, by its stem.
    pub recipe: String,
    /// The recipe files, text by stem.
    pub recipes: BTreeMap<String, String>,
    /// The text of the shelf, where there is one.
    #[serde(default)]
    pub shelf: Option<String>,
    /// Which kitchen measures are meant.
    #[serde(default, deserialize_with = "super::object::only")]
    pub measures: MeasuresSaid,
    /// What is chosen of what the recipe leaves to choose, option by choice; the first option where nobody chooses.
    #[serde(default)]
    pub choices: BTreeMap<String, String>,
    /// How much to make.
    pub size: Size,
}

/// A recipe sized for one jar.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SizedProcedure {
    /// The recipe's name.
    pub recipe: String,
    /// The total of what is inside the ratio, in grams.
    pub total_g: f64,
    /// The choices that the recipe leaves, as they were made.
    #[serde(default)]
    pub choices: Vec<ChoiceLine>,
    /// The steps in order.
    pub steps: Vec<SizedStep>,
    /// What came otherwise because something stands in for what is not to be had.
    #[serde(default)]
    pub changed: Vec<ChangedLine>,
    /// Warnings and notes.
    pub diagnostics: Vec<DiagnosticLine>,
}

/// What a stand-in changed of one ingredient. Shares are from 0 to 1.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ChangedLine {
    /// Its key.
    pub ingredient: String,
    /// Its name.
    pub name: String,
    /// Its share as the recipe is written.
    pub written_share: f64,
    /// Its grams as the recipe is written.
    pub written_g: f64,
    /// Its share with the stand-ins.
    pub share: f64,
    /// Its grams with the stand-ins.
    pub grams: f64,
}

/// One step of a sized recipe.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SizedStep {
    /// What is done: `add`, `stir`, `rest`, `strain`, `look`, `trail`, `thin`, `decant`, `note`.
    pub kind: String,
    /// The step, ready to read.
    pub text: String,
    /// The ingredient's key.
    pub ingredient: Option<String>,
    /// Its name.
    #[serde(default)]
    pub name: Option<String>,
    /// Its grams.
    pub grams: Option<f64>,
    /// Its share of the ratio, from 0 to 1.
    pub share: Option<f64>,
    /// What to count instead, ready to read.
    pub count: Option<String>,
    /// The tolerance the recipe asks for, in grams.
    pub within_g: Option<f64>,
    /// What is done, as data.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub action: Option<StepAction>,
    /// What to count instead, as data.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub counted: Option<CountSaid>,
    /// The least of what is judged by the hand, in grams.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least_g: Option<f64>,
    /// The most of it, in grams; of thinner all splashes together.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most_g: Option<f64>,
    /// The trail that is wanted, in seconds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wanted_s: Option<f64>,
    /// Whether it is poured until it looks right.
    #[serde(default)]
    pub by_eye: bool,
    /// Whether it is weighed out of its bottle.
    #[serde(default)]
    pub from_bottle: bool,
}
