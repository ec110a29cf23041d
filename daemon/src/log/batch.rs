//! One run's jar, as it is kept.

use std::fmt;
use std::str::FromStr;

use rusqlite::{Connection, OptionalExtension as _, Row, named_params, params};

use super::error::{Fault, LogError};
use super::mark::Mark;
use super::vessel;

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
    /// The procedure as JSON.
    pub procedure: String,
    /// The recipe file's text.
    pub recipe_text: String,
    /// The shelf file's text; empty where there was none.
    pub shelf_text: String,
    /// The scale profile's text.
    pub profile_text: String,
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
    /// Only opened at or after this moment: RFC 3339, UTC.
    pub opened_from: Option<String>,
    /// Only older than this batch: where the next page of a list begins.
    pub before: Option<BatchId>,
    /// At most this many; no limit where none is given.
    pub at_most: Option<u32>,
}

const HEAD: &str = "id, mark, bench, recipe, rehearsal, state, planned_ug, opened, closed";

/// Opens a batch: gives it a number, a mark that no other has, and a jar.
pub(super) fn open(conn: &Connection, new: &NewBatch) -> Result<BatchHead, Fault> {
    let mark = unused_mark(conn)?;
    conn.prepare_cached(
        "INSERT INTO batch (mark, bench, recipe, rehearsal, state, planned_ug, opened,
                            procedure, recipe_text, shelf_text, profile_text)
         VALUES (?1, ?2, ?3, ?4, 'idle', ?5, ?6, ?7, ?8, ?9, ?10)",
    )?
    .execute(params![
        mark.as_str(),
        new.bench,
        new.recipe,
        new.reality == Reality::Rehearsal,
        new.planned_ug,
        new.opened,
        new.procedure,
        new.recipe_text,
        new.shelf_text,
        new.profile_text,
    ])?;
    let id = BatchId(conn.last_insert_rowid());
    vessel::add_jar(conn, id, &mark)?;
    Ok(BatchHead {
        id,
        mark,
        bench: new.bench.clone(),
        recipe: new.recipe.clone(),
        reality: new.reality,
        state: BatchState::Live(LiveState::Idle),
        planned_ug: new.planned_ug,
        opened: new.opened.clone(),
        closed: None,
    })
}

/// Draws a mark. It is drawn, not counted, so that the jars of two logs rarely share one.
fn unused_mark(conn: &Connection) -> Result<Mark, Fault> {
    let mut draw = conn.prepare_cached("SELECT random() & 0x7FFFFFFFFFFFFFFF")?;
    let mut taken = conn.prepare_cached("SELECT 1 FROM batch WHERE mark = ?1")?;
    // When most short marks are taken the next length has plenty.
    for signs in 5..=12 {
        for _ in 0..16 {
            let number: i64 = draw.query_row([], |row| row.get(0))?;
            let mark = Mark::of_number(number.unsigned_abs(), signs);
            if !taken.exists([mark.as_str()])? {
                return Ok(mark);
            }
        }
    }
    Err(Fault::refused("no mark is left"))
}

/// Moves a batch to a state that is not the end.
pub(super) fn enter(conn: &Connection, id: BatchId, state: LiveState) -> Result<(), Fault> {
    change(conn, id, BatchState::Live(state), None)
}

/// Ends a batch.
pub(super) fn close(
    conn: &Connection,
    id: BatchId,
    ending: Ending,
    closed: &str,
) -> Result<(), Fault> {
    change(conn, id, BatchState::Ended(ending), Some(closed))
}

fn change(
    conn: &Connection,
    id: BatchId,
    state: BatchState,
    closed: Option<&str>,
) -> Result<(), Fault> {
    let changed = conn
        .prepare_cached("UPDATE batch SET state = ?2, closed = ?3 WHERE id = ?1")?
        .execute(params![id.0, state.as_str(), closed])?;
    match changed {
        0 => Err(missing(&id.into())),
        _ => Ok(()),
    }
}

