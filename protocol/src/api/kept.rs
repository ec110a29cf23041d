//! A batch as the log keeps it, to be moved into another log; copies of the log, and whether it is whole.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A batch as the log keeps it: enough to rebuild it elsewhere without judging anything again.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct KeptBatch {
    /// Its mark.
    pub mark: String,
    /// The bench it was made at.
    pub bench: String,
    /// The recipe's name.
    pub recipe: String,
    /// Whether it was a rehearsal.
    pub rehearsal: bool,
    /// Its state, as one word of ISA-88.
    pub state: String,
    /// The planned total in micrograms.
    #[schema(minimum = 0)]
    pub planned_ug: i64,
    /// When it was opened (RFC 3339, UTC).
    pub opened: String,
    /// When it ended (RFC 3339, UTC).
    pub closed: Option<String>,
    /// The procedure as JSON.
    pub procedure: String,
    /// The recipe file's text.
    pub recipe_text: String,
    /// The shelf file's text.
    pub shelf_text: String,
    /// The scale profile's text.
    pub profile_text: String,
    /// Its journal, in order.
    pub entries: Vec<KeptEntry>,
    /// The weight over time: microseconds of bench time and micrograms, in order.
    #[serde(default)]
    pub trace: Vec<(i64, i64)>,
}

/// An entry of a journal as the log keeps it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct KeptEntry {
    /// When, in microseconds of bench time.
    #[schema(minimum = 0)]
    pub tick_us: i64,
    /// When (RFC 3339, UTC).
    pub at: String,
    /// Its kind.
    pub kind: String,
    /// What it says, as JSON.
    pub body: String,
    /// The mass it moved.
    #[serde(default)]
    pub transfers: Vec<KeptTransfer>,
}

/// Mass that went from one vessel to another.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct KeptTransfer {
    /// From where.
    pub from: KeptVessel,
    /// To where.
    pub to: KeptVessel,
    /// What: an ingredient's key, or `the mixture`.
    pub substance: String,
    /// How much, in micrograms.
    #[schema(minimum = 1)]
    pub mass_ug: u64,
    /// Whether a scale saw it.
    pub seen: bool,
}

/// Where mass can be.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum KeptVessel {
    /// The packs of an ingredient, by its key.
    Shelf(String),
    /// The jar of a batch, by its mark.
    Jar(String),
    /// A cup, by its name.
    Cup(String),
    /// Gone.
    Waste,
    /// Nobody knows.
    Unknown,
}

/// What became of a batch that was moved here.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct TakenIn {
    /// Its mark.
    pub mark: String,
    /// Whether it was here already, all of it.
    pub already: bool,
    /// Whether it was here up to a point, and what it went on with was taken in.
    #[serde(default)]
    pub went_on: bool,
    /// What of it cannot be read, a sentence each: it is taken in all the same, for nothing that was weighed rests on that.
    #[serde(default)]
    pub remarks: Vec<String>,
}

/// Copy the log.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CopyLog {
    /// Into which new file, by its whole path.
    pub path: String,
}

/// A copy of the log.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct LogCopied {
    /// Where it is.
    pub path: String,
    /// How many batches are in it.
    pub batches: u64,
    /// How many entries.
    pub entries: u64,
    /// How large it is, in bytes.
    pub bytes: u64,
}

/// Whether the log is whole.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct LogChecked {
    /// Where it is.
    pub path: String,
    /// What is wrong, a sentence each; nothing where it is whole.
    pub found: Vec<String>,
}
