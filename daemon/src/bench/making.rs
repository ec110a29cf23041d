//! The batches being made and how they are told to the log.

use std::collections::BTreeMap;
use std::future::Future;

use tarehand_mixing::concern::{Concern, Outfit, concerns};
use tarehand_mixing::jars::Jars;
use tarehand_mixing::procedure::Procedure;
use tarehand_mixing::session::{BatchState, Book, Record, Session};
use tarehand_protocol::api::ConcernLine;

use super::hand::Hand;
use crate::api::translate;
use crate::journal;
use crate::log::{BatchHead, BatchId, Ending, LiveState, Log, LogError, Page, Then};

/// What one jar has written down.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Written {
    /// Which jar, from 0.
    pub jar: usize,
    /// What.
    pub record: Record,
}

/// One batch of those being made.
#[derive(Debug)]
pub(super) struct Batch {
    /// Its number in the log.
    pub id: BatchId,
    /// Its mark.
    pub mark: String,
    /// What was said of recipe and shelf when it was opened; forgotten by a restart.
    pub remarks: Vec<ConcernLine>,
}

/// The batches being made: one, or the jars of a set.
#[derive(Debug)]
pub(super) struct Making {
    /// Each jar's batch, in the order of the jars.
    pub batches: Vec<Batch>,
    /// Their sessions, and which jar is where.
    pub jars: Jars,
    /// The simulated hand, where it is a rehearsal.
    pub hand: Option<Hand>,
}

impl Making {
    /// Returns the session of the jar that is shown.
    pub(super) fn session(&self) -> &Session {
        &self.jars.sessions()[self.jars.shown()]
    }

    /// Returns the book of the jar that is shown.
    pub(super) fn book(&self) -> &Book {
        self.session().book()
    }

    /// Returns the mark of the jar that is shown.
    pub(super) fn mark(&self) -> &str {
        &self.batches[self.jars.shown()].mark
    }

    /// Hands what was written down to the log, all of it in one commit; the answer comes when it is on disk.
    pub(super) fn write(
        &self,
        log: &Log,
        written: &[Written],
    ) -> impl Future<Output = Result<(), LogError>> + Send + 'static {
        let at = jiff::Timestamp::now().to_string();
        let mut of_jar: BTreeMap<usize, Vec<Record>> = BTreeMap::new();
        for Written { jar, record } in written {
            of_jar.entry(*jar).or_default().push(record.clone());
        }
        let pages = of_jar.into_iter().map(|(jar, records)| {
            let (batch, book) = (self.batches[jar].id, self.jars.sessions()[jar].book());
            Page {
                batch,
                entries: journal::rows(batch, book, &records, &at),
                then: then(book.state(), &at),
            }
        });
        log.write_pages(pages.collect())
    }

    /// Returns the standing warnings of the jar that is shown.
    pub(super) fn concerns(&self) -> Vec<ConcernLine> {
        let book = self.book();
        let tare = (!book.tare().is_zero()).then(|| book.tare());
        let outfit = Outfit {
            division: book.scale().division,
            capacity: book.scale().capacity,
            tare,
            fine: book.fine().scale.filter(|_| !book.fine().lost),
        };
        let found: Vec<Concern> = concerns(book.procedure(), &outfit);
        let remarks = self.batches[self.jars.shown()].remarks.iter().cloned();
        let unlike = translate::unlike_its_record(book);
        translate::concern_lines(&found)
            .into_iter()
            .chain(unlike)
            .chain(remarks)
            .collect()
    }
}

fn then(state: BatchState, at: &str) -> Then {
    let ends = |how| Then::Ends {
        how,
        closed: at.to_owned(),
    };
    match state {
        BatchState::Complete => ends(Ending::Complete),
        BatchState::Aborted => ends(Ending::Aborted),
        BatchState::Idle => Then::Enters(LiveState::Idle),
        BatchState::Running => Then::Enters(LiveState::Running),
        BatchState::Held => Then::Enters(LiveState::Held),
        BatchState::Paused => Then::Enters(LiveState::Paused),
    }
}

/// Names in every jar's procedure the batches that make the premixes it pours.
pub(super) fn knowing_each_other(procedures: &mut [Procedure], heads: &[BatchHead]) {
    let marks: BTreeMap<String, String> = procedures
        .iter()
        .zip(heads)
        .filter_map(|(procedure, head)| {
            let place = procedure.of_set.as_ref()?;
            Some((place.key.clone(), head.mark.as_str().to_owned()))
        })
        .collect();
    for procedure in procedures {
        let poured: Vec<String> = procedure
            .steps
            .iter()
            .filter_map(|step| step.kind.ingredient())
            .map(|ingredient| ingredient.key.clone())
            .collect();
        let Some(place) = &mut procedure.of_set else {
            continue;
        };
        let made = poured.into_iter().filter(|key| *key != place.key);
        place.made = made
            .filter_map(|key| Some((marks.get(&key)?.clone(), key)))
            .map(|(mark, key)| (key, mark))
            .collect();
    }
}
