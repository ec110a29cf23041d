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
    /// The jar of a batch, by its mark; a batch of another log may be still to come.
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
    conn.prepare_cached(
        "INSERT INTO vessel (kind, key, batch, by_mark) VALUES ('jar', ?1, ?2, 1)",
    )?
    .execute(params![mark.as_str(), id.number()])?;
    Ok(())
}

/// Adds the jar of a batch that may be still to come, unless it is known.
pub(super) fn await_jar(conn: &Connection, mark: &str) -> Result<(), Fault> {
    conn.prepare_cached(
        "INSERT INTO vessel (kind, key, by_mark) SELECT 'jar', ?1, 1
         WHERE NOT EXISTS (SELECT 1 FROM vessel WHERE kind = 'jar' AND key = ?1 AND by_mark = 1)",
    )?
    .execute([mark])?;
    Ok(())
}

/// Gives a batch that came from another log its jar: the one that waited for it, with all that was booked there, else a new one.
pub(super) fn give_jar(conn: &Connection, id: BatchId, mark: &Mark) -> Result<(), Fault> {
    let waited = conn
        .prepare_cached(
            "UPDATE vessel SET batch = ?2 WHERE kind = 'jar' AND key = ?1 AND by_mark = 1 AND batch IS NULL",
        )?
        .execute(params![mark.as_str(), id.number()])?;
    match waited {
        0 => add_jar(conn, id, mark),
        _ => Ok(()),
    }
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
        .prepare_cached("SELECT id FROM vessel WHERE kind = ?1 AND key = ?2 AND by_mark = 0")?
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

/// Returns whether anything of the shelf was ever spoken of by this key.
pub(super) fn is_on_shelf(conn: &Connection, key: &str) -> Result<bool, Fault> {
    let known = conn
        .prepare_cached("SELECT 1 FROM vessel WHERE kind = 'shelf' AND key = ?1 AND by_mark = 0")?
        .exists([key])?;
    Ok(known)
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
    conn.prepare_cached("SELECT id FROM vessel WHERE kind = 'jar' AND key = ?1 AND by_mark = 1")?
        .query_row([mark], |row| row.get(0))
        .optional()?
        .ok_or_else(|| {
            Fault::refused(format!(
                "there is no batch {mark} whose jar could be poured"
            ))
        })
}

/// Reads a vessel from its four columns, beginning at `first`: kind, key, batch, whether it goes by a mark.
pub(super) fn from_row(row: &Row<'_>, first: usize) -> rusqlite::Result<Vessel> {
    let kind = row.get_ref(first)?.as_str()?.to_owned();
    let key: String = row.get(first + 1)?;
    let batch: Option<i64> = row.get(first + 2)?;
    let by_mark: bool = row.get(first + 3)?;
    Ok(match (kind.as_str(), batch, by_mark) {
        ("shelf", ..) => Vessel::Shelf(key),
        ("jar", Some(number), _) => Vessel::Jar(BatchId::from_number(number)),
        ("jar", None, true) => Vessel::JarOf(key),
        ("jar", None, false) => Vessel::Cup(key),
        ("waste", ..) => Vessel::Waste,
        // The schema admits no other kind than `unknown`.
        _ => Vessel::Unknown,
    })
}
