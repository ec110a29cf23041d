//! The batch being made and how it is told to the log.

use std::future::Future;

use tarehand_mixing::concern::{Concern, Outfit, concerns};
use tarehand_mixing::session::{BatchState, Record, Session};
use tarehand_protocol::api::ConcernLine;

use super::hand::Hand;
use crate::api::translate;
use crate::journal;
use crate::log::{BatchId, Ending, LiveState, Log, LogError};

/// The batch being made.
#[derive(Debug)]
pub(super) struct Making {
    pub id: BatchId,
    pub mark: String,
    pub session: Session,
    /// The simulated person, in a rehearsal.
    pub hand: Option<Hand>,
    /// What was worth knowing whatever the scale.
    pub remarks: Vec<ConcernLine>,
}

impl Making {
    /// Hands records to the log; the future resolves when they are on disk.
    ///
    /// They are handed over at once, so that the order of calls is the order in the log.
    pub(super) fn write(
        &self,
        log: &Log,
        records: &[Record],
    ) -> impl Future<Output = Result<(), LogError>> + Send + 'static {
        let at = jiff::Timestamp::now().to_string();
        let rows = journal::rows(self.id, self.session.book(), records, &at);
        let answer = match self.session.book().state() {
            BatchState::Complete => log.close_batch(self.id, rows, Ending::Complete, at),
            BatchState::Aborted => log.close_batch(self.id, rows, Ending::Aborted, at),
            BatchState::Idle => log.append_and_enter(self.id, rows, LiveState::Idle),
            BatchState::Running => log.append_and_enter(self.id, rows, LiveState::Running),
            BatchState::Held => log.append_and_enter(self.id, rows, LiveState::Held),
            BatchState::Paused => log.append_and_enter(self.id, rows, LiveState::Paused),
        };
        async move { answer.await.map(drop) }
    }

    /// Returns what speaks against the procedure on the scale as it is known now.
    pub(super) fn concerns(&self) -> Vec<ConcernLine> {
        let book = self.session.book();
        let tare = (!book.tare().is_zero()).then(|| book.tare());
        let outfit = Outfit {
            division: book.scale().division,
            capacity: book.scale().capacity,
            tare,
        };
        let found: Vec<Concern> = concerns(book.procedure(), &outfit);
        translate::concern_lines(&found)
            .into_iter()
            .chain(self.remarks.iter().cloned())
            .collect()
    }
}
