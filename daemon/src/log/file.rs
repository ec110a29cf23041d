//! The file of the log: made, opened, refused.

use std::fs::{self, DirBuilder, File, Permissions};
use std::io;
use std::os::unix::fs::{DirBuilderExt as _, PermissionsExt as _};
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags};

use super::error::LogError;
use super::finding;
use super::schema::{self, MIGRATIONS};
use crate::whole_file::{self, Readers, folder_of};

/// Marks a database as a log of ours (`PRAGMA application_id`): "Tare" in ASCII.
const APPLICATION_ID: i32 = 0x5461_7265;

/// How large the WAL may grow, in pages, when the log is never idle.
const WAL_PAGES: u32 = 4_000;

/// Opens the log at `path` for writing; makes it, and its folder, where there is none.
///
/// `patience` is how long a lock of another program is waited for. A file that is refused is left
/// byte for byte as it was.
pub(super) fn open(path: &Path, patience: Duration) -> Result<Connection, LogError> {
    make_folder(folder_of(path))?;
    match fs::metadata(path) {
        Ok(metadata) if metadata.len() == 0 => {
            // A log is never empty: it appears under its name only when it is whole.
            return Err(LogError::NotALog {
                path: path.to_owned(),
            });
        }
        Ok(_) => {}
        Err(error) if error.kind() == io::ErrorKind::NotFound => create(path)?,
        Err(error) => return Err(LogError::files("read", path, error)),
    }
    let mut conn = recognise(path, OpenFlags::SQLITE_OPEN_READ_WRITE, patience)?;
    let said = |error| LogError::sql(path, error);
    if conn.is_readonly("main").map_err(said)? {
        return Err(LogError::ReadOnly {
            path: path.to_owned(),
        });
    }
    schema::bring_up(&mut conn, path, MIGRATIONS)?;
    set_up(&conn).map_err(said)?;
    fs::set_permissions(path, Permissions::from_mode(0o600))
        .map_err(|error| LogError::files("close to others", path, error))?;
    Ok(conn)
}

/// Opens the log at `path` for reading; nothing is made or brought to a newer schema.
pub(super) fn open_to_read(path: &Path, patience: Duration) -> Result<Connection, LogError> {
    // SQLite itself says of a file that is missing that it may not be opened.
    fs::metadata(path).map_err(|error| LogError::files("read the log", path, error))?;
    let conn = recognise(path, OpenFlags::SQLITE_OPEN_READ_ONLY, patience)?;
    let found = schema::version(&conn).map_err(|error| LogError::sql(path, error))?;
    match schema::newest() < found {
        true => Err(LogError::TooNew {
            path: path.to_owned(),
            found,
            known: schema::newest(),
        }),
        false => Ok(conn),
    }
}

/// Opens a file and refuses it when it is no log of ours; writes nothing.
pub(super) fn recognise(
    path: &Path,
    access: OpenFlags,
    patience: Duration,
) -> Result<Connection, LogError> {
    let said = |error| LogError::sql(path, error);
    let had_wal = holds_bytes(&beside(path, "-wal"));
    let flags = access | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let conn = Connection::open_with_flags(path, flags).map_err(said)?;
    conn.busy_timeout(patience).map_err(said)?;
    // Closing would move the WAL of a log that is about to be refused into it.
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, had_wal)
        .map_err(said)?;
    let application: i32 = conn
        .pragma_query_value(None, "application_id", |row| row.get(0))
        .map_err(said)?;
    match application {
        APPLICATION_ID => Ok(conn),
        _ => Err(LogError::NotALog {
            path: path.to_owned(),
        }),
    }
}

fn set_up(conn: &Connection) -> rusqlite::Result<()> {
    conn.pragma_update_and_check(None, "journal_mode", "wal", |_| Ok(()))?;
    conn.pragma_update(None, "synchronous", "full")?;
    conn.pragma_update(None, "foreign_keys", true)?;
    conn.pragma_update(None, "wal_autocheckpoint", WAL_PAGES)?;
    conn.pragma_update(None, "cell_size_check", true)?;
    conn.pragma_update(None, "trusted_schema", false)?;
    conn.set_prepared_statement_cache_capacity(64);
    finding::teach(conn)?;
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, false)?;
    Ok(())
}

/// Makes an empty log beside `path` and gives it its name when it is whole and on disk.
///
/// Two services never do this at once: each holds its lock file for life.
fn create(path: &Path) -> Result<(), LogError> {
    let wal = beside(path, "-wal");
    if holds_bytes(&wal) {
        // SQLite would play these entries into a log they do not belong to.
        return Err(LogError::Bereft {
            path: path.to_owned(),
            wal,
        });
    }
    let unfinished = beside(path, ".unfinished");
    let said = |error| LogError::sql(&unfinished, error);
    make_private(&unfinished)?;
    let mut conn = Connection::open(&unfinished).map_err(said)?;
    conn.pragma_update(None, "application_id", APPLICATION_ID)
        .map_err(said)?;
    schema::bring_up(&mut conn, &unfinished, MIGRATIONS)?;
    conn.close().map_err(|(_, error)| said(error))?;
    File::open(&unfinished)
        .and_then(|file| file.sync_all())
        .and_then(|()| fs::rename(&unfinished, path))
        .map_err(|error| LogError::files("make", path, error))?;
    sync_folder(path)
}

/// Makes an empty file that only its owner may read, in place of one that an earlier try left.
pub(super) fn make_private(path: &Path) -> Result<(), LogError> {
    match whole_file::begin(path, Readers::Owner) {
        Ok(_) => Ok(()),
        Err(error) => Err(LogError::files("make", path, error)),
    }
}

/// Makes a renamed file's new name last through a power cut.
pub(super) fn sync_folder(path: &Path) -> Result<(), LogError> {
    whole_file::sync_folder(path)
        .map_err(|error| LogError::files("write the folder", folder_of(path), error))
}

/// Makes the folder with what is missing above it, closed to others; one that is there is left as it is.
pub(super) fn make_folder(folder: &Path) -> Result<(), LogError> {
    DirBuilder::new()
        .recursive(true)
        .mode(0o700)
        .create(folder)
        .map_err(|error| LogError::files("make the folder", folder, error))
}

pub(super) fn holds_bytes(path: &Path) -> bool {
    fs::metadata(path).is_ok_and(|metadata| 0 < metadata.len())
}

pub(super) fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}
