//! The log: what really went into every jar, kept for ever.
//!
//! One thread owns an SQLite database. The **journal** of a batch is facts, commands and choices in
//! order; the **ledger** underneath is transfers of mass between vessels. Both are append only, also
//! against a stranger's SQL. A call is answered when it is on disk: synced, and in one commit with
//! all that waited at that moment.
//!
//! The log knows no session and no clock: it takes texts, whole micrograms and times as values.
//!
//! | file | idea |
//! |---|---|
//! | `writer`, `file`, `schema` | the thread, its file, and the migrations |
//! | `batch`, `mark`, `page` | one run's jar, its short name, and what is written of it at a time |
//! | `register`, `finding` | all batches: opened, found again |
//! | `journal`, `ledger`, `vessel` | what happened, what went where, and where mass can be |
//! | `lineage`, `drawn` | a jar's descent, and what batches took from the shelf |
//! | `trace` | the weight over time |
//! | `bench`, `device` | which scale a bench reads, and what was told of a scale once |
//! | `moving`, `copy`, `restore`, `check` | batches of other logs; copies, put back; whether a log is whole |
//! | `error` | what can go wrong, in words |

mod batch;
mod bench;
mod check;
mod copy;
mod device;
mod drawn;
mod error;
mod file;
mod finding;
mod journal;
mod ledger;
mod lineage;
mod mark;
mod moving;
mod page;
mod register;
mod restore;
mod schema;
mod trace;
mod vessel;
mod writer;

#[cfg(test)]
mod tests;

use std::path::Path;
use std::sync::{Arc, mpsc};
use std::thread;
use std::time::Duration;

use rusqlite::Connection;
use tokio::sync::oneshot;

pub use batch::{
    Batch, BatchFilter, BatchHead, BatchId, BatchOrder, BatchRef, BatchState, Ending, LiveState,
    NewBatch, Opened, Reality, Reopening,
};
pub use copy::{Copied, copy_file};
pub use device::Device;
pub use drawn::{Drawn, DrawnByBatch};
pub use error::LogError;
pub use journal::{Entry, NewEntry};
pub use ledger::{Holding, NewTransfer, Seen, Transfer};
pub use lineage::Flow;
pub use mark::{Mark, ParseMarkError};
pub use moving::{Moved, Moving};
pub use page::{Page, Then};
pub use restore::{Restored, restore_file};
pub use trace::Sample;
pub use vessel::Vessel;
pub use writer::Answer;

use error::Fault;
use writer::{Order, Task, Writer};

/// How long a lock of another program is waited for.
const PATIENCE: Duration = Duration::from_secs(2);

/// A handle on the log, cheap to clone.
///
/// Calls are taken up in the order they are made, through whichever clone. The thread ends when it
/// is [stopped](Log::stop) or the last handle is dropped.
#[derive(Clone, Debug)]
pub struct Log {
    orders: mpsc::Sender<Order>,
}

impl Log {
    /// Opens the log at `path`, brings it to the newest schema, and starts its thread.
    ///
    /// Makes the file (0600) and its folder (0700) where there is none. Blocks while it does so.
    ///
    /// # Errors
    /// A file that is damaged, too new or no log is refused and left as it is.
    pub fn open(path: &Path) -> Result<Self, LogError> {
        Self::open_within(path, PATIENCE)
    }

    fn open_within(path: &Path, patience: Duration) -> Result<Self, LogError> {
        let conn = file::open(path, patience)?;
        let writer = Writer::new(conn, path.to_owned());
        let (orders, taken) = mpsc::channel();
        thread::Builder::new()
            .name("log".to_owned())
            .spawn(move || writer.serve(&taken))
            .map_err(|source| LogError::Files {
                doing: "start the thread of",
                path: path.to_owned(),
                source: Arc::new(source),
            })?;
        Ok(Self { orders })
    }

