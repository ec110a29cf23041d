//! Reading an open port until it is gone.

use std::io;
use std::time::Duration;

use tarehand_mixing::Tick;
use tarehand_protocol::scale::profile::Poll;

use super::port::Port;
use super::time::Time;
use crate::links::LinkEvent;
use crate::links::outlet::{Outlet, Stopped};

/// How long a read waits for a byte (wall time); half of it is the mean delay of a stop.
pub(super) const READ_WAIT: Duration = Duration::from_millis(100);

/// A read that ends later than this after the one before has found old bytes (wall time).
///
/// A read waits at most [`READ_WAIT`], so the rest is time in which nobody read: this process was
/// stopped, the machine slept, or the bench took nothing.
const LATE: Duration = Duration::from_millis(500);

/// A shorter period between two commands would leave no time for an answer.
const SHORTEST_PERIOD: Duration = Duration::from_millis(20);

/// So many empty reads in a row mean that the device is gone.
///
/// Some drivers report a hang-up so: a read that does not wait and brings nothing, for ever.
const EMPTY_READS: u32 = 3;

/// How a port was lost.
#[derive(Debug)]
pub(super) struct Lost {
    /// Whether anything came while it was open.
    pub(super) had_sent: bool,
    /// What the system says; nothing for a plain hang-up.
    pub(super) source: Option<io::Error>,
}

impl Lost {
    fn by(error: io::Error, had_sent: bool) -> Self {
        Self {
            had_sent,
            source: (error.kind() != io::ErrorKind::BrokenPipe).then_some(error),
        }
    }
}

/// Reads an open port until it is gone or the link is to stop.
pub(super) struct Reader<'a> {
    pub(super) time: &'a dyn Time,
    pub(super) outlet: &'a Outlet,
    pub(super) poll: Option<&'a Poll>,
}

/// What one read means.
enum Heard {
    Bytes(usize),
    Nothing,
    Again,
    Gone(Option<io::Error>),
}

impl Reader<'_> {
    /// Reads on from `since`, when the port's input was last known to be empty.
    ///
    /// The port is dropped when this returns, so that the system can give its name to another.
    pub(super) fn run(&self, mut port: Box<dyn Port>, since: Tick) -> Result<Lost, Stopped> {
        let mut buffer = [0; 4096];
        let mut last_read = since;
        let mut next_poll = since;
        let mut empty_reads = 0;
        let mut had_sent = false;
        loop {
            self.outlet.go_on()?;
            if let Err(error) = self.poll_if_due(port.as_mut(), &mut next_poll) {
                return Ok(Lost::by(error, had_sent));
            }
            let heard = hear(
                port.read(&mut buffer, self.wait(next_poll)),
                &mut empty_reads,
            );
            let now = self.time.now();
            match heard {
                // `last_read` stays: a signal may be the end of a long stop.
                Heard::Again => {}
                Heard::Nothing => last_read = now,
                Heard::Bytes(_) if LATE < self.time.wall_between(last_read, now) => {
                    had_sent = true;
                    if let Err(error) = port.clear_input() {
                        return Ok(Lost::by(error, had_sent));
                    }
                    last_read = self.time.now();
                    self.outlet.tell(LinkEvent::Skipped { at: last_read })?;
                }
                Heard::Bytes(count) => {
                    had_sent = true;
                    last_read = now;
                    let bytes = buffer[..count].to_vec();
                    self.outlet.tell(LinkEvent::Bytes { at: now, bytes })?;
                }
                Heard::Gone(source) => return Ok(Lost { had_sent, source }),
            }
        }
    }

    fn poll_if_due(&self, port: &mut dyn Port, next: &mut Tick) -> io::Result<()> {
        let Some(poll) = self.poll else {
            return Ok(());
        };
        let now = self.time.now();
        if now < *next {
            return Ok(());
        }
        // From now on, not from when it was due: after a stall one command is enough.
        *next = now + poll.every.max(SHORTEST_PERIOD);
        match port.write(&poll.send) {
            // A scale that takes no command sends no weight, and silence is noticed elsewhere.
            Err(error) if error.kind() == io::ErrorKind::TimedOut => Ok(()),
            result => result,
        }
    }

    /// Returns how long to wait for a byte: not beyond the next poll.
    fn wait(&self, next_poll: Tick) -> Duration {
        match self.poll {
            Some(_) => READ_WAIT.min(self.time.wall_between(self.time.now(), next_poll)),
            None => READ_WAIT,
        }
    }
}

fn hear(read: io::Result<usize>, empty_reads: &mut u32) -> Heard {
    match read {
        Ok(0) => {
            *empty_reads += 1;
            if *empty_reads < EMPTY_READS {
                Heard::Again
            } else {
                Heard::Gone(None)
            }
        }
        Ok(count) => {
            *empty_reads = 0;
            Heard::Bytes(count)
        }
        Err(error) => match error.kind() {
            io::ErrorKind::TimedOut | io::ErrorKind::WouldBlock => {
                *empty_reads = 0;
                Heard::Nothing
            }
            io::ErrorKind::Interrupted => Heard::Again,
            io::ErrorKind::BrokenPipe => Heard::Gone(None),
            _ => Heard::Gone(Some(error)),
        },
    }
}
