//! Batches that come from another log, whole: their mark, their snapshots, their journal and what it moved.

use rusqlite::{Connection, OptionalExtension as _, params};

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
/// One with this mark and the same journal is here already; with another journal it is another batch, and is refused.
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
    let id = register::insert(
        conn,
        &moving.mark,
        &moving.new,
        moving.state,
        moving.closed.as_deref(),
    )?;
    vessel::add_jar(conn, id, &moving.mark)?;
    finding::add(conn, id, &moving.mark, &moving.new)?;
    let entries: Vec<NewEntry> = moving
        .entries
        .iter()
        .map(|entry| known_vessels(conn, entry))
        .collect::<Result<_, _>>()?;
    journal::append(conn, id, &entries)?;
    Ok(Moved::In)
}

/// A jar of a batch that is not in this log is a vessel by its name here.
fn known_vessels(conn: &Connection, entry: &NewEntry) -> Result<NewEntry, Fault> {
    let mut entry = entry.clone();
    for transfer in &mut entry.transfers {
        for vessel in [&mut transfer.from, &mut transfer.to] {
            if let Vessel::JarOf(mark) = vessel {
                let known = conn
                    .prepare_cached("SELECT 1 FROM batch WHERE mark = ?1")?
                    .exists(params![&*mark])?;
                if !known {
                    *vessel = Vessel::Cup(format!("jar {mark}"));
                }
            }
        }
    }
    Ok(entry)
}
