//! Running a program with a deadline.

use std::fs::File;
use std::io::{Seek, SeekFrom, Write};
use std::os::unix::fs::FileExt;
use std::process::{Child, Command, ExitStatus, Stdio};
use std::time::Duration;

use rustix::process::{Pid, Signal, kill_process};

use crate::wait::wait_until;

/// What a program left behind.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finished {
    /// The exit code; `None` when a signal ended it.
    pub code: Option<i32>,
    /// All of its standard output.
    pub stdout: String,
    /// All of its standard error.
    pub stderr: String,
}

impl Finished {
    /// Returns the standard output of a program that ended well.
    ///
    /// # Panics
    /// When it ended otherwise, with everything it said.
    #[must_use]
    #[track_caller]
    pub fn good(self) -> String {
        self.with_code(0).stdout
    }

    /// Returns this when it ended with `code`.
    ///
    /// # Panics
    /// When it ended otherwise, with everything it said.
    #[must_use]
    #[track_caller]
    pub fn with_code(self, code: i32) -> Self {
        assert_eq!(
            self.code,
            Some(code),
            "stdout:\n{}\nstderr:\n{}",
            self.stdout,
            self.stderr
        );
        self
    }
}

/// Runs a command to its end, with `input` on its standard input.
///
/// Its output goes through files, not pipes: a service that it leaves running cannot keep the test waiting.
///
/// # Panics
/// When it cannot be started, or still runs after `limit` (it is killed), with everything it said.
#[track_caller]
pub fn run(command: &mut Command, input: &str, limit: Duration) -> Finished {
    let mut stdin = tempfile::tempfile().unwrap();
    stdin.write_all(input.as_bytes()).unwrap();
    stdin.seek(SeekFrom::Start(0)).unwrap();
    Running::start(command, Stdio::from(stdin)).finish(limit)
}

/// A program at work; killed when dropped.
#[derive(Debug)]
pub struct Running {
    name: String,
    child: Child,
    stdout: File,
    stderr: File,
}

impl Running {
    /// Starts a command and lets it work.
    ///
    /// # Panics
    /// When it cannot be started.
    #[must_use]
    #[track_caller]
    pub fn start(command: &mut Command, stdin: Stdio) -> Self {
        let name = format!("{command:?}");
        let stdout = tempfile::tempfile().unwrap();
        let stderr = tempfile::tempfile().unwrap();
        let child = command
            .stdin(stdin)
            .stdout(stdout.try_clone().unwrap())
            .stderr(stderr.try_clone().unwrap())
            .spawn();
        match child {
            Ok(child) => Self {
                name,
                child,
                stdout,
                stderr,
            },
            Err(error) => panic!("cannot start {name}: {error}"),
        }
    }

    /// Returns its process number.
    #[must_use]
    pub fn pid(&self) -> Pid {
        Pid::from_child(&self.child)
    }

    /// Sends it a signal.
    pub fn signal(&self, signal: Signal) {
        kill_process(self.pid(), signal).unwrap();
    }

    /// Returns what it has said so far: standard output, standard error.
    #[must_use]
    pub fn said(&self) -> (String, String) {
        (text_of(&self.stdout), text_of(&self.stderr))
    }

    /// Returns its exit when it has ended.
    pub fn ended(&mut self) -> Option<ExitStatus> {
        self.child.try_wait().unwrap()
    }

    /// Waits for its end.
    ///
    /// # Panics
    /// When it still runs after `limit`, with everything it said.
    #[track_caller]
    pub fn finish(mut self, limit: Duration) -> Finished {
        let status = wait_until(limit, || self.ended());
        let (stdout, stderr) = self.said();
        let Some(status) = status else {
            panic!(
                "{} still ran after {limit:?}\nstdout:\n{stdout}\nstderr:\n{stderr}",
                self.name
            );
        };
        Finished {
            code: status.code(),
            stdout,
            stderr,
        }
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        // Ended already, or ended now; either way it is waited for, so that no dead process stays.
        let _ended = self.child.kill();
        let _status = self.child.wait();
    }
}

/// Reads at a place of its own: the writer shares the file's, and must not find it moved.
fn text_of(file: &File) -> String {
    let length = file.metadata().unwrap().len();
    let mut bytes = vec![0; usize::try_from(length).unwrap()];
    file.read_exact_at(&mut bytes, 0).unwrap();
    String::from_utf8_lossy(&bytes).into_owned()
}
