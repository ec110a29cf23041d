//! Starting the service where none runs.

use std::ffi::OsString;
use std::fs::{File, OpenOptions};
use std::io;
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use tarehandd::folders::{Folders, FoldersError};
use tokio::time::{Instant, sleep};

use crate::client::{Client, ClientError};
use crate::failure::{Exit, Failure};

/// How long the service may take until it answers: migrations and a backup of a large log included.
const START_LIMIT: Duration = Duration::from_secs(20);
/// The messages are begun anew when they have grown longer than this.
const LONGEST_LOG: u64 = 1 << 20;
/// How long until another start is tried while somebody else holds the lock.
const TRY_AGAIN: Duration = Duration::from_millis(300);
/// How often we look whether it answers.
const LOOK_EVERY: Duration = Duration::from_millis(25);

/// Why the service could not be started.
#[derive(Debug, thiserror::Error)]
pub(crate) enum ServiceError {
    /// Our own program could not be found.
    #[error("cannot find the program to start the service with")]
    Program {
        /// Why.
        source: io::Error,
    },
    /// The runtime folder could not be made.
    #[error("there is no folder to run the service in")]
    Folder {
        /// Why.
        source: FoldersError,
    },
    /// The service's messages cannot be kept.
    #[error("cannot write the messages of the service to {}", path.display())]
    Log {
        /// Where.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// It could not be started at all.
    #[error("cannot start the service")]
    Spawn {
        /// Why.
        source: io::Error,
    },
    /// It ended at once.
    #[error("the service ended while starting{}", last_words(said))]
    Ended {
        /// The code it ended with.
        code: Option<i32>,
        /// Where its messages are.
        log: PathBuf,
        /// The last it said.
        said: String,
    },
    /// It does not answer.
    #[error("the service was started but did not answer within {} s", limit.as_secs())]
    Silent {
        /// How long we waited.
        limit: Duration,
        /// Where its messages are.
        log: PathBuf,
    },
}

fn last_words(said: &str) -> String {
    if said.is_empty() {
        String::new()
    } else {
        format!(": {said}")
    }
}

impl ServiceError {
    /// Returns the code a command exits with.
    pub(crate) const fn exit(&self) -> Exit {
        match self {
            Self::Ended { code: Some(78), .. } => Exit::Configuration,
            Self::Ended { code: Some(75), .. } => Exit::TryAgain,
            Self::Folder { .. }
            | Self::Program { .. }
            | Self::Log { .. }
            | Self::Spawn { .. }
            | Self::Ended { .. }
            | Self::Silent { .. } => Exit::Unavailable,
        }
    }

    /// Returns what the person can do about it.
    pub(crate) fn hint(&self) -> String {
        match self {
            Self::Folder { source } => source.hint().to_owned(),
            Self::Program { .. } | Self::Spawn { .. } => {
                "see whether this program can still be read and run".to_owned()
            }
            Self::Log { .. } => {
                "see who owns that folder, or name another with --runtime-dir".to_owned()
            }
            Self::Ended { log, .. } | Self::Silent { log, .. } => {
                format!("its messages are in {}", log.display())
            }
        }
    }
}

/// Returns a client of the running service; starts one where none runs.
pub(crate) async fn ensure(folders: &Folders) -> Result<Client, Failure> {
    match running(folders).await {
        Err(Failure::Client(ClientError::NotRunning)) => start(folders).await,
        other => other,
    }
}

/// Returns a client of the running service.
pub(crate) async fn running(folders: &Folders) -> Result<Client, Failure> {
    let client = Client::new(&folders.socket());
    client.status().await?;
    Ok(client)
}

async fn start(folders: &Folders) -> Result<Client, Failure> {
    folders
        .make()
        .map_err(|source| ServiceError::Folder { source })?;
    let log = folders.runtime.join("service.messages");
    let mut child = spawn(folders, &log)?;
    let client = Client::new(&folders.socket());
    let deadline = Instant::now() + START_LIMIT;
    loop {
        match client.status().await {
            Ok(_) => return Ok(client),
            Err(error) if !error.is_passing() => return Err(error.into()),
            Err(_) => {}
        }
        if let Ok(Some(status)) = child.try_wait() {
            // The loser of the lock ends with "try again": the winner is about to answer, or about to end.
            if status.code() != Some(75) || deadline <= Instant::now() {
                return Err(ServiceError::Ended {
                    code: status.code(),
                    said: last_line(&log),
                    log,
                }
                .into());
            }
            sleep(TRY_AGAIN).await;
            child = spawn(folders, &log)?;
        }
        if deadline <= Instant::now() {
            return Err(ServiceError::Silent {
                limit: START_LIMIT,
                log,
            }
            .into());
        }
        sleep(LOOK_EVERY).await;
    }
}

/// Spawns our own program as the service; it makes a session of its own as its first act, so that
/// closing this terminal ends nothing.
fn spawn(folders: &Folders, log: &Path) -> Result<Child, ServiceError> {
    let program = std::env::current_exe().map_err(|source| ServiceError::Program { source })?;
    let messages = open_log(log).map_err(|source| ServiceError::Log {
        path: log.to_owned(),
        source,
    })?;
    Command::new(program)
        .args(arguments(folders))
        .current_dir("/")
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(messages)
        .spawn()
        .map_err(|source| ServiceError::Spawn { source })
}

fn arguments(folders: &Folders) -> Vec<OsString> {
    let mut arguments: Vec<OsString> = ["serve", "--until-idle", "--own-session"]
        .map(OsString::from)
        .into();
    // Told rather than inherited: the folders may have been named by relative flags.
    for (flag, folder) in [
        ("--config-dir", &folders.config),
        ("--data-dir", &folders.data),
        ("--runtime-dir", &folders.runtime),
    ] {
        let folder = std::path::absolute(folder).unwrap_or_else(|_| folder.clone());
        arguments.extend([flag.into(), folder.into()]);
    }
    arguments
}

/// Opens the messages at their end: another one may be starting and write there too.
fn open_log(path: &Path) -> io::Result<File> {
    let file = OpenOptions::new()
        .create(true)
        .append(true)
        .mode(0o600)
        .open(path)?;
    if LONGEST_LOG < file.metadata()?.len() {
        file.set_len(0)?;
    }
    Ok(file)
}

fn last_line(log: &Path) -> String {
    let text = std::fs::read_to_string(log).unwrap_or_default();
    let last = text.lines().rev().find(|line| !line.trim().is_empty());
    crate::words::shown(last.unwrap_or_default()).into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_service_is_told_its_folders_as_absolute_paths() {
        let folders = Folders {
            config: "/c".into(),
            data: "/d".into(),
            runtime: "/r".into(),
        };
        assert_eq!(
            arguments(&folders),
            [
                "serve",
                "--until-idle",
                "--own-session",
                "--config-dir",
                "/c",
                "--data-dir",
                "/d",
                "--runtime-dir",
                "/r"
            ]
        );
    }
}