/// Returns a batch with its snapshots.
pub(super) fn read(conn: &Connection, which: &BatchRef) -> Result<Batch, Fault> {
    let sql = format!(
        "SELECT {HEAD}, procedure, recipe_text, shelf_text, profile_text
         FROM batch WHERE id = ?1 OR mark = ?2"
    );
    let (id, mark) = match which {
        BatchRef::Id(id) => (Some(id.0), None),
        BatchRef::Mark(mark) => (None, Some(mark.as_str())),
    };
    conn.prepare_cached(&sql)?
        .query_row(params![id, mark], |row| {
            Ok(Batch {
                head: head(row)?,
                procedure: row.get("procedure")?,
                recipe_text: row.get("recipe_text")?,
                shelf_text: row.get("shelf_text")?,
                profile_text: row.get("profile_text")?,
            })
        })
        .optional()?
        .ok_or_else(|| missing(which))
}

/// Says that there is no such batch, where there is none.
pub(super) fn must_exist(conn: &Connection, id: BatchId) -> Result<(), Fault> {
    match conn
        .prepare_cached("SELECT 1 FROM batch WHERE id = ?1")?
        .exists([id.0])?
    {
        true => Ok(()),
        false => Err(missing(&id.into())),
    }
}

fn missing(which: &BatchRef) -> Fault {
    Fault::Said(LogError::NoBatch {
        batch: which.to_string(),
    })
}

/// Returns the batches that fit, the newest first.
pub(super) fn list(conn: &Connection, filter: &BatchFilter) -> Result<Vec<BatchHead>, Fault> {
    let sql = format!(
        "SELECT {HEAD} FROM batch
         WHERE (:bench IS NULL OR bench = :bench)
           AND (:recipe IS NULL OR recipe = :recipe)
           AND (:state IS NULL OR state = :state)
           AND (:rehearsal IS NULL OR rehearsal = :rehearsal)
           AND (:opened_from IS NULL OR :opened_from <= opened)
           AND (:before IS NULL OR id < :before)
         ORDER BY id DESC LIMIT :at_most"
    );
    let mut statement = conn.prepare_cached(&sql)?;
    let heads = statement.query_map(
        named_params! {
            ":bench": filter.bench,
            ":recipe": filter.recipe,
            ":state": filter.state.map(BatchState::as_str),
            ":rehearsal": filter.reality.map(|reality| reality == Reality::Rehearsal),
            ":opened_from": filter.opened_from,
            ":before": filter.before.map(BatchId::number),
            // To SQLite a negative limit is none.
            ":at_most": filter.at_most.map_or(-1, i64::from),
        },
        head,
    )?;
    Ok(heads.collect::<Result<_, _>>()?)
}

/// Returns the batches of a bench that have not ended, the newest first.
pub(super) fn unfinished(conn: &Connection, bench: &str) -> Result<Vec<BatchHead>, Fault> {
    let sql =
        format!("SELECT {HEAD} FROM batch WHERE bench = ?1 AND closed IS NULL ORDER BY id DESC");
    let mut statement = conn.prepare_cached(&sql)?;
    let heads = statement.query_map([bench], head)?;
    Ok(heads.collect::<Result<_, _>>()?)
}

fn head(row: &Row<'_>) -> rusqlite::Result<BatchHead> {
    let mark: String = row.get("mark")?;
    let state: String = row.get("state")?;
    Ok(BatchHead {
        id: BatchId(row.get("id")?),
        mark: Mark::from_str(&mark).map_err(|error| unreadable("mark", error))?,
        bench: row.get("bench")?,
        recipe: row.get("recipe")?,
        reality: match row.get("rehearsal")? {
            true => Reality::Rehearsal,
            false => Reality::Real,
        },
        state: BatchState::from_word(&state)
            .ok_or_else(|| unreadable("state", UnknownState(state)))?,
        planned_ug: row.get("planned_ug")?,
        opened: row.get("opened")?,
        closed: row.get("closed")?,
    })
}

#[derive(Debug, thiserror::Error)]
#[error("`{0}` is no state of a batch")]
struct UnknownState(String);

fn unreadable<E>(column: &'static str, error: E) -> rusqlite::Error
where
    E: std::error::Error + Send + Sync + 'static,
{
    let at = HEAD
        .split(", ")
        .position(|name| name == column)
        .unwrap_or(0);
    rusqlite::Error::FromSqlConversionFailure(at, rusqlite::types::Type::Text, Box::new(error))
}
