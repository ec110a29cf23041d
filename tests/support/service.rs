//! The service at work in a home.

use std::process::{Command, Stdio};
use std::time::Duration;

use rustix::process::Signal;

use crate::binaries::tarehandd;
use crate::{Client, Finished, Home, LIMIT, Running, wait_for};

/// The running service of a home; killed when dropped.
#[derive(Debug)]
pub struct Service {
    running: Running,
    client: Client,
}

impl Service {
    /// Starts the service with these flags and waits until it answers.
    ///
    /// # Panics
    /// When it ends or does not answer, with everything it said.
    #[must_use]
    #[track_caller]
    pub fn start(home: &Home, flags: &[&str]) -> Self {
        let mut command = Self::command(home);
        command.args(flags);
        Self::start_command(home, &mut command)
    }

    /// Returns a command of the service that nobody has started yet.
    #[must_use]
    pub fn command(home: &Home) -> Command {
        let mut command = home.command(tarehandd());
        // In a test every reason counts; no line per reading is above this.
        command.env("TAREHAND_LOG", "debug");
        command
    }

    /// Starts a prepared command of the service and waits until it answers.
    ///
    /// # Panics
    /// When it ends or does not answer, with everything it said.
    #[must_use]
    #[track_caller]
    pub fn start_command(home: &Home, command: &mut Command) -> Self {
        let client = Client::unix(home.socket());
        let mut running = Running::start(command, Stdio::null());
        wait_for("the service to answer", LIMIT, || {
            if let Some(status) = running.ended() {
                panic!("the service ended with {status}: {}", running.said().1);
            }
            let answer = client.request("GET", "/v1/status", None).ok()?;
            (answer.status == 200).then_some(())
        });
        Self { running, client }
    }

    /// Returns a client of it, through the socket.
    #[must_use]
    pub const fn client(&self) -> &Client {
        &self.client
    }

    /// Returns the process.
    #[must_use]
    pub const fn process(&self) -> &Running {
        &self.running
    }

    /// Tells it to stop and waits for its end.
    ///
    /// # Panics
    /// When it still runs after `limit`, with everything it said.
    #[track_caller]
    pub fn terminate(self, limit: Duration) -> Finished {
        self.running.signal(Signal::TERM);
        self.running.finish(limit)
    }

    /// Kills it, as a power cut does, and waits until nobody answers; it can still be asked what it said.
    ///
    /// # Panics
    /// When something still answers after [`LIMIT`].
    #[track_caller]
    pub fn cut_off(&self) {
        self.running.signal(Signal::KILL);
        wait_for("the end of the service", LIMIT, || {
            self.client.request("GET", "/v1/status", None).err()
        });
    }

    /// Kills it, as a power cut does.
    pub fn kill(self) {
        drop(self.running);
    }
}
