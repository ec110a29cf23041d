//! What went wrong, as a problem document.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A problem document (RFC 9457), with what the person can do about it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Problem {
    /// A stable name of the kind of problem, `urn:tarehand:problem:no-such-bench`.
    #[serde(rename = "type")]
    pub kind: String,
    /// The kind in a few words.
    pub title: String,
    /// The HTTP status.
    pub status: u16,
    /// What happened here.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub detail: Option<String>,
    /// Which of the reasons of this kind it is, as a word that stays the same: `nothing-to-undo`.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub reason: Option<String>,
    /// What the person can do about it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub hint: Option<String>,
}
