//! Batches that come from another log, whole: their mark, their snapshots, their journal and what it moved.

use rusqlite::{Connection, OptionalExtension as _};
use tarehand_protocol::Mass;

use super::batch::{BatchId, BatchState, NewBatch};
use super::error::{Fault, LogError};
use super::journal::{self, NewEntry};
use super::mark::Mark;
use super::trace::{self, Sample};
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
    /// The weight over time, in order.
    pub trace: Vec<Sample>,
}

/// What became of a batch that came.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Moved {
    /// It is in this log now.
    In,
    /// It was here up to a point, and has gone on since: the rest of it is here now, too.
    Grown,
    /// It was here already, with all that came and perhaps more.
    Already,
}

/// Takes a batch in, with its weight trace.
///
/// Of one with this mark the journal tells whether it is the same: one of the two begins with all of the other. What goes on
/// where ours ends is taken in behind it; what two logs went on with each in its own way is refused. Where other batches that
/// came before spoke of its jar, that is its jar: whatever the order in which they come, what was poured between them is what
/// it was in the log they come from.
pub(super) fn take_in(conn: &Connection, moving: &Moving) -> Result<Moved, Fault> {
    let known: Option<i64> = conn
        .prepare_cached("SELECT id FROM batch WHERE mark = ?1")?
        .query_row([moving.mark.as_str()], |row| row.get(0))
        .optional()?;
    if let Some(known) = known {
        return go_on(conn, BatchId::from_number(known), moving);
    }
    let id = register::insert(
        conn,
        &moving.mark,
        &moving.new,
        moving.state,
        moving.closed.as_deref(),
    )?;
    vessel::give_jar(conn, id, &moving.mark)?;
    finding::add(conn, id, &moving.mark, &moving.new)?;
    append(conn, id, &moving.entries)?;
    trace::append(conn, id, &moving.trace)?;
    Ok(Moved::In)
}

/// Takes in what a batch that is here went on with elsewhere.
fn go_on(conn: &Connection, id: BatchId, moving: &Moving) -> Result<Moved, Fault> {
    let here = register::read(conn, &id.into())?.head;
    let ours = journal::read(conn, id)?;
    let theirs = &moving.entries;
    let same = ours.iter().zip(theirs).all(|(our, their)| {
        (&our.at, &our.kind, &our.body) == (&their.at, &their.kind, &their.body)
    });
    if !same || here.opened != moving.new.opened {
        return Err(Fault::Said(LogError::OtherBatch {
            mark: moving.mark.clone(),
        }));
    }
    let rest = theirs.get(ours.len()..).unwrap_or_default();
    if rest.is_empty() {
        return Ok(Moved::Already);
    }
    // Its bench goes on from what it wrote last, and knows nothing of what was written elsewhere.
    if let BatchState::Live(_) = here.state {
        return Err(Fault::Said(LogError::BeingMade {
            mark: moving.mark.clone(),
        }));
    }
    append(conn, id, rest)?;
    register::change(conn, id, moving.state, moving.closed.as_deref())?;
    // The trace may have been thinned there, or here: what comes behind ours is what is new.
    let last = trace::read(conn, id)?.last().map(|sample| sample.tick_us);
    let mut later = moving.trace.clone();
    later.retain(|sample| last.is_none_or(|last| last < sample.tick_us));
    trace::append(conn, id, &later)?;
    Ok(Moved::Grown)
}

/// Writes entries of another log behind the last one of a batch.
fn append(conn: &Connection, id: BatchId, entries: &[NewEntry]) -> Result<(), Fault> {
    bounded(conn, id, entries)?;
    await_jars(conn, entries)?;
    journal::append(conn, id, entries).map(drop)
}

/// Refuses a batch whose transfers together are beyond what any scale weighs: sums over thousands of batches must not overflow.
fn bounded(conn: &Connection, id: BatchId, entries: &[NewEntry]) -> Result<(), Fault> {
    let booked: i64 = conn
        .prepare_cached("SELECT coalesce(sum(mass_ug), 0) FROM transfer WHERE batch = ?1")?
        .query_row([id.number()], |row| row.get(0))?;
    let transfers = entries.iter().flat_map(|entry| &entry.transfers);
    let moved: u128 = transfers
        .map(|transfer| u128::from(transfer.mass_ug.get()))
        .sum();
    let most = u128::from(Mass::LIMIT.micrograms().unsigned_abs());
    match most < moved + u128::from(booked.unsigned_abs()) {
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
