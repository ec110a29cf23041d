//! Between the session's entries and the log's rows.

use std::num::NonZeroU64;

use tarehand_mixing::composition::{Moved, Movement, Place, mixture};
use tarehand_mixing::ledger::{self, Substance, Transfer, Vessel};
use tarehand_mixing::session::{Book, Entry, Record, Seen};
use tarehand_mixing::tick::Tick;
use tarehand_protocol::Mass;

use crate::log::{
    self, Batch, BatchHead, BatchId, BatchRef, BatchState, Flow, Log, LogError, NewEntry,
    NewTransfer, Reality,
};

mod founded;

pub use founded::{Unfounded, founded};

/// The name under which the log keeps what is no part of a mix.
const FOREIGN: &str = "something foreign";

/// A batch as the log keeps it, rebuilt.
#[derive(Clone, Debug)]
pub struct Kept {
    /// Its number in the log.
    pub id: BatchId,
    /// Its mark.
    pub mark: String,
    /// Whether it is a rehearsal.
    pub rehearsal: bool,
    /// Its state, as the log's register says it: one that came unfinished from another log is over, whatever its journal says.
    pub state: BatchState,
    /// When it was opened (RFC 3339, UTC).
    pub opened: String,
    /// When it ended (RFC 3339, UTC).
    pub closed: Option<String>,
    /// The fold of its journal.
    pub book: Book,
    /// Its journal.
    pub records: Vec<Record>,
    /// When each entry was written (RFC 3339, UTC).
    pub moments: Vec<String>,
}

impl Kept {
    /// Returns whether no bench makes it any more.
    #[must_use]
    pub const fn is_over(&self) -> bool {
        matches!(self.state, BatchState::Ended(_))
    }
}