    /// Opens a batch and gives it a mark; its state is idle.
    pub fn open_batch(&self, new: NewBatch) -> Answer<BatchHead> {
        self.write(move |conn| register::open(conn, &new))
    }

    /// Opens a batch, as [`open_batch`](Self::open_batch), and writes its first entries with it.
    ///
    /// All of it is on disk when the answer comes, or nothing: there is never a batch without its opening.
    pub fn begin_batch<F>(&self, new: NewBatch, entries: F) -> Answer<BatchHead>
    where
        F: FnOnce(BatchId) -> Vec<NewEntry> + Send + 'static,
    {
        self.write(move |conn| {
            let head = register::open(conn, &new)?;
            journal::append(conn, head.id, &entries(head.id))?;
            Ok(head)
        })
    }

    /// Takes in a batch of another log, whole or not at all.
    pub fn take_in(&self, moving: Moving) -> Answer<Moved> {
        self.write(move |conn| moving::take_in(conn, &moving))
    }

    /// Writes entries behind the last one of the batch and answers their places.
    ///
    /// All of them with their transfers are on disk when the answer comes, or none.
    pub fn append(&self, batch: BatchId, entries: Vec<NewEntry>) -> Answer<Vec<i64>> {
        self.write(move |conn| journal::append(conn, batch, &entries))
    }

    /// Writes entries, as [`append`](Self::append), that take something out of the batch's jar.
    ///
    /// # Errors
    /// [`LogError::NotInJar`], and nothing is written, where the jar would then hold less than nothing: whatever was read of
    /// it before, what counts is what it holds at this moment.
    pub fn append_from_jar(&self, batch: BatchId, entries: Vec<NewEntry>) -> Answer<Vec<i64>> {
        self.write(move |conn| {
            let held_ug = ledger::in_jar(conn, batch)?;
            for transfer in entries.iter().flat_map(|entry| &entry.transfers) {
                if let Vessel::Shelf(key) = &transfer.to
                    && vessel::is_on_shelf(conn, key)?
                {
                    let key = key.clone();
                    return Err(Fault::Said(LogError::KeyInUse { key }));
                }
            }
            let places = journal::append(conn, batch, &entries)?;
            if ledger::in_jar(conn, batch)? < 0 {
                return Err(Fault::Said(LogError::NotInJar { held_ug }));
            }
            Ok(places)
        })
    }

    /// Returns whether anything was ever poured from the shelf by this key, or put there.
    pub fn is_on_shelf(&self, key: String) -> Answer<bool> {
        self.read(move |conn| vessel::is_on_shelf(conn, &key))
    }

    /// Opens the batches of one run, as [`begin_batch`](Self::begin_batch); all of them or none.
    ///
    /// `entries` is given the batches as they are opened, and returns the first entries of each.
    pub fn begin_run<F>(&self, new: Vec<NewBatch>, entries: F) -> Answer<Vec<BatchHead>>
    where
        F: FnOnce(&[BatchHead]) -> Vec<Vec<NewEntry>> + Send + 'static,
    {
        self.write(move |conn| {
            let opened = new.iter().map(|new| register::open(conn, new));
            let heads = opened.collect::<Result<Vec<_>, _>>()?;
            for (head, entries) in heads.iter().zip(entries(&heads)) {
                journal::append(conn, head.id, &entries)?;
            }
            Ok(heads)
        })
    }

    /// Writes what happened in several batches at once, each as [`append_and_enter`](Self::append_and_enter) and
    /// [`close_batch`](Self::close_batch) do; all of it or nothing.
    pub fn write_pages(&self, pages: Vec<Page>) -> Answer<()> {
        self.write(move |conn| {
            for page in pages {
                journal::append(conn, page.batch, &page.entries)?;
                match page.then {
                    Then::Enters(state) => register::enter(conn, page.batch, state)?,
                    Then::Ends { how, closed } => {
                        register::close(conn, page.batch, how, &closed)?;
                    }
                }
            }
            Ok(())
        })
    }

