//! Where mass can be.

use rusqlite::{Connection, OptionalExtension as _, Row, params};

use super::batch::BatchId;
use super::error::Fault;
use super::mark::Mark;
use super::register;

/// Where mass can be.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Vessel {
    /// A pack on the shelf, by its key.
    Shelf(String),
    /// The jar of a batch.
    Jar(BatchId),
    /// The jar of a batch, by its mark.
    JarOf(String),
    /// A cup or jar that no batch of this log made, by its name.
    Cup(String),
    /// Gone: wiped off, left on the stick, poured away.
    Waste,
    /// Nobody knows.
    Unknown,
}

impl Vessel {
    const fn kind(&self) -> &'static str {
        match self {
            Self::Shelf(_) => "shelf",
            Self::Jar(_) | Self::JarOf(_) | Self::Cup(_) => "jar",
            Self::Waste => "waste",
            Self::Unknown => "unknown",
        }
    }
}

/// Adds the jar of a batch that was just opened.
pub(super) fn add_jar(conn: &Connection, id: BatchId, mark: &Mark) -> Result<(), Fault> {
    conn.prepare_cached("INSERT INTO vessel (kind, key, batch) VALUES ('jar', ?1, ?2)")?
        .execute(params![mark.as_str(), id.number()])?;
    Ok(())
}

/// Returns the row of a vessel, and adds it when it was never spoken of before.
pub(super) fn row_of(conn: &Connection, vessel: &Vessel) -> Result<i64, Fault> {
    let key = match vessel {
        Vessel::Jar(id) => return jar_of(conn, *id),
        Vessel::JarOf(mark) => return jar_by_mark(conn, mark),
        Vessel::Shelf(key) | Vessel::Cup(key) => key.as_str(),
        Vessel::Waste | Vessel::Unknown => vessel.kind(),
    };
    let known = conn
        .prepare_cached("SELECT id FROM vessel WHERE kind = ?1 AND key = ?2 AND batch IS NULL")?
        .query_row(params![vessel.kind(), key], |row| row.get(0))
        .optional()?;
    match known {
        Some(row) => Ok(row),
        None => {
            conn.prepare_cached("INSERT INTO vessel (kind, key) VALUES (?1, ?2)")?
                .execute(params![vessel.kind(), key])?;
            Ok(conn.last_insert_rowid())
        }
    }
}

fn jar_of(conn: &Connection, id: BatchId) -> Result<i64, Fault> {
    let row = conn
        .prepare_cached("SELECT id FROM vessel WHERE batch = ?1")?
        .query_row([id.number()], |row| row.get(0))
        .optional()?;
    match row {
        Some(row) => Ok(row),
        None => {
            register::must_exist(conn, id)?;
            Err(Fault::refused(format!("batch {id} has no jar")))
        }
    }
}

fn jar_by_mark(conn: &Connection, mark: &str) -> Result<i64, Fault> {
    conn.prepare_cached(
        "SELECT v.id FROM vessel v JOIN batch b ON b.id = v.batch WHERE b.mark = ?1",
    )?
    .query_row([mark], |row| row.get(0))
    .optional()?
    .ok_or_else(|| {
        Fault::refused(format!(
            "there is no batch {mark} whose jar could be poured"
        ))
    })
}

/// Reads a vessel from its three columns, beginning at `first`: kind, key, batch.
pub(super) fn from_row(row: &Row<'_>, first: usize) -> rusqlite::Result<Vessel> {
    let kind = row.get_ref(first)?.as_str()?.to_owned();
    let key: String = row.get(first + 1)?;
    let batch: Option<i64> = row.get(first + 2)?;
    Ok(match (kind.as_str(), batch) {
        ("shelf", _) => Vessel::Shelf(key),
        ("jar", Some(number)) => Vessel::Jar(BatchId::from_number(number)),
        ("jar", None) => Vessel::Cup(key),
        ("waste", _) => Vessel::Waste,
        // The schema admits no other kind than `unknown`.
        _ => Vessel::Unknown,
    })
}
