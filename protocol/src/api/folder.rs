//! The recipe folder: the files a studio keeps its recipes, sets and shelf in.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::bench::MeasuresSaid;

/// Name the folder that faces without files of their own, such as the page, read and write.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NameFolder {
    /// Its whole path.
    pub path: String,
    /// Which kitchen measures its recipes mean.
    #[serde(default, deserialize_with = "super::object::only")]
    pub measures: MeasuresSaid,
    /// A rescue may make a batch grow by at most so many percent without asking; 10 by default.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grow_by_percent: Option<u32>,
    /// For how many days a mix is good, for the labels; only packs say it by default.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, maximum = 36500)]
    pub best_before_days: Option<u32>,
}

/// What is in the recipe folder.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct FolderAnswer {
    /// Its whole path.
    pub path: String,
    /// Which kitchen measures its recipes mean.
    pub measures: MeasuresSaid,
    /// A rescue may make a batch grow by at most so many percent without asking, where that was said.
    pub grow_by_percent: Option<u32>,
    /// For how many days a mix is good, for the labels, where that was said.
    #[serde(default)]
    pub best_before_days: Option<u32>,
    /// Recipes and sets, by name, and the shelf that goes with them.
    pub files: Vec<FolderFile>,
    /// What lies there and cannot be read.
    pub left_out: Vec<LeftOut>,
}

/// What a file of the recipe folder is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum FileWord {
    /// A recipe.
    Recipe,
    /// The jars of one pour.
    Set,
    /// The ingredients at hand.
    Shelf,
}

/// A file of the recipe folder.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct FolderFile {
    /// Its name without the ending; `shelf` for the shelf.
    pub stem: String,
    /// What it is.
    pub kind: FileWord,
    /// The name that stands in it.
    pub name: Option<String>,
    /// Whether it lies elsewhere: the common shelf, where the folder has none of its own.
    #[serde(default)]
    pub common: bool,
    /// Its text.
    pub text: String,
    /// What tells this text from another one; to be sent back in `If-Match` with what takes its place.
    pub mark: String,
}

/// A file that is not read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct LeftOut {
    /// Its name.
    pub file: String,
    /// Why.
    pub why: String,
}

/// A text to be written.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WriteFile {
    /// All of it.
    pub text: String,
}
