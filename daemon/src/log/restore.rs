//! A copy of a log put back in its place.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use rusqlite::OpenFlags;
use rusqlite::config::DbConfig;

use super::copy::{Copied, copy_file};
use super::error::LogError;
use super::file::{self, beside, holds_bytes};
use super::{PATIENCE, check_file};
use crate::whole_file::{self, Readers};

/// What SQLite keeps beside a log, and would play into any other that takes its name.
const COMPANIONS: [&str; 3] = ["-wal", "-shm", "-journal"];

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
    restore_by(from, log, moment, &mut || {})
}

/// Puts a copy back, and says after each step that it was taken: there a power cut may leave things as they are.
pub(super) fn restore_by(
    from: &Path,
    log: &Path,
    moment: &str,
    taken: &mut dyn FnMut(),
) -> Result<Restored, LogError> {
    // What is wrong with it is said by its own name, before anything is written.
    let found = check_file(from)?;
    if let Some(first) = found.into_iter().next() {
        return Err(LogError::NotWhole {
            path: from.to_owned(),
            found: first,
        });
    }
    file::make_folder(log.parent().unwrap_or_else(|| Path::new(".")))?;
    let there = is_there(log)?;
    if !there {
        not_bereft(log)?;
    }
    let new = place_beside(from, log);
    // One that an earlier try left.
    let _gone = fs::remove_file(&new);
    let copied = copy_file(from, &new)?;
    taken();
    let before = match there {
        true => Some(set_aside(log, moment, taken)?),
        false => None,
    };
    fs::rename(&new, log).map_err(|error| {
        if let Some(before) = &before {
            take_companions_back(before, log);
        }
        LogError::files("put back", log, error)
    })?;
    file::sync_folder(log)?;
    Ok(Restored { copied, before })
}

/// Returns where the copy is made; a copy that an earlier try left there may be the one that is put back.
fn place_beside(from: &Path, log: &Path) -> PathBuf {
    let usual = beside(log, ".restored");
    match (fs::canonicalize(from), fs::canonicalize(&usual)) {
        (Ok(from), Ok(left)) if from == left => beside(log, ".restored-again"),
        _ => usual,
    }
}

fn is_there(log: &Path) -> Result<bool, LogError> {
    match fs::metadata(log) {
        Ok(_) => Ok(true),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(false),
        Err(error) => Err(LogError::files("set aside", log, error)),
    }
}

/// Refuses where the last entries of a log lie that itself is gone: SQLite would play them into the one that comes.
fn not_bereft(log: &Path) -> Result<(), LogError> {
    let mut companions = COMPANIONS.iter().map(|ending| beside(log, ending));
    match companions.find(|companion| holds_bytes(companion)) {
        Some(wal) => Err(LogError::Bereft {
            path: log.to_owned(),
            wal,
        }),
        None => Ok(()),
    }
}

/// Gives a log a second name, which is returned, and leaves nothing beside the first that belongs to it.
fn set_aside(log: &Path, moment: &str, taken: &mut dyn FnMut()) -> Result<PathBuf, LogError> {
    close_up(log)?;
    taken();
    let failed = |error| LogError::files("set aside", log, error);
    let before =
        name_again(log, moment, |log, before| fs::hard_link(log, before)).map_err(failed)?;
    file::sync_folder(log)?;
    taken();
    // Only a log that could not be opened has any of these still. Until they are moved it is whole under its own name, and
    // from then on under the second.
    for ending in COMPANIONS {
        match fs::rename(beside(log, ending), beside(&before, ending)) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => {
                take_companions_back(&before, log);
                return Err(failed(error));
            }
            _ => taken(),
        }
    }
    file::sync_folder(log)?;
    Ok(before)
}

/// Gives a log that is not replaced after all what lay beside it.
fn take_companions_back(before: &Path, log: &Path) {
    for ending in COMPANIONS {
        // Most were never there. What cannot be moved back lies beside the second name, where all is whole.
        let _back = fs::rename(beside(before, ending), beside(log, ending));
    }
}

/// Moves the last entries of a log into it, so that it is one file. One that cannot be opened stays as it is.
fn close_up(log: &Path) -> Result<(), LogError> {
    if not_bereft(log).is_ok() {
        return Ok(());
    }
    match moved_in(log) {
        // It is kept for whoever can mend it, with all that lies beside it.
        Err(LogError::Damaged { .. } | LogError::NotALog { .. } | LogError::Failed { .. }) => {
            Ok(())
        }
        moved => moved,
    }
}

fn moved_in(log: &Path) -> Result<(), LogError> {
    let said = |error| LogError::sql(log, error);
    let conn = file::recognise(log, OpenFlags::SQLITE_OPEN_READ_WRITE, PATIENCE)?;
    let held: bool = conn
        .query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |row| row.get(0))
        .map_err(said)?;
    if held {
        return Err(LogError::Locked {
            path: log.to_owned(),
        });
    }
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, false)
        .map_err(said)?;
    conn.close().map_err(|(_, error)| said(error))
}

/// Gives a log a second name with `moment` in it that nothing has yet, and returns that name.
pub(super) fn name_again(
    log: &Path,
    moment: &str,
    link: impl Fn(&Path, &Path) -> io::Result<()>,
) -> io::Result<PathBuf> {
    let mut number = 1_u32;
    loop {
        let before = match number {
            1 => beside(log, &format!(".before-{moment}")),
            _ => beside(log, &format!(".before-{moment}-{number}")),
        };
        // What lies beside another log of that name must not be played into this one.
        let free = COMPANIONS
            .iter()
            .all(|ending| !beside(&before, ending).exists());
        if free {
            match link(log, &before).or_else(|error| match error.kind() {
                io::ErrorKind::AlreadyExists => Err(error),
                // Where the file system knows no links a copy serves.
                _ => copied_again(log, &before),
            }) {
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
                Err(error) => return Err(error),
                Ok(()) => return Ok(before),
            }
        }
        number += 1;
    }
}

/// Copies a log byte for byte into a file that appears whole and on disk, where none is yet.
fn copied_again(log: &Path, before: &Path) -> io::Result<()> {
    let unfinished = beside(before, ".unfinished");
    let mut copy = whole_file::begin(&unfinished, Readers::Owner)?;
    let put = File::open(log)
        .and_then(|mut log| io::copy(&mut log, &mut copy))
        .and_then(|_bytes| copy.sync_all())
        .and_then(|()| whole_file::put(&unfinished, before));
    // After a rename it is gone already.
    let _gone = fs::remove_file(&unfinished);
    put
}
