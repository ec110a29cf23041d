//! What is not on a label as it should be.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A remark on a label, as data.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case", tag = "what")]
pub enum LabelSaid {
    /// The code has no room for all of these.
    CodeLacks {
        /// The mark of the batch.
        mark: String,
        /// Which.
        about: Vec<AboutWord>,
    },
    /// The label is too small for a code.
    NoCode {
        /// The mark of the batch.
        mark: String,
        /// What a code needs, in millimetres.
        needs_mm: f64,
    },
    /// Letters that the font cannot draw stand as boxes.
    Boxed {
        /// The mark of the batch.
        mark: String,
        /// In which section.
        about: AboutWord,
        /// Which letters, the first of them, each with its number.
        letters: Vec<String>,
        /// How many more there are.
        more: u64,
        /// Whether the code says them.
        in_code: bool,
    },
    /// Until when the mix is good has no room.
    KeepsCut {
        /// The mark of the batch.
        mark: String,
        /// All that it should say, as labels say it.
        text: String,
    },
    /// These have no room at the smallest type.
    Cut {
        /// The mark of the batch.
        mark: String,
        /// Which.
        about: Vec<AboutWord>,
        /// The smallest type, in points.
        points: f64,
    },
    /// There are more remarks than are sent.
    More {
        /// How many more.
        remarks: u64,
    },
}

/// A section of a label.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum AboutWord {
    /// The name.
    Name,
    /// Date, weight and trail.
    Made,
    /// The cautions.
    Cautions,
    /// The best before.
    Keeps,
    /// What is in it.
    Contents,
    /// What lies outside the ratio.
    Beside,
    /// What a premix holds.
    Premix,
}
