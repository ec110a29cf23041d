//! What is wrong with a file a person wrote, where, and what would be right.
//!
//! | file | idea |
//! |---|---|
//! | `finding` | what a warning or a note says, as data |
//! | `nearest` | what a misspelt word might have meant |
//! | `render` | the line, carets under it, and the help |

mod finding;
mod nearest;
mod render;

use std::ops::Range;

use serde::Serialize;

pub use finding::Finding;
pub(crate) use nearest::nearest;
pub use render::{Paint, render};

/// How bad a [`Diagnostic`] is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// The file cannot be used.
    Error,
    /// It can be used, but probably not as meant.
    Warning,
    /// Nothing is wrong; this is how it was understood.
    Note,
}

/// One remark on a file a person wrote.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Diagnostic {
    /// How bad it is.
    pub severity: Severity,
    /// The file, as the caller named it.
    pub file: String,
    /// The line, from 1.
    pub line: usize,
    /// The column in characters, from 1.
    pub column: usize,
    /// The bytes of the file it points at.
    pub range: Range<usize>,
    /// What was found.
    pub message: String,
    /// What would be right, where that is known.
    pub help: Option<String>,
    /// The same as data; only where it can be made all the same.
    #[serde(skip)]
    pub finding: Option<Finding>,
}

impl Diagnostic {
    /// Returns whether the file cannot be used because of it.
    #[must_use]
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}
