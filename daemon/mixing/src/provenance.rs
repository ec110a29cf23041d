//! Which batch something comes from.

/// Which batch something comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Provenance<'a> {
    /// Its mark.
    pub mark: &'a str,
    /// The day it was opened, UTC.
    pub day: &'a str,
    /// Whether anything was really poured.
    pub run: Run,
}

/// Whether a batch was made of anything.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Run {
    /// Made at the bench.
    Real,
    /// A run on the simulated scale.
    Rehearsal,
}

impl Run {
    /// Returns what such a run is called.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Real => "batch",
            Self::Rehearsal => "rehearsal",
        }
    }
}
