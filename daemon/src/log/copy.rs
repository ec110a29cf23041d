//! Copies of a log: taken while it is written to, and checked.

use std::fs::{self, File};
use std::io;
use std::path::Path;
use std::sync::Arc;

use rusqlite::backup::Backup;
use rusqlite::{Connection, OpenFlags};

use super::error::LogError;
use super::file::beside;
use super::{PATIENCE, check, file, schema};
use crate::whole_file;

/// What was copied.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Copied {
    /// How many batches are in the copy.
    pub batches: u64,
    /// How many entries.
    pub entries: u64,
    /// How large it is, in bytes.
    pub bytes: u64,
}

/// Copies the log at `from` into a new file `to`, which appears whole, checked and on disk, or not at all.
///
/// The log may be written to meanwhile: the copy is of one moment, and holds up nobody. Blocks while it is made.
///
/// # Errors
/// A log that cannot be read; a file that is there already; a copy that could not be written or is not whole.
pub fn copy_file(from: &Path, to: &Path) -> Result<Copied, LogError> {
    if to.exists() {
        let there = io::Error::from(io::ErrorKind::AlreadyExists);
        return Err(LogError::files("make the copy", to, there));
    }
    let conn = file::open_to_read(from, PATIENCE)?;
    let unfinished = beside(to, ".unfinished");
    let copied = put_whole(&conn, from, &unfinished, to);
    // A copy that came to nothing leaves nothing; after a good one it is gone already.
    let _gone = fs::remove_file(&unfinished);
    copied
}

/// Copies by way of `unfinished`, which takes its name only when it is whole.
fn put_whole(
    conn: &Connection,
    from: &Path,
    unfinished: &Path,
    to: &Path,
) -> Result<Copied, LogError> {
    pages(conn, unfinished)?;
    let said = |error| LogError::sql(unfinished, error);
    let copy =
        Connection::open_with_flags(unfinished, OpenFlags::SQLITE_OPEN_READ_ONLY).map_err(said)?;
    let found = check::check(&copy).map_err(|fault| fault.at(unfinished))?;
    if let Some(first) = found.into_iter().next() {
        return Err(LogError::NotWhole {
            path: from.to_owned(),
            found: first,
        });
    }
    let count = |table: &str| -> rusqlite::Result<u64> {
        let count: i64 = copy.query_row(&format!("SELECT count(*) FROM {table}"), [], |row| {
            row.get(0)
        })?;
        Ok(count.unsigned_abs())
    };
    let copied = Copied {
        batches: count("batch").map_err(said)?,
        entries: count("entry").map_err(said)?,
        bytes: fs::metadata(unfinished).map_or(0, |about| about.len()),
    };
    drop(copy);
    whole_file::put(unfinished, to).map_err(|error| LogError::files("make the copy", to, error))?;
    file::sync_folder(to)?;
    Ok(copied)
}

/// Copies every page of an open log into a file of the owner's alone, and syncs it.
pub(super) fn pages(conn: &Connection, to: &Path) -> Result<(), LogError> {
    let fail = |source| match schema::passes(&source) {
        true => LogError::sql(to, source),
        false => LogError::Backup {
            path: to.to_owned(),
            source: Arc::new(source),
        },
    };
    file::make_private(to)?;
    let mut copy = Connection::open(to).map_err(fail)?;
    Backup::new(conn, &mut copy)
        .and_then(|backup| backup.step(-1))
        .map_err(fail)?;
    // A copy is one file: what reads it needs no other beside it.
    copy.pragma_update_and_check(None, "journal_mode", "delete", |_| Ok(()))
        .map_err(fail)?;
    copy.close().map_err(|(_, source)| fail(source))?;
    File::open(to)
        .and_then(|copy| copy.sync_all())
        .map_err(|error| LogError::files("write the copy", to, error))
}
