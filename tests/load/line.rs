//! A serial line that costs nothing: a pseudo-terminal written by this very process.

use std::fs::File;
use std::io::Write;
use std::os::fd::{AsFd, OwnedFd};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use rustix::event::{PollFd, PollFlags, Timespec, poll};
use rustix::fs::{Mode, OFlags, open};
use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
use rustix::termios::{OptionalActions, tcgetattr, tcsetattr};

/// The scale's end of the line.
#[derive(Debug)]
pub(crate) struct Line {
    master: Arc<OwnedFd>,
    /// Kept open, so that the line does not hang up between two readers; `None` when it may.
    slave: Option<OwnedFd>,
    path: String,
}

/// Readings without end, until dropped.
#[derive(Debug)]
pub(crate) struct Sender {
    stop: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl Drop for Sender {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
        if let Some(thread) = self.thread.take() {
            thread.join().unwrap();
        }
    }
}

impl Line {
    pub(crate) fn open() -> Self {
        let master = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).unwrap();
        grantpt(&master).unwrap();
        unlockpt(&master).unwrap();
        let path = ptsname(&master, Vec::new()).unwrap().into_string().unwrap();
        let slave = open(&path, OFlags::RDWR | OFlags::NOCTTY, Mode::empty()).unwrap();
        let mut raw = tcgetattr(&slave).unwrap();
        raw.make_raw();
        tcsetattr(&slave, OptionalActions::Now, &raw).unwrap();
        Self {
            master: Arc::new(master),
            slave: Some(slave),
            path,
        }
    }

    pub(crate) fn path(&self) -> &str {
        &self.path
    }

    /// Lets go of the reader's end, so that it is seen when somebody opens it.
    pub(crate) fn shut(&mut self) {
        self.slave = None;
    }

    /// Sends a stable weight, in tenths of a gram.
    pub(crate) fn send(&self, decigrams: usize) {
        send(&self.master, decigrams);
    }

    /// Sends a weight every period from now on.
    pub(crate) fn stream(&self, period: Duration) -> Sender {
        let stop = Arc::new(AtomicBool::new(false));
        let (master, stopped) = (Arc::clone(&self.master), Arc::clone(&stop));
        let thread = thread::spawn(move || {
            while !stopped.load(Ordering::Relaxed) {
                // Without a reader nothing waits on the line, as on a wire.
                if !is_shut(&master) {
                    send(&master, 1_234);
                }
                thread::sleep(period);
            }
        });
        Sender {
            stop,
            thread: Some(thread),
        }
    }

    /// Watches for the moment at which somebody opens the reader's end.
    pub(crate) fn opened_by_somebody(&self) -> JoinHandle<Instant> {
        let master = Arc::clone(&self.master);
        thread::spawn(move || {
            while is_shut(&master) {
                thread::sleep(Duration::from_micros(100));
            }
            Instant::now()
        })
    }
}

fn send(master: &OwnedFd, decigrams: usize) {
    let mut file = File::from(master.try_clone().unwrap());
    let frame = format!("ST,GS,+{:>6}.{} g\r\n", decigrams / 10, decigrams % 10);
    file.write_all(frame.as_bytes()).unwrap();
}

fn is_shut(master: &OwnedFd) -> bool {
    let mut fds = [PollFd::from_borrowed_fd(master.as_fd(), PollFlags::OUT)];
    poll(&mut fds, Some(&Timespec::default())).unwrap();
    fds[0].revents().contains(PollFlags::HUP)
}
