//! The way from a link's thread to its bench.

use std::time::Duration;

use tokio::runtime::{Builder, Runtime};
use tokio::sync::mpsc;
use tokio_util::sync::CancellationToken;

use super::LinkEvent;

/// The link is to end: it was told to, or nobody listens any more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::links) struct Stopped;

/// The way from a link's thread to its bench.
///
/// Every wait of a link goes through here, so that every wait ends at once when the link is to stop.
pub(in crate::links) struct Outlet {
    waiting: Runtime,
    events: mpsc::Sender<LinkEvent>,
    stop: CancellationToken,
}

impl Outlet {
    pub(in crate::links) fn new(events: mpsc::Sender<LinkEvent>, stop: CancellationToken) -> Self {
        let waiting = Builder::new_current_thread()
            .enable_time()
            .build()
            .expect("a runtime of one thread without I/O asks nothing of the system");
        Self {
            waiting,
            events,
            stop,
        }
    }

    /// Tells the bench; waits while its queue is full.
    pub(in crate::links) fn tell(&self, event: LinkEvent) -> Result<(), Stopped> {
        self.waiting.block_on(async {
            tokio::select! {
                biased;
                () = self.stop.cancelled() => Err(Stopped),
                sent = self.events.send(event) => sent.map_err(|_| Stopped),
            }
        })
    }

    /// Waits so long (wall time).
    pub(in crate::links) fn wait(&self, time: Duration) -> Result<(), Stopped> {
        self.waiting.block_on(async {
            tokio::select! {
                biased;
                () = self.stop.cancelled() => Err(Stopped),
                () = self.events.closed() => Err(Stopped),
                () = tokio::time::sleep(time) => Ok(()),
            }
        })
    }

    /// Returns an error once the link is to end.
    pub(in crate::links) fn go_on(&self) -> Result<(), Stopped> {
        if self.stop.is_cancelled() || self.events.is_closed() {
            return Err(Stopped);
        }
        Ok(())
    }
}
