//! The keys, read on a thread of their own.

use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use crossterm::event::Event;
use rustix::event::{PollFd, PollFlags, Timespec, poll};
use tokio::sync::mpsc;

/// How often the thread looks whether it is to end.
const LOOK: Duration = Duration::from_millis(50);
/// How long the end of the thread is waited for.
const PATIENCE: Duration = Duration::from_millis(500);

/// What the person types, until the terminal is gone or this is dropped.
pub(super) struct Keys {
    /// Keys and changes of size; ends when the terminal is gone.
    pub(super) events: mpsc::Receiver<Event>,
    stop: Arc<AtomicBool>,
    ended: std::sync::mpsc::Receiver<()>,
}

impl Keys {
    /// Begins to listen.
    pub(super) fn listen() -> Self {
        let (sender, events) = mpsc::channel(64);
        let (alive, ended) = std::sync::mpsc::channel();
        let stop = Arc::new(AtomicBool::new(false));
        let stopped = Arc::clone(&stop);
        drop(std::thread::spawn(move || {
            let _alive: std::sync::mpsc::Sender<()> = alive;
            while !stopped.load(Ordering::Relaxed) {
                match next() {
                    Ok(Some(event)) if sender.blocking_send(event).is_err() => return,
                    Ok(_) => {}
                    Err(_) => return,
                }
            }
        }));
        Self {
            events,
            stop,
            ended,
        }
    }
}

/// Returns what was typed, if anything was; an error when the terminal is gone.
fn next() -> io::Result<Option<Event>> {
    // Asked for a key, the library would read a terminal that hung up for ever.
    let stdin = io::stdin();
    let mut watched = [PollFd::new(&stdin, PollFlags::IN)];
    let wait = Timespec::try_from(LOOK).map_err(io::Error::other)?;
    match poll(&mut watched, Some(&wait)) {
        Ok(_) | Err(rustix::io::Errno::INTR) => {}
        Err(error) => return Err(error.into()),
    }
    let gone = PollFlags::HUP | PollFlags::ERR | PollFlags::NVAL;
    if watched[0].revents().intersects(gone) {
        return Err(io::ErrorKind::BrokenPipe.into());
    }
    match crossterm::event::poll(Duration::ZERO)? {
        true => crossterm::event::read().map(Some),
        false => Ok(None),
    }
}

impl Drop for Keys {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
        self.events.close();
        // Waited for, so that no key typed after us is swallowed; but not for ever. It answers by hanging up.
        let _ended_or_late = self.ended.recv_timeout(PATIENCE);
    }
}
