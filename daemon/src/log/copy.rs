//! Copies of a log: taken while it is written to, checked, and put back.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use rusqlite::backup::Backup;
use rusqlite::{Connection, OpenFlags};

use super::error::LogError;
use super::file::beside;
use super::{PATIENCE, check, file, schema};

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
    // A link never takes the place of a file that came meanwhile; where none can be made, a rename serves.
    let put = fs::hard_link(unfinished, to).or_else(|error| match error.kind() {
        io::ErrorKind::AlreadyExists => Err(error),
        _ => fs::rename(unfinished, to),
    });
    put.map_err(|error| LogError::files("make the copy", to, error))?;
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

/// What became of the log that was there before.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Restored {
    /// What is in the log now.
    pub copied: Copied,
    /// Where the log of before lies, where there was one.
    pub before: Option<PathBuf>,
}

/// Puts a copy in the place of the log at `log`, which is kept beside it under a name with `moment` in it.
///
/// No service may have it open. Whatever happens on the way, either log is whole under some name.
///
/// # Errors
/// A copy that is damaged or no log changes nothing; else what could not be written.
pub fn restore_file(from: &Path, log: &Path, moment: &str) -> Result<Restored, LogError> {
    // What is wrong with it is said by its own name, before anything is written.
    let found = super::check_file(from)?;
    if let Some(first) = found.into_iter().next() {
        return Err(LogError::NotWhole {
            path: from.to_owned(),
            found: first,
        });
    }
    file::make_folder(log.parent().unwrap_or_else(|| Path::new(".")))?;
    let new = beside(log, ".restored");
    // One that an earlier try left.
    let _gone = fs::remove_file(&new);
    let copied = copy_file(from, &new)?;
    let failed = |error| LogError::files("set aside", log, error);
    let before = match fs::metadata(log) {
        Ok(_) => Some(beside(log, &format!(".before-{moment}"))),
        Err(error) if error.kind() == io::ErrorKind::NotFound => None,
        Err(error) => return Err(failed(error)),
    };
    if let Some(before) = &before {
        set_aside(log, before).map_err(failed)?;
    }
    fs::rename(&new, log).map_err(|error| LogError::files("put back", log, error))?;
    file::sync_folder(log)?;
    Ok(Restored { copied, before })
}

/// Gives a log a second name, with its last entries, which must not be played into the one that comes.
fn set_aside(log: &Path, before: &Path) -> io::Result<()> {
    for ending in ["-wal", "-shm"] {
        match fs::rename(beside(log, ending), beside(before, ending)) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
            _ => {}
        }
    }
    fs::hard_link(log, before).or_else(|_| fs::copy(log, before).map(|_bytes| ()))
}
