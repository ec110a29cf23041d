//! What can go wrong with the log, in words.

use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use rusqlite::ErrorCode;
use tarehand_protocol::Mass;

use super::mark::Mark;

/// Why the log could not do what it was asked.
///
/// After any of these nothing half is in the log, everything answered before is still there, and
/// the next call may succeed.
#[derive(Clone, Debug, thiserror::Error)]
pub enum LogError {
    /// The disk, or the quota on it, is full.
    #[error("no room left on the disk for the log `{}`", path.display())]
    Full {
        /// The log.
        path: PathBuf,
    },
    /// The log or its folder may be read, not written.
    #[error("the log `{}` cannot be written", path.display())]
    ReadOnly {
        /// The log.
        path: PathBuf,
    },
    /// Another program is writing to the log.
    #[error("another program holds the log `{}`", path.display())]
    Locked {
        /// The log.
        path: PathBuf,
    },
    /// The file is a log, but pages of it are missing or wrong.
    #[error("the log `{}` is damaged", path.display())]
    Damaged {
        /// The log.
        path: PathBuf,
        /// What was found.
        source: Arc<rusqlite::Error>,
    },
    /// The file is something else.
    #[error("`{}` is not a log of Tarehand", path.display())]
    NotALog {
        /// The file.
        path: PathBuf,
    },
    /// The log itself is missing, but what was last written to it is there.
    #[error("the log `{}` is missing, but its last entries are in `{}`", path.display(), wal.display())]
    Bereft {
        /// The log.
        path: PathBuf,
        /// The file of last entries.
        wal: PathBuf,
    },
    /// A newer version of the program has written the log.
    #[error("the log `{}` has schema {found}, this version knows {known} at most", path.display())]
    TooNew {
        /// The log.
        path: PathBuf,
        /// The schema found.
        found: u32,
        /// The newest schema this version knows.
        known: u32,
    },
    /// The folder or the file could not be made, opened or closed to others.
    #[error("cannot {doing} `{}`", path.display())]
    Files {
        /// What was tried, "make the folder".
        doing: &'static str,
        /// On what.
        path: PathBuf,
        /// What the system said.
        source: Arc<io::Error>,
    },
    /// The copy that is made before a migration failed; the log is as it was.
    #[error("cannot copy the log to `{}` before bringing it to a newer schema", path.display())]
    Backup {
        /// The copy.
        path: PathBuf,
        /// What was found.
        source: Arc<rusqlite::Error>,
    },
    /// The log, or a copy of it, does not hold together.
    #[error("the log `{}` is not whole: {found}", path.display())]
    NotWhole {
        /// The log.
        path: PathBuf,
        /// The first thing that is wrong.
        found: String,
    },
    /// A migration failed and was rolled back; the log is as it was.
    #[error("cannot bring the log `{}` to schema {to} (`{name}`)", path.display())]
    Migration {
        /// The log.
        path: PathBuf,
        /// The schema that was to be reached.
        to: u32,
        /// The migration's name.
        name: &'static str,
        /// What was found.
        source: Arc<rusqlite::Error>,
    },
    /// No batch of this mark or number is in the log.
    #[error("no batch `{batch}` in the log")]
    NoBatch {
        /// Mark or number, as asked.
        batch: String,
    },
    /// A batch that came is not the one of this mark that is here.
    #[error("another batch with the mark {mark} is in this log")]
    OtherBatch {
        /// The mark of both.
        mark: Mark,
    },
    /// A batch that came has gone on elsewhere, and is being made here.
    #[error("batch {mark} is being made here, and went on elsewhere")]
    BeingMade {
        /// Its mark.
        mark: Mark,
    },
    /// What was to be written breaks a rule of the log.
    #[error("the log does not take this: {why}")]
    Refused {
        /// Which rule.
        why: String,
    },
    /// More was to leave a jar than it holds.
    #[error("the jar holds {}", Mass::from_micrograms(*held_ug))]
    NotInJar {
        /// What it holds, in micrograms.
        held_ug: i64,
    },
    /// A mix was to stand on the shelf under a key by which something was poured, or put there, before.
    #[error("`{key}` is in this log already, as something else on the shelf")]
    KeyInUse {
        /// The key.
        key: String,
    },
    /// The disk failed, or something else that has no words of its own.
    #[error("cannot read or write the log `{}`", path.display())]
    Failed {
        /// The log.
        path: PathBuf,
        /// What was found.
        source: Arc<rusqlite::Error>,
    },
    /// The log was stopped before it got to this.
    #[error("the log is stopped")]
    Stopped,
}