    /// Writes entries, as [`append`](Self::append), and moves the batch to a state with them.
    ///
    /// Moves a batch that had ended, too: its end is taken back.
    pub fn append_and_enter(
        &self,
        batch: BatchId,
        entries: Vec<NewEntry>,
        state: LiveState,
    ) -> Answer<Vec<i64>> {
        self.write(move |conn| {
            let places = journal::append(conn, batch, &entries)?;
            register::enter(conn, batch, state)?;
            Ok(places)
        })
    }

    /// Writes the last entries, as [`append`](Self::append), and ends the batch with them.
    ///
    /// `closed` is the time as RFC 3339 in UTC. Amendments may still be appended later.
    pub fn close_batch(
        &self,
        batch: BatchId,
        entries: Vec<NewEntry>,
        ending: Ending,
        closed: String,
    ) -> Answer<Vec<i64>> {
        self.write(move |conn| {
            let places = journal::append(conn, batch, &entries)?;
            register::close(conn, batch, ending, &closed)?;
            Ok(places)
        })
    }

    /// Reads a batch with its snapshots.
    pub fn batch(&self, which: impl Into<BatchRef>) -> Answer<Batch> {
        let which = which.into();
        self.read(move |conn| register::read(conn, &which))
    }

    /// Reads what was written when these batches were opened, all of them at once; what is not in this log is left out.
    pub fn opened(&self, batches: Vec<Mark>) -> Answer<Vec<Opened>> {
        self.read(move |conn| register::opened(conn, &batches))
    }

    /// Reads the batches that fit, those first that the filter says.
    pub fn batches(&self, filter: BatchFilter) -> Answer<Vec<BatchHead>> {
        self.read(move |conn| register::list(conn, &filter))
    }

    /// Counts the batches that fit, without reading any.
    pub fn count(&self, filter: BatchFilter) -> Answer<u32> {
        self.read(move |conn| register::count(conn, &filter))
    }

    /// Reads the batches that were opened in one run with this one, itself too, in the order they were opened.
    pub fn run_of(&self, which: impl Into<BatchRef>) -> Answer<Vec<BatchHead>> {
        let which = which.into();
        self.read(move |conn| register::run_of(conn, &which))
    }

    /// Reads the batches of a bench that have not ended, the newest first.
    pub fn unfinished(&self, bench: impl Into<String>) -> Answer<Vec<BatchHead>> {
        let bench = bench.into();
        self.read(move |conn| register::unfinished(conn, &bench))
    }

    /// Reads the whole journal of a batch, in order.
    pub fn entries(&self, batch: BatchId) -> Answer<Vec<Entry>> {
        self.read(move |conn| journal::read(conn, batch))
    }

    /// Reads the transfers in a batch's journal and those of others that touch its jar, in order.
    pub fn transfers(&self, batch: BatchId) -> Answer<Vec<Transfer>> {
        self.read(move |conn| ledger::transfers(conn, batch))
    }

    /// Reads every transfer that says what is in a batch's jar, in the order of time: those of the jar, and of every
    /// jar and cup that was poured into it, until it was, and so on.
    pub fn lineage(&self, batch: BatchId) -> Answer<Vec<Flow>> {
        self.read(move |conn| lineage::upstream(conn, batch))
    }

    /// Reads the batches of these jars and those into whose jars some of them was poured, straight or through other vessels,
    /// in the order they were opened; what is not in this log is left out.
    pub fn poured_on(&self, jars: Vec<Mark>) -> Answer<Vec<BatchHead>> {
        self.read(move |conn| lineage::downstream(conn, &jars))
    }

    /// Reads what a batch's jar holds, by substance.
    pub fn jar(&self, batch: BatchId) -> Answer<Vec<Holding>> {
        self.read(move |conn| ledger::jar(conn, batch))
    }

