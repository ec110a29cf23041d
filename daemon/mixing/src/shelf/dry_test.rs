//! Dry tests: what became of a film of one lot when it had dried.

use std::fmt;

use super::date::Date;

/// One dry test.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DryTest {
    /// When it was looked at.
    pub date: Date,
    /// Of which lot; without one it is of all of the ingredient.
    pub lot: Option<String>,
    /// How it had dried.
    pub result: DryResult,
    /// How warm and damp the room was, in the person's own words.
    pub room: Option<String>,
}

/// How a film dried.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DryResult {
    /// Clear and hard.
    Clear,
    /// Cloudy.
    Cloudy,
    /// Still sticky.
    Tacky,
    /// With fine cracks.
    Crazed,
}

impl DryResult {
    /// Every result, the good one first.
    pub const ALL: [Self; 4] = [Self::Clear, Self::Cloudy, Self::Tacky, Self::Crazed];

    /// Returns its word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Clear => "clear",
            Self::Cloudy => "cloudy",
            Self::Tacky => "tacky",
            Self::Crazed => "crazed",
        }
    }

    /// Returns the result of that word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|result| result.word() == word)
    }

    /// Returns whether the lot can be used without a second thought.
    #[must_use]
    pub const fn is_good(self) -> bool {
        matches!(self, Self::Clear)
    }
}

impl fmt::Display for DryResult {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

/// Returns the newest test that speaks of a lot; of two on one day the later in the file.
#[must_use]
pub(super) fn newest<'t>(tests: &'t [DryTest], lot: Option<&str>) -> Option<&'t DryTest> {
    tests
        .iter()
        .filter(|test| test.lot.is_none() || test.lot.as_deref() == lot)
        .max_by_key(|test| test.date)
}
