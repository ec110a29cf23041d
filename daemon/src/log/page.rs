//! What happened in one batch since it was written to last, and what state that leaves it in.

use super::batch::{BatchId, Ending, LiveState};
use super::journal::NewEntry;

/// What happened in one batch since it was written to last.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Page {
    /// Which batch.
    pub batch: BatchId,
    /// What comes behind its last entry.
    pub entries: Vec<NewEntry>,
    /// What becomes of the batch with them.
    pub then: Then,
}

/// What becomes of a batch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Then {
    /// It is in this state.
    Enters(LiveState),
    /// It has ended.
    Ends {
        /// How.
        how: Ending,
        /// When: RFC 3339, UTC.
        closed: String,
    },
}
