//! A person's home, made for one test.

use std::fs::{self, DirBuilder};
use std::os::unix::fs::DirBuilderExt;
use std::path::{Path, PathBuf};
use std::process::Command;

use rustix::process::{Pid, Signal, kill_process};
use tempfile::TempDir;

use crate::LIMIT;
use crate::binaries::tarehand;
use crate::wait::wait_until;

/// A temporary home: nothing of the real one is seen, nothing is left behind.
///
/// Dropping it ends every process that still runs in it, such as a service the command line started.
#[derive(Debug)]
pub struct Home {
    folder: TempDir,
}

impl Default for Home {
    fn default() -> Self {
        Self::new()
    }
}

impl Home {
    /// Makes a home with its four folders, private as a login makes them.
    #[must_use]
    pub fn new() -> Self {
        let home = Self {
            folder: tempfile::Builder::new()
                .prefix("tarehand-")
                .tempdir()
                .unwrap(),
        };
        for folder in [home.config(), home.data(), home.state(), home.runtime()] {
            DirBuilder::new().mode(0o700).create(folder).unwrap();
        }
        home
    }

    /// Returns the home folder itself.
    #[must_use]
    pub fn path(&self) -> &Path {
        self.folder.path()
    }

    /// Returns `$XDG_CONFIG_HOME`.
    #[must_use]
    pub fn config(&self) -> PathBuf {
        self.path().join("config")
    }

    /// Returns `$XDG_DATA_HOME`.
    #[must_use]
    pub fn data(&self) -> PathBuf {
        self.path().join("data")
    }

    /// Returns `$XDG_STATE_HOME`.
    #[must_use]
    pub fn state(&self) -> PathBuf {
        self.path().join("state")
    }

    /// Returns `$XDG_RUNTIME_DIR`.
    #[must_use]
    pub fn runtime(&self) -> PathBuf {
        self.path().join("run")
    }

    /// Returns the path of the service's socket.
    #[must_use]
    pub fn socket(&self) -> PathBuf {
        self.runtime().join("tarehand/service.socket")
    }

    /// Returns a command of the person's command line in this home.
    #[must_use]
    pub fn tarehand(&self, arguments: &[&str]) -> Command {
        let mut command = self.command(tarehand());
        command.args(arguments);
        command
    }

    /// Writes a file below the home, with the folders it needs, and returns its path.
    pub fn write(&self, file: impl AsRef<Path>, text: &str) -> PathBuf {
        let path = self.path().join(file);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(&path, text).unwrap();
        path
    }

    /// Returns a command that knows this home and nothing else: no message bus, no colours, no other settings.
    #[must_use]
    pub fn command(&self, program: impl AsRef<Path>) -> Command {
        let mut command = Command::new(program.as_ref());
        command
            .env_clear()
            .env("PATH", "/usr/local/bin:/usr/bin:/bin")
            .env("LANG", "C.UTF-8")
            .env("TZ", "UTC")
            .env("HOME", self.path())
            .env("XDG_CONFIG_HOME", self.config())
            .env("XDG_DATA_HOME", self.data())
            .env("XDG_STATE_HOME", self.state())
            .env("XDG_RUNTIME_DIR", self.runtime())
            .current_dir(self.path());
        command
    }

    /// Returns the processes that were started in this home and still run.
    #[must_use]
    pub fn inhabitants(&self) -> Vec<Pid> {
        let mark = format!("XDG_RUNTIME_DIR={}", self.runtime().display());
        let lives_here = |environment: &[u8]| {
            environment
                .split(|&byte| byte == 0)
                .any(|entry| entry == mark.as_bytes())
        };
        let processes = fs::read_dir("/proc").into_iter().flatten().flatten();
        processes
            .filter_map(|entry| {
                let pid: i32 = entry.file_name().to_str()?.parse().ok()?;
                // A process that is gone or another person's is not ours; an ended one has no environment.
                let environment = fs::read(entry.path().join("environ")).ok()?;
                lives_here(&environment).then(|| Pid::from_raw(pid))?
            })
            .collect()
    }
}

impl Drop for Home {
    fn drop(&mut self) {
        let _all_gone = wait_until(LIMIT, || {
            let left = self.inhabitants();
            for &pid in &left {
                // It may have ended by itself meanwhile.
                let _gone = kill_process(pid, Signal::KILL);
            }
            left.is_empty().then_some(())
        });
    }
}
