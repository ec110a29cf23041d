//! What must be on disk before it may be shown.
//!
//! Everything that follows from a judgement (a view, a cue, the answer to a command) waits here until
//! the log says that its entries are on disk, in order, while readings are drained all the time.
//!
//! Invariant: at most one write is on its way, so that one that fails can never be overtaken by a
//! later one. What comes meanwhile goes with the next.

use std::future::Future;
use std::pin::Pin;
use std::sync::Arc;
use std::time::Duration;

use tarehand_mixing::session::Cue;
use tarehand_protocol::api::View;

use super::Reply;
use super::making::Written;
use crate::log::LogError;

/// After the log refused entries they are tried again so soon.
const RETRY: Duration = Duration::from_secs(1);

type Writing = Pin<Box<dyn Future<Output = Result<(), LogError>> + Send>>;

/// What is announced once it is on disk.
#[derive(Debug)]
pub(super) struct Announcement {
    /// The view as it was when the judgement was made.
    pub view: Arc<View>,
    /// What the person is told, each of which jar.
    pub cues: Vec<(usize, Cue)>,
    /// Who waits for it.
    pub reply: Option<Reply<Arc<View>>>,
}

/// Entries and what may be shown after them.
#[derive(Debug, Default)]
struct Parcel {
    records: Vec<Written>,
    announcements: Vec<Announcement>,
}

impl Parcel {
    fn is_empty(&self) -> bool {
        self.records.is_empty() && self.announcements.is_empty()
    }

    /// Adds what came later.
    fn append(&mut self, later: Self) {
        self.records.extend(later.records);
        self.announcements.extend(later.announcements);
    }
}

/// The announcements that wait for the disk, in order.
#[derive(Default)]
pub(super) struct Outbox {
    flying: Option<(Writing, Parcel)>,
    next: Parcel,
    failed: bool,
}

impl std::fmt::Debug for Outbox {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Outbox")
            .field("flying", &self.flying.is_some())
            .field("next", &self.next)
            .finish()
    }
}

/// What became of a write.
#[derive(Debug)]
pub(super) enum Outcome {
    /// It is on disk; this may be shown now.
    Written(Vec<Announcement>),
    /// It is not; it will be tried again. Whoever waited for it is to be told.
    Failed(LogError, Vec<Reply<Arc<View>>>),
}

impl Outbox {
    /// Adds entries and what may be shown once they are on disk.
    pub(super) fn add(&mut self, records: Vec<Written>, announcement: Announcement) {
        self.next.append(Parcel {
            records,
            announcements: vec![announcement],
        });
    }

    /// Returns whether nothing waits.
    pub(super) fn is_empty(&self) -> bool {
        self.flying.is_none() && self.next.is_empty()
    }

    /// Sends what waits on its way, unless something is on its way already.
    ///
    /// `write` hands entries to the log.
    pub(super) fn send(&mut self, write: impl FnOnce(&[Written]) -> Writing) {
        if self.flying.is_some() || self.next.is_empty() {
            return;
        }
        let parcel = std::mem::take(&mut self.next);
        let writing: Writing = match (parcel.records.is_empty(), self.failed) {
            (true, _) => Box::pin(std::future::ready(Ok(()))),
            (false, false) => write(&parcel.records),
            (false, true) => {
                let writing = write(&parcel.records);
                Box::pin(async move {
                    let outcome = writing.await;
                    if outcome.is_err() {
                        tokio::time::sleep(RETRY).await;
                    }
                    outcome
                })
            }
        };
        self.flying = Some((writing, parcel));
    }

    /// Waits for the write that is on its way; for ever when there is none.
    ///
    /// May be dropped and called again: nothing is lost.
    pub(super) async fn landed(&mut self) -> Outcome {
        let Some((writing, _)) = &mut self.flying else {
            return std::future::pending().await;
        };
        let outcome = writing.await;
        let parcel = self
            .flying
            .take()
            .map(|(_, parcel)| parcel)
            .unwrap_or_default();
        match outcome {
            Ok(()) => {
                self.failed = false;
                Outcome::Written(parcel.announcements)
            }
            Err(error) => {
                self.failed = true;
                let mut parcel = parcel;
                let replies = parcel
                    .announcements
                    .iter_mut()
                    .filter_map(|one| one.reply.take())
                    .collect();
                parcel.append(std::mem::take(&mut self.next));
                self.next = parcel;
                Outcome::Failed(error, replies)
            }
        }
    }
}

#[cfg(test)]
mod tests;