impl LogError {
    /// Returns what a person can do about it.
    #[must_use]
    pub fn hint(&self) -> Option<&'static str> {
        match self {
            Self::Full { .. } => {
                Some("make room on that disk and repeat: nothing that was logged is lost")
            }
            Self::ReadOnly { .. } => Some(
                "make the file and its folder your own and writable (`chmod u+rwX`), then repeat",
            ),
            Self::Locked { .. } => {
                Some("close the other program that has this file open, then repeat")
            }
            Self::Damaged { .. } => Some(
                "the file was left as it is: keep a copy of the whole folder, then put back the newest copy of the log you have",
            ),
            Self::NotWhole { .. } => Some(
                "the file was left as it is: use an older copy, and keep this one for whoever can mend it",
            ),
            Self::NotALog { .. } => {
                Some("the file was left as it is: move it away, or name another data folder")
            }
            Self::Bereft { .. } => {
                Some("put the log back beside that file, or move that file away to begin a new log")
            }
            Self::TooNew { .. } => Some("update Tarehand; the log was left as it is"),
            Self::Files { source, .. } if source.kind() == io::ErrorKind::PermissionDenied => Some(
                "make the folder your own and writable (`chmod u+rwX`), or name another data folder",
            ),
            Self::Files { source, .. } if source.kind() == io::ErrorKind::AlreadyExists => {
                Some("name a file that is not there yet")
            }
            Self::Files { source, .. } if source.kind() == io::ErrorKind::NotFound => {
                Some("look at the path: there is no such file or folder")
            }
            Self::Files { .. } => Some("look at the path, or name another data folder"),
            Self::Backup { .. } => Some("make room on that disk; the log was left as it is"),
            Self::Migration { .. } => Some(
                "go back to the version that wrote this log and report this; a copy lies beside the log",
            ),
            Self::NoBatch { .. } => Some("list the batches to see their marks"),
            Self::OtherBatch { .. } => Some(
                "both logs went on with it each in its own way, it was changed on the way, or both drew the same mark",
            ),
            Self::BeingMade { .. } => {
                Some("finish it at its bench first, or give it up, then import again")
            }
            Self::NotInJar { .. } => Some("say less, or see its record for where it went"),
            Self::KeyInUse { .. } => Some("give it a key of its own"),
            Self::Refused { .. } => None,
            Self::Failed { .. } => Some("look at the disk: the system's own log may say more"),
            Self::Stopped => Some("start the service again"),
        }
    }

    /// Says what an operation on files could not do.
    pub(super) fn files(doing: &'static str, path: &Path, source: io::Error) -> Self {
        match source.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Self::Full {
                path: path.to_owned(),
            },
            io::ErrorKind::ReadOnlyFilesystem => Self::ReadOnly {
                path: path.to_owned(),
            },
            _ => Self::Files {
                doing,
                path: path.to_owned(),
                source: Arc::new(source),
            },
        }
    }

    /// Says what SQLite could not do with the log at `path`.
    pub(super) fn sql(path: &Path, source: rusqlite::Error) -> Self {
        let path = path.to_owned();
        match source.sqlite_error_code() {
            Some(ErrorCode::DiskFull) => Self::Full { path },
            Some(ErrorCode::ReadOnly | ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => {
                Self::ReadOnly { path }
            }
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Locked { path },
            Some(ErrorCode::NotADatabase) => Self::NotALog { path },
            Some(ErrorCode::DatabaseCorrupt) => Self::Damaged {
                path,
                source: Arc::new(source),
            },
            Some(ErrorCode::ConstraintViolation) => Self::Refused { why: rule(&source) },
            _ => Self::Failed {
                path,
                source: Arc::new(source),
            },
        }
    }
}

/// Returns the rule a constraint stands for; the schema names its constraints in words.
fn rule(error: &rusqlite::Error) -> String {
    let text = match error {
        rusqlite::Error::SqliteFailure(_, Some(text)) => text.clone(),
        other => other.to_string(),
    };
    match text.strip_prefix("CHECK constraint failed: ") {
        Some(rule) => rule.to_owned(),
        None => text,
    }
}

/// What goes wrong inside the log, before it is known which file it was.
#[derive(Debug)]
pub(super) enum Fault {
    /// SQLite said no.
    Sql(rusqlite::Error),
    /// It already has its words.
    Said(LogError),
}

impl Fault {
    /// Refuses a record for a reason the schema cannot name.
    pub(super) fn refused(why: impl Into<String>) -> Self {
        Self::Said(LogError::Refused { why: why.into() })
    }

    /// Puts it in words, for the log at `path`.
    pub(super) fn at(self, path: &Path) -> LogError {
        match self {
            Self::Sql(source) => LogError::sql(path, source),
            Self::Said(error) => error,
        }
    }
}

impl From<rusqlite::Error> for Fault {
    fn from(error: rusqlite::Error) -> Self {
        Self::Sql(error)
    }
}