    /// Reads what each batch took of one ingredient, of those that took any at or after a moment (RFC 3339, UTC).
    pub fn drawn_by_batch(
        &self,
        ingredient: String,
        since: Option<String>,
    ) -> Answer<Vec<DrawnByBatch>> {
        self.read(move |conn| drawn::by_batch(conn, &ingredient, since.as_deref()))
    }

    /// Reads what some batches took of one ingredient, batch by batch and in order.
    pub fn drawn_by(&self, ingredient: String, batches: Vec<Mark>) -> Answer<Vec<Drawn>> {
        self.read(move |conn| drawn::by_some(conn, &ingredient, &batches))
    }

    /// Writes the settings of a scale in place of the old ones.
    pub fn set_device(&self, device: Device) -> Answer<()> {
        self.write(move |conn| device::set(conn, &device))
    }

    /// Reads the settings of a scale; none when it was never seen.
    pub fn device(&self, key: impl Into<String>) -> Answer<Option<Device>> {
        let key = key.into();
        self.read(move |conn| device::read(conn, &key))
    }

    /// Reads the settings of all scales, by key.
    pub fn devices(&self) -> Answer<Vec<Device>> {
        self.read(device::list)
    }

    /// Writes which scale a bench reads, as JSON of the bench's own; `None` forgets it.
    pub fn set_attachment(
        &self,
        bench: impl Into<String>,
        attachment: Option<String>,
    ) -> Answer<()> {
        let bench = bench.into();
        self.write(move |conn| bench::set(conn, &bench, attachment.as_deref()))
    }

    /// Reads which scale a bench reads.
    pub fn attachment(&self, bench: impl Into<String>) -> Answer<Option<String>> {
        let bench = bench.into();
        self.read(move |conn| bench::read(conn, &bench))
    }

    /// Reads the benches that have a scale, or a batch that has not ended, by name.
    pub fn benches(&self) -> Answer<Vec<String>> {
        self.read(bench::names)
    }

    /// Writes a piece of the weight trace behind what is there.
    pub fn append_trace(&self, batch: BatchId, samples: Vec<Sample>) -> Answer<()> {
        self.write(move |conn| {
            register::must_exist(conn, batch)?;
            trace::append(conn, batch, &samples)
        })
    }

    /// Reads the weight trace of a batch; empty where none was kept.
    pub fn trace(&self, batch: BatchId) -> Answer<Vec<Sample>> {
        self.read(move |conn| trace::read(conn, batch))
    }

    /// Checks the whole log and answers what is wrong, a sentence each; nothing when it is whole.
    pub fn check(&self) -> Answer<Vec<String>> {
        self.read(check::check)
    }

    /// Does what was asked so far, moves the WAL into the log, closes it, and ends the thread.
    ///
    /// Calls made later are answered with [`LogError::Stopped`].
    pub fn stop(&self) -> Answer<()> {
        let (reply, answer) = oneshot::channel();
        self.order(Order::Stop(reply));
        Answer::new(answer)
    }

    fn write<T, F>(&self, work: F) -> Answer<T>
    where
        T: Send + 'static,
        F: FnOnce(&Connection) -> Result<T, Fault> + Send + 'static,
    {
        let (task, answer) = Task::new(work);
        self.order(Order::Write(Box::new(task)));
        answer
    }

    fn read<T, F>(&self, work: F) -> Answer<T>
    where
        T: Send + 'static,
        F: FnOnce(&Connection) -> Result<T, Fault> + Send + 'static,
    {
        let (task, answer) = Task::new(work);
        self.order(Order::Read(Box::new(task)));
        answer
    }

    fn order(&self, order: Order) {
        // When the thread has ended the order is dropped, and its answer says so.
        drop(self.orders.send(order));
    }
}

/// Checks a log that no service has open, as [`Log::check`] does; writes nothing.
///
/// # Errors
/// A file that cannot be read, is too new or is no log.
pub fn check_file(path: &Path) -> Result<Vec<String>, LogError> {
    let conn = file::open_to_read(path, PATIENCE)?;
    check::check(&conn).map_err(|fault| fault.at(path))
}
