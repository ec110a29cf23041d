//! One run's jar, as it is kept.

use std::fmt;
use std::sync::Arc;

use super::mark::Mark;

/// The number of a batch in this log.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct BatchId(i64);

impl BatchId {
    /// Makes the number from what an API or another table says; it may name no batch.
    #[must_use]
    pub const fn from_number(number: i64) -> Self {
        Self(number)
    }

    /// Returns the number.
    #[must_use]
    pub const fn number(self) -> i64 {
        self.0
    }
}

impl fmt::Display for BatchId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// Which batch is meant: by its number or by its mark.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum BatchRef {
    /// By its number in this log.
    Id(BatchId),
    /// By the mark on the jar.
    Mark(Mark),
}

impl From<BatchId> for BatchRef {
    fn from(id: BatchId) -> Self {
        Self::Id(id)
    }
}

impl From<Mark> for BatchRef {
    fn from(mark: Mark) -> Self {
        Self::Mark(mark)
    }
}

impl fmt::Display for BatchRef {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Id(id) => id.fmt(f),
            Self::Mark(mark) => mark.fmt(f),
        }
    }
}

/// The state of a batch (ISA-88).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum BatchState {
    /// It can go on.
    Live(LiveState),
    /// It is over.
    Ended(Ending),
}

/// The states of a batch that is not over.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LiveState {
    /// Opened, nothing begun.
    Idle,
    /// Being made.
    Running,
    /// Stopped by the program, which asks something.
    Held,
    /// Stopped by the person.
    Paused,
}

/// How a batch ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Ending {
    /// Made to the end.
    Complete,
    /// Given up.
    Aborted,
}

impl BatchState {
    const ALL: [Self; 6] = [
        Self::Live(LiveState::Idle),
        Self::Live(LiveState::Running),
        Self::Live(LiveState::Held),
        Self::Live(LiveState::Paused),
        Self::Ended(Ending::Complete),
        Self::Ended(Ending::Aborted),
    ];

    /// Returns the state as one word, `running`.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Live(LiveState::Idle) => "idle",
            Self::Live(LiveState::Running) => "running",
            Self::Live(LiveState::Held) => "held",
            Self::Live(LiveState::Paused) => "paused",
            Self::Ended(Ending::Complete) => "complete",
            Self::Ended(Ending::Aborted) => "aborted",
        }
    }

    /// Returns the state of that word; `None` when it is none of the six.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|state| state.as_str() == word)
    }
}

/// Whether a batch was made of anything.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Reality {
    /// Made at the bench.
    Real,
    /// A run on the simulated scale: touches neither stock nor what was learnt.
    Rehearsal,
}

/// What is written once, when a batch is opened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewBatch {
    /// The bench it is made at.
    pub bench: String,
    /// The recipe's name.
    pub recipe: String,
    /// Whether it is a rehearsal.
    pub reality: Reality,
    /// The planned total in micrograms, not below zero.
    pub planned_ug: i64,
    /// When it was opened: RFC 3339, UTC.
    pub opened: String,
    /// The procedure as JSON; [`NewBatch::IN_JOURNAL`] where its journal begins with it.
    pub procedure: String,
    /// The recipe file's text.
    pub recipe_text: String,
    /// The shelf file's text; empty where there was none.
    pub shelf_text: String,
    /// The scale profile's text.
    pub profile_text: String,
    /// What it can be found by beside its name: ingredients and lots, by key and name.
    pub things: String,
}

impl NewBatch {
    /// Stands for a procedure that the first entry of the journal holds: it is kept once.
    pub const IN_JOURNAL: &str = "null";
}

/// A batch, as a list shows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BatchHead {
    /// Its number.
    pub id: BatchId,
    /// Its mark.
    pub mark: Mark,
    /// The bench it is made at.
    pub bench: String,
    /// The recipe's name.
    pub recipe: String,
    /// Whether it is a rehearsal.
    pub reality: Reality,
    /// Its state.
    pub state: BatchState,
    /// The planned total in micrograms.
    pub planned_ug: i64,
    /// When it was opened: RFC 3339, UTC.
    pub opened: String,
    /// When it ended: RFC 3339, UTC.
    pub closed: Option<String>,
    /// What its jar holds, in micrograms.
    pub in_jar_ug: i64,
    /// What it did with a finished jar, where it makes none of its own.
    pub reopening: Option<Reopening>,
}

/// What a batch did with a finished jar that was opened again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reopening {
    /// The procedure as JSON: it names the jar, and what was to be done.
    pub procedure: String,
    /// How much more is in that jar by it, in micrograms; below nothing where it left the jar.
    pub mass_ug: i64,
}

/// A batch with the snapshots that were taken when it was opened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Batch {
    /// What a list shows.
    pub head: BatchHead,
    /// The procedure as JSON.
    pub procedure: String,
    /// The recipe file's text.
    pub recipe_text: String,
    /// The shelf file's text; empty where there was none.
    pub shelf_text: String,
    /// The scale profile's text.
    pub profile_text: String,
}

/// What was written when a batch was opened and tells what it poured.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Opened {
    /// Its mark.
    pub mark: Mark,
    /// When: RFC 3339, UTC.
    pub opened: String,
    /// The recipe's name.
    pub recipe: String,
    /// The procedure as JSON.
    pub procedure: String,
    /// The shelf file's text, empty where there was none; batches that had the same share it.
    pub shelf_text: Arc<str>,
}

/// Which batches a list shows: those that fit everything given.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct BatchFilter {
    /// Only of this bench.
    pub bench: Option<String>,
    /// Only of the recipe of this name.
    pub recipe: Option<String>,
    /// Only in this state.
    pub state: Option<BatchState>,
    /// Only real ones, or only rehearsals.
    pub reality: Option<Reality>,
    /// Only with more than so much in the jar now, in micrograms. An amendment has nothing in a jar of its own.
    pub holds_above_ug: Option<i64>,
    /// Only opened at or after this day or moment: RFC 3339, UTC.
    pub opened_from: Option<String>,
    /// Only opened before this day or moment: RFC 3339, UTC.
    pub opened_until: Option<String>,
    /// Only where this is a part of the mark, the recipe, what is in the jar, or what was said of it.
    pub find: Option<String>,
    /// Only with this part of a word in the name, key or lot of something in the jar.
    pub with: Option<String>,
    /// Only older than this batch: where the next page of a list begins.
    pub before: Option<BatchId>,
    /// At most this many; no limit where none is given.
    pub at_most: Option<u32>,
    /// Which come first.
    pub order: BatchOrder,
}

/// In which order a list shows batches.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum BatchOrder {
    /// Those that came into this log last come first; a list goes on from page to page by it.
    #[default]
    CameLast,
    /// Those that were opened last come first, in whichever log that was.
    OpenedLast,
}
