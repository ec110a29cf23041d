//! All that may happen in a lesson: bytes, words of the bench, words of the person, and its end.

use std::io::BufRead;
use std::time::Duration;

use tarehand_protocol::api::{Chunk, View};
use tokio::signal::unix::{Signal, SignalKind, signal};
use tokio::sync::mpsc;
use tokio::time::sleep;

use crate::client::{ClientError, Events, Happening};
use crate::failure::Failure;
use crate::terminal::TerminalError;

/// How often a wait looks at the time.
const LOOK: Duration = Duration::from_millis(250);

/// Something that happened.
pub(super) enum Happened {
    /// Bytes came.
    Chunk(Chunk),
    /// The scale was opened; or bytes were thrown away.
    Begin(Option<String>),
    /// So many pieces came faster than they were taken.
    Missed(u64),
    /// The bench shows something else.
    View(Box<View>),
    /// The person typed a line.
    Typed(String),
    /// Nothing.
    Time,
}

/// Why a lesson ends early.
pub(super) enum Halt {
    /// The person ended it.
    Stopped,
    /// Nobody answers any more.
    NobodyThere,
    /// Something failed.
    Failed(Failure),
}

impl<E: Into<Failure>> From<E> for Halt {
    fn from(error: E) -> Self {
        Self::Failed(error.into())
    }
}

/// What is listened to.
pub(super) struct Ear {
    pub(super) bytes: Events,
    pub(super) views: Events,
    typed: mpsc::Receiver<String>,
    interrupt: Signal,
    terminate: Signal,
}

impl Ear {
    pub(super) fn open(bytes: Events, views: Events) -> Result<Self, Failure> {
        Ok(Self {
            bytes,
            views,
            typed: typing(),
            interrupt: signal(SignalKind::interrupt()).map_err(TerminalError::from)?,
            terminate: signal(SignalKind::terminate()).map_err(TerminalError::from)?,
        })
    }

    /// Waits for what happens next; what is typed meanwhile waits for its question. May be dropped while it waits.
    pub(super) async fn next(&mut self) -> Result<Happened, Halt> {
        let happening = tokio::select! {
            biased;
            _ = self.interrupt.recv() => return Err(Halt::Stopped),
            _ = self.terminate.recv() => return Err(Halt::Stopped),
            view = self.views.next() => view?,
            bytes = self.bytes.next() => bytes?,
            () = sleep(LOOK) => return Ok(Happened::Time),
        };
        Ok(match happening {
            Some(Happening::Chunk(chunk)) => Happened::Chunk(chunk),
            Some(Happening::Begin(begin)) => Happened::Begin(begin.device),
            Some(Happening::Missed(count)) => Happened::Missed(count),
            Some(Happening::View(view)) => Happened::View(view),
            Some(Happening::Weight(_) | Happening::Reading(_)) => Happened::Time,
            None => return Err(ClientError::NotRunning.into()),
        })
    }

    /// The same while an answer is waited for.
    pub(super) async fn next_or_typed(&mut self) -> Result<Happened, Halt> {
        // What was typed already is the answer, whatever else comes.
        match self.typed.try_recv() {
            Ok(line) => Ok(Happened::Typed(line)),
            Err(mpsc::error::TryRecvError::Disconnected) => Err(Halt::NobodyThere),
            Err(mpsc::error::TryRecvError::Empty) => self.next().await,
        }
    }
}

/// Reads lines on a thread of its own, until there are no more.
fn typing() -> mpsc::Receiver<String> {
    let (sender, lines) = mpsc::channel(16);
    drop(std::thread::spawn(move || {
        for line in std::io::stdin().lock().lines().map_while(Result::ok) {
            if sender.blocking_send(line.trim().to_owned()).is_err() {
                return;
            }
        }
    }));
    lines
}
