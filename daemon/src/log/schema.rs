//! Brings a log to the schema this version knows, one numbered file after the other.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use rusqlite::{Connection, ErrorCode, TransactionBehavior, ffi};

use super::error::LogError;
use super::{copy, file};

/// One step from a schema to the next.
#[derive(Clone, Copy, Debug)]
pub(super) struct Migration {
    /// The file's name without its ending.
    pub(super) name: &'static str,
    /// The file's text.
    pub(super) sql: &'static str,
}

/// All steps; the schema's number (`PRAGMA user_version`) is how many of them were taken.
///
/// A file that was released is never edited: `fixtures/log` holds a database of each old schema.
pub(super) const MIGRATIONS: &[Migration] = &[
    Migration {
        name: "0001_journal_and_ledger",
        sql: include_str!("migrations/0001_journal_and_ledger.sql"),
    },
    Migration {
        name: "0002_finding",
        sql: include_str!("migrations/0002_finding.sql"),
    },
    Migration {
        name: "0003_awaited_jars_and_stretches",
        sql: include_str!("migrations/0003_awaited_jars_and_stretches.sql"),
    },
];

/// Brings the log at `path` to the newest schema of `migrations`, each step whole or not at all.
///
/// A log that has a schema already is copied first, to `log.schema-1.db` beside it.
pub(super) fn bring_up(
    conn: &mut Connection,
    path: &Path,
    migrations: &[Migration],
) -> Result<(), LogError> {
    let found = version(conn).map_err(|error| LogError::sql(path, error))?;
    let known = number(migrations.len());
    if known < found {
        return Err(LogError::TooNew {
            path: path.to_owned(),
            found,
            known,
        });
    }
    if found == known {
        return Ok(());
    }
    if 0 < found {
        back_up(conn, &backup_path(path, found))?;
    }
    for (to, migration) in (1..).zip(migrations) {
        apply(conn, to, migration).map_err(|source| match passes(&source) {
            true => LogError::sql(path, source),
            false => LogError::Migration {
                path: path.to_owned(),
                to,
                name: migration.name,
                source: Arc::new(source),
            },
        })?;
    }
    Ok(())
}

/// Returns the number of the schema a log has.
pub(super) fn version(conn: &Connection) -> rusqlite::Result<u32> {
    conn.pragma_query_value(None, "user_version", |row| row.get(0))
}

/// Returns the newest schema this version knows.
pub(super) fn newest() -> u32 {
    number(MIGRATIONS.len())
}

/// Returns where the copy of a log with schema `found` goes.
fn backup_path(path: &Path, found: u32) -> PathBuf {
    path.with_extension(format!("schema-{found}.db"))
}

/// Returns whether the error is one of the surroundings, which has words of its own and may pass.
pub(super) fn passes(error: &rusqlite::Error) -> bool {
    matches!(
        error.sqlite_error_code(),
        Some(
            ErrorCode::DiskFull
                | ErrorCode::ReadOnly
                | ErrorCode::CannotOpen
                | ErrorCode::DatabaseBusy
                | ErrorCode::DatabaseLocked
        )
    )
}

fn number(len: usize) -> u32 {
    u32::try_from(len).expect("there are far fewer than four thousand million migrations")
}

/// Takes one step, unless it was taken meanwhile.
fn apply(conn: &mut Connection, to: u32, migration: &Migration) -> rusqlite::Result<()> {
    // Rebuilding a table others point at is only possible without enforcement, which cannot be
    // switched inside a transaction: the check before the commit takes its place.
    conn.pragma_update(None, "foreign_keys", false)?;
    let transaction = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
    if to <= version(&transaction)? {
        return Ok(());
    }
    transaction.execute_batch(migration.sql)?;
    if transaction
        .prepare("PRAGMA foreign_key_check")?
        .exists([])?
    {
        return Err(rusqlite::Error::SqliteFailure(
            ffi::Error::new(ffi::SQLITE_ERROR),
            Some("a row points at one that is not there".to_owned()),
        ));
    }
    transaction.pragma_update(None, "user_version", to)?;
    transaction.commit()
}

/// Copies a log, page by page, into a file that appears whole or not at all.
fn back_up(conn: &Connection, to: &Path) -> Result<(), LogError> {
    let unfinished = to.with_extension("unfinished");
    copy::pages(conn, &unfinished)?;
    fs::rename(&unfinished, to).map_err(|error| LogError::files("write the copy", to, error))?;
    file::sync_folder(to)
}
