//! Batches that come from another log, whole: their mark, their snapshots, their journal and what it moved.

use rusqlite::{Connection, OptionalExtension as _};
use tarehand_protocol::Mass;

use super::batch::{BatchId, BatchRef, BatchState, NewBatch};
use super::error::Fault;
use super::journal::{self, NewEntry};
use super::mark::Mark;
use super::{Vessel, finding, register, vessel};

/// A batch of another log.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Moving {
    /// Its mark, which it keeps.
    pub mark: Mark,
    /// Its state; one that was not over there is given up here: no bench makes it.
    pub state: BatchState,
    /// When it ended there.
    pub closed: Option<String>,
    /// What was written when it was opened.
    pub new: NewBatch,
    /// Its journal. In its transfers the jar of the batch itself is `Vessel::JarOf` its mark.
    pub entries: Vec<NewEntry>,
}

/// What became of a batch that came.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Moved {
    /// It is in this log now.
    In,
    /// It was here already.
    Already,
}

/// Takes a batch in.
///
/// One with this mark and the same journal is here already; with another journal it is another batch, and is refused. Where other
/// batches that came before spoke of its jar, that is its jar: whatever the order in which they come, what was poured between
/// them is what it was in the log they come from.
pub(super) fn take_in(conn: &Connection, moving: &Moving) -> Result<Moved, Fault> {
    let which = BatchRef::from(moving.mark.clone());
    let known: Option<i64> = conn
        .prepare_cached("SELECT id FROM batch WHERE mark = ?1")?
        .query_row([moving.mark.as_str()], |row| row.get(0))
        .optional()?;
    if let Some(known) = known {
        let here = register::read(conn, &which)?;
        let entries = journal::read(conn, BatchId::from_number(known))?;
        let theirs = moving
            .entries
            .iter()
            .map(|entry| (&entry.at, &entry.kind, &entry.body));
        let ours = entries
            .iter()
            .map(|entry| (&entry.at, &entry.kind, &entry.body));
        let same = here.head.opened == moving.new.opened && ours.eq(theirs);
        return match same {
            true => Ok(Moved::Already),
            false => Err(Fault::refused(format!(
                "another batch with the mark {which} is in this log"
            ))),
        };
    }
    bounded(&moving.entries)?;
    let id = register::insert(
        conn,
        &moving.mark,
        &moving.new,
        moving.state,
        moving.closed.as_deref(),
    )?;
    vessel::give_jar(conn, id, &moving.mark)?;
    finding::add(conn, id, &moving.mark, &moving.new)?;
    await_jars(conn, &moving.entries)?;
    journal::append(conn, id, &moving.entries)?;
    Ok(Moved::In)
}

/// Refuses a batch whose transfers together are beyond what any scale weighs: sums over thousands of batches must not overflow.
fn bounded(entries: &[NewEntry]) -> Result<(), Fault> {
    let transfers = entries.iter().flat_map(|entry| &entry.transfers);
    let moved: u128 = transfers
        .map(|transfer| u128::from(transfer.mass_ug.get()))
        .sum();
    match u128::from(Mass::LIMIT.micrograms().unsigned_abs()) < moved {
        true => Err(Fault::refused(
            "the transfers of a batch are a thousand tonnes at most",
        )),
        false => Ok(()),
    }
}

/// Names the jars that the transfers speak of: one whose batch is not in this log waits for it.
fn await_jars(conn: &Connection, entries: &[NewEntry]) -> Result<(), Fault> {
    for transfer in entries.iter().flat_map(|entry| &entry.transfers) {
        for vessel in [&transfer.from, &transfer.to] {
            if let Vessel::JarOf(mark) = vessel {
                vessel::await_jar(conn, mark)?;
            }
        }
    }
    Ok(())
}