/// Why a batch cannot be read back.
#[derive(Debug, thiserror::Error)]
pub enum ReadError {
    /// The log cannot be read.
    #[error("{0}")]
    Log(#[from] LogError),
    /// An entry is not one of ours.
    #[error("entry {seq} of batch {mark} cannot be read")]
    Entry {
        /// The batch.
        mark: String,
        /// The entry's place.
        seq: i64,
        /// What is wrong with it.
        source: serde_json::Error,
    },
    /// The journal does not begin with an opening.
    #[error("the journal of batch {mark} does not begin with its opening")]
    NoOpening {
        /// The batch.
        mark: String,
    },
}

/// Returns records as rows of the log, written at `at` (RFC 3339, UTC).
///
/// `book` must know the tasks that the records name.
#[must_use]
pub fn rows(batch: BatchId, book: &Book, records: &[Record], at: &str) -> Vec<NewEntry> {
    records
        .iter()
        .map(|record| NewEntry {
            tick_us: i64::try_from(record.at.micros()).unwrap_or(i64::MAX),
            at: at.to_owned(),
            kind: record.entry.kind().to_owned(),
            body: serde_json::to_string(&record.entry)
                .expect("an entry holds only what JSON can say"),
            transfers: transfers(batch, book, &record.entry),
            words: record.entry.words(),
        })
        .collect()
}

fn transfers(batch: BatchId, book: &Book, entry: &Entry) -> Vec<NewTransfer> {
    // What an amendment does it does to the finished jar.
    let jar = match &book.procedure().amends {
        Some(amends) => log::Vessel::JarOf(amends.mark.clone()),
        None => log::Vessel::Jar(batch),
    };
    ledger::transfers(book, entry)
        .into_iter()
        .filter_map(|transfer| row(&jar, transfer))
        .collect()
}

fn row(jar: &log::Vessel, transfer: Transfer) -> Option<NewTransfer> {
    let vessel = |vessel| match vessel {
        Vessel::Shelf(key) => log::Vessel::Shelf(key),
        Vessel::Jar => jar.clone(),
        Vessel::Cup(name) => log::Vessel::Cup(name),
        Vessel::JarOf(mark) => log::Vessel::JarOf(mark),
        Vessel::Waste => log::Vessel::Waste,
        Vessel::Unknown => log::Vessel::Unknown,
    };
    Some(NewTransfer {
        from: vessel(transfer.from),
        to: vessel(transfer.to),
        substance: match transfer.substance {
            Substance::Ingredient(key) => key,
            Substance::Mixture => mixture().to_owned(),
            Substance::Foreign => FOREIGN.to_owned(),
        },
        mass_ug: NonZeroU64::new(transfer.mass.micrograms().unsigned_abs())?,
        seen: match transfer.seen {
            Seen::Watched => log::Seen::Seen,
            Seen::Unseen | Seen::InHand | Seen::Told => log::Seen::Unseen,
        },
    })
}

/// Returns a transfer as all vessels see it; `fills` is the jar that its batch fills.
#[must_use]
pub fn movement(flow: &Flow, fills: &str) -> Movement {
    let place = |vessel: &log::Vessel| match vessel {
        log::Vessel::Shelf(key) => Place::Shelf(key.clone()),
        log::Vessel::JarOf(mark) => Place::Jar(mark.clone()),
        log::Vessel::Jar(id) => Place::Jar(id.to_string()),
        log::Vessel::Cup(name) => Place::Cup(name.clone()),
        log::Vessel::Waste => Place::Waste,
        log::Vessel::Unknown => Place::Unknown,
    };
    let booked = &flow.booked;
    let micrograms = i64::try_from(booked.mass_ug.get()).unwrap_or(i64::MAX);
    Movement {
        batch: flow.batch.as_str().to_owned(),
        fills: fills.to_owned(),
        from: place(&booked.from),
        to: place(&booked.to),
        what: match booked.substance.as_str() {
            FOREIGN => Moved::Foreign,
            substance if substance == mixture() => Moved::Mixture,
            substance => Moved::Ingredient(substance.to_owned()),
        },
        mass: Mass::from_micrograms(micrograms),
    }
}

/// Reads a batch whole.
///
/// # Errors
/// When the log cannot be read, or holds an entry of a newer version.
pub async fn read(log: &Log, which: impl Into<BatchRef>) -> Result<Kept, ReadError> {
    let Batch { head, .. } = log.batch(which).await?;
    read_entries(log, head).await
}

/// Reads the journal of a batch whose head is known.
///
/// # Errors
/// As [`read`].
pub async fn read_entries(log: &Log, head: BatchHead) -> Result<Kept, ReadError> {
    let mark = head.mark.as_str().to_owned();
    let mut records = Vec::new();
    let mut moments = Vec::new();
    for row in log.entries(head.id).await? {
        let entry: Entry = serde_json::from_str(&row.body).map_err(|source| ReadError::Entry {
            mark: mark.clone(),
            seq: row.seq,
            source,
        })?;
        records.push(Record {
            at: Tick::from_micros(u64::try_from(row.tick_us).unwrap_or(0)),
            entry,
        });
        moments.push(row.at);
    }
    let book =
        Book::rebuild(&records).ok_or_else(|| ReadError::NoOpening { mark: mark.clone() })?;
    Ok(Kept {
        id: head.id,
        mark,
        rehearsal: head.reality == Reality::Rehearsal,
        state: head.state,
        opened: head.opened,
        closed: head.closed,
        book,
        records,
        moments,
    })
}

/// Writes an entry behind a journal whose batch is over, such as what became of the jar.
///
/// # Errors
/// When the log cannot be written.
pub async fn add(log: &Log, kept: &Kept, entry: Entry) -> Result<(), LogError> {
    let rows = afterwards(kept, vec![entry]);
    log.append(kept.id, rows).await.map(|_places| ())
}

/// Writes entries, as [`add`], all or none, that take something out of the batch's jar: never more than is in it at that
/// moment, and onto the shelf only under a key that is new in the log.
///
/// # Errors
/// As [`add`], [`LogError::NotInJar`] and [`LogError::KeyInUse`].
pub async fn add_from_jar(log: &Log, kept: &Kept, entries: Vec<Entry>) -> Result<(), LogError> {
    let rows = afterwards(kept, entries);
    log.append_from_jar(kept.id, rows).await.map(|_places| ())
}

fn afterwards(kept: &Kept, entries: Vec<Entry>) -> Vec<NewEntry> {
    // The bench's clock no longer runs for this batch.
    let at = kept.records.last().map_or(Tick::ZERO, |last| last.at);
    let moment = jiff::Timestamp::now().to_string();
    let records: Vec<Record> = entries
        .into_iter()
        .map(|entry| Record { at, entry })
        .collect();
    rows(kept.id, &kept.book, &records, &moment)
}
