//! One instance: the lock, the socket, the token.

use std::fs::{File, OpenOptions};
use std::io::{self, Read as _, Seek, Write};
use std::os::unix::fs::{OpenOptionsExt, PermissionsExt};
use std::path::{Path, PathBuf};

use rustix::fs::{FlockOperation, flock};
use tokio::net::UnixListener;

use crate::folders::Folders;
use crate::visit::secret;

/// The right to be the service: a lock that is held for life.
#[derive(Debug)]
pub(super) struct Instance {
    lock: File,
    socket: PathBuf,
}

/// Why this process may not be the service.
#[derive(Debug, thiserror::Error)]
pub enum InstanceError {
    /// Another one is.
    #[error("the service runs already{}", process.as_ref().map(|process| format!(" (process {process})")).unwrap_or_default())]
    Running {
        /// Its process, where its lock says it.
        process: Option<String>,
    },
    /// The lock cannot be had.
    #[error("cannot lock {}", path.display())]
    System {
        /// The lock.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
}

impl InstanceError {
    /// Returns what the person can do about it.
    #[must_use]
    pub const fn hint(&self) -> &'static str {
        match self {
            Self::Running { .. } => "use it, or stop it with `tarehand stop`",
            Self::System { .. } => {
                "see who owns the runtime folder, or name another one with --runtime-dir"
            }
        }
    }
}

impl Instance {
    /// Takes the lock, or says who holds it.
    pub(super) fn claim(folders: &Folders) -> Result<Self, InstanceError> {
        let path = folders.lock();
        let failed = |source| InstanceError::System {
            path: path.clone(),
            source,
        };
        let mut lock = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .mode(0o600)
            .open(&path)
            .map_err(failed)?;
        match flock(&lock, FlockOperation::NonBlockingLockExclusive) {
            Ok(()) => {}
            Err(rustix::io::Errno::WOULDBLOCK) => {
                let mut process = String::new();
                // The number is only for the message.
                let read = lock.read_to_string(&mut process).is_ok();
                let process =
                    Some(process.trim().to_owned()).filter(|process| read && !process.is_empty());
                return Err(InstanceError::Running { process });
            }
            Err(error) => return Err(failed(error.into())),
        }
        lock.set_len(0)
            .and_then(|()| lock.rewind())
            .map_err(failed)?;
        write!(lock, "{}", std::process::id()).map_err(failed)?;
        Ok(Self {
            lock,
            socket: folders.socket(),
        })
    }

    /// Binds the socket; a stale one is removed, which only the holder of the lock may do.
    pub(super) fn bind(&self) -> io::Result<UnixListener> {
        match std::fs::remove_file(&self.socket) {
            Ok(()) => {}
            Err(error) if error.kind() == io::ErrorKind::NotFound => {}
            Err(error) => return Err(error),
        }
        // The folder is private already; the mode is for a folder that was opened up.
        let listener = UnixListener::bind(&self.socket)?;
        std::fs::set_permissions(&self.socket, std::fs::Permissions::from_mode(0o600))?;
        Ok(listener)
    }
}

impl Drop for Instance {
    fn drop(&mut self) {
        drop(std::fs::remove_file(&self.socket));
        // The lock goes with the file descriptor; its file stays, so that nobody locks another one.
        drop(self.lock.set_len(0));
    }
}

/// Makes a new secret and writes it to a file that only its owner reads.
pub(super) fn new_token(path: &Path) -> io::Result<String> {
    let token = secret::new_secret()?;
    match std::fs::remove_file(path) {
        Ok(()) => {}
        Err(error) if error.kind() == io::ErrorKind::NotFound => {}
        Err(error) => return Err(error),
    }
    let mut file = OpenOptions::new()
        .write(true)
        .create_new(true)
        .mode(0o600)
        .open(path)?;
    file.write_all(token.as_bytes())?;
    Ok(token)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folders(home: &Path) -> Folders {
        Folders {
            config: home.to_owned(),
            data: home.to_owned(),
            runtime: home.to_owned(),
        }
    }

    #[test]
    fn the_second_instance_is_told_who_runs() {
        let home = tempfile::tempdir().unwrap();
        let first = Instance::claim(&folders(home.path())).unwrap();
        let second = Instance::claim(&folders(home.path())).unwrap_err();
        assert_eq!(
            second.to_string(),
            format!("the service runs already (process {})", std::process::id())
        );
        drop(first);
        assert!(Instance::claim(&folders(home.path())).is_ok());
    }

    #[tokio::test]
    async fn a_stale_socket_is_replaced_and_closed_to_others() {
        let home = tempfile::tempdir().unwrap();
        let folders = folders(home.path());
        let instance = Instance::claim(&folders).unwrap();
        std::fs::write(folders.socket(), "stale").unwrap();
        let _listener = instance.bind().unwrap();
        let mode = std::fs::metadata(folders.socket())
            .unwrap()
            .permissions()
            .mode();
        assert_eq!(mode & 0o777, 0o600);
    }

    #[test]
    fn a_token_is_long_new_and_private() {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("token");
        let (first, second) = (new_token(&path).unwrap(), new_token(&path).unwrap());
        assert_eq!(first.len(), 64);
        assert_ne!(first, second);
        assert_eq!(
            std::fs::metadata(&path).unwrap().permissions().mode() & 0o777,
            0o600
        );
    }
}
