//! Facts, commands and choices of a batch, in order; append only.

use rusqlite::{Connection, OptionalExtension as _, params};

use super::batch::BatchId;
use super::error::Fault;
use super::finding;
use super::ledger::{self, NewTransfer};
use super::register;

/// An entry that is to be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewEntry {
    /// When, in microseconds of bench time, not below zero.
    pub tick_us: i64,
    /// When: RFC 3339, UTC.
    pub at: String,
    /// What kind of entry it is, one word of the bench's choice.
    pub kind: String,
    /// What it says, as JSON.
    pub body: String,
    /// The mass it moved.
    pub transfers: Vec<NewTransfer>,
    /// The person's own words in it, to be found by.
    pub words: Option<String>,
}

/// An entry of the journal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Its place in the batch's journal: 0, 1, 2 and so on.
    pub seq: i64,
    /// When, in microseconds of bench time.
    pub tick_us: i64,
    /// When: RFC 3339, UTC.
    pub at: String,
    /// What kind of entry it is.
    pub kind: String,
    /// What it says, as JSON.
    pub body: String,
}

/// Writes entries behind the last one of their batch and returns their places.
pub(super) fn append(
    conn: &Connection,
    id: BatchId,
    entries: &[NewEntry],
) -> Result<Vec<i64>, Fault> {
    let next: Option<i64> = conn
        .prepare_cached(
            "SELECT (SELECT coalesce(max(seq) + 1, 0) FROM entry WHERE batch = ?1)
             FROM batch WHERE id = ?1",
        )?
        .query_row([id.number()], |row| row.get(0))
        .optional()?;
    let first = next.ok_or_else(|| register::missing(&id.into()))?;
    let mut insert = conn.prepare_cached(
        "INSERT INTO entry (batch, seq, tick_us, at, kind, body) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
    )?;
    let mut places = Vec::with_capacity(entries.len());
    for (seq, entry) in (first..).zip(entries) {
        insert.execute(params![
            id.number(),
            seq,
            entry.tick_us,
            entry.at,
            entry.kind,
            entry.body
        ])?;
        ledger::book(conn, id, seq, &entry.transfers)?;
        places.push(seq);
    }
    finding::hear(conn, id, entries)?;
    Ok(places)
}

/// Returns the whole journal of a batch, in order.
pub(super) fn read(conn: &Connection, id: BatchId) -> Result<Vec<Entry>, Fault> {
    register::must_exist(conn, id)?;
    let mut statement = conn.prepare_cached(
        "SELECT seq, tick_us, at, kind, body FROM entry WHERE batch = ?1 ORDER BY seq",
    )?;
    let entries = statement.query_map([id.number()], |row| {
        Ok(Entry {
            seq: row.get(0)?,
            tick_us: row.get(1)?,
            at: row.get(2)?,
            kind: row.get(3)?,
            body: row.get(4)?,
        })
    })?;
    Ok(entries.collect::<Result<_, _>>()?)
}
