//! What a decoder hands on.

use std::fmt;

use super::why::Why;
use crate::reading::Reading;

/// What one frame of a scale gave.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Decoded {
    /// It was understood.
    Reading(Reading),
    /// It was not, and this is what came.
    Rejected(Rejected),
}

/// A frame that gave no reading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rejected {
    /// The bytes as they came, for the person to see.
    pub raw: Raw,
    /// What is wrong with them.
    pub why: Why,
}

/// Bytes kept for a person to see, never more than [`Raw::LIMIT`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Raw(Box<[u8]>);

impl Raw {
    /// Most bytes that are kept.
    pub const LIMIT: usize = 256;

    /// Keeps the first bytes.
    #[must_use]
    pub fn keep(bytes: &[u8]) -> Self {
        Self(bytes.get(..Self::LIMIT).unwrap_or(bytes).into())
    }

    /// Returns the bytes.
    #[must_use]
    pub const fn bytes(&self) -> &[u8] {
        &self.0
    }
}

/// Text as text, other bytes as `\x02`.
impl fmt::Display for Raw {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&self.0.escape_ascii(), f)
    }
}
