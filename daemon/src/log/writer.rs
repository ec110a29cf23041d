//! The thread that owns SQLite: all that waits to be written goes into one synced commit.

use std::future::Future;
use std::path::{Path, PathBuf};
use std::pin::Pin;
use std::sync::mpsc::{Receiver, TryRecvError};
use std::task::{Context, Poll};

use rusqlite::{Connection, TransactionBehavior};
use tokio::sync::oneshot;

use super::error::{Fault, LogError};

/// The most writes in one commit: it bounds how long the first of them waits.
const GROUP: usize = 256;

/// After how many commits the WAL is moved into the log, at the next idle moment.
const COMMITS_PER_CHECKPOINT: u32 = 200;

/// What the thread is asked for.
pub(super) enum Order {
    /// To write; answered when it is on disk.
    Write(Box<dyn Job>),
    /// To read; sees every write that was ordered before.
    Read(Box<dyn Job>),
    /// To close the log and end.
    Stop(oneshot::Sender<Result<(), LogError>>),
}

/// One piece of work, in two halves: what it wrote counts only after the commit.
pub(super) trait Job: Send {
    /// Does the work; what it wrote is taken back when it fails.
    fn run(&mut self, conn: &Connection, path: &Path) -> Result<(), LogError>;

    /// Tells who asked how it ended.
    fn answer(self: Box<Self>, committed: Result<(), LogError>);
}

/// Work that is done by a closure and answered to one [`Answer`].
pub(super) struct Task<T, F> {
    work: Option<F>,
    outcome: Option<Result<T, LogError>>,
    reply: oneshot::Sender<Result<T, LogError>>,
}

impl<T, F> Task<T, F>
where
    F: FnOnce(&Connection) -> Result<T, Fault> + Send,
    T: Send,
{
    /// Makes the work and the answer to wait for.
    pub(super) fn new(work: F) -> (Self, Answer<T>) {
        let (reply, answer) = oneshot::channel();
        let task = Self {
            work: Some(work),
            outcome: None,
            reply,
        };
        (task, Answer(answer))
    }
}

impl<T, F> Job for Task<T, F>
where
    F: FnOnce(&Connection) -> Result<T, Fault> + Send,
    T: Send,
{
    fn run(&mut self, conn: &Connection, path: &Path) -> Result<(), LogError> {
        let Some(work) = self.work.take() else {
            return Ok(());
        };
        let outcome = work(conn).map_err(|fault| fault.at(path));
        let verdict = match &outcome {
            Ok(_) => Ok(()),
            Err(error) => Err(error.clone()),
        };
        self.outcome = Some(outcome);
        verdict
    }

    fn answer(self: Box<Self>, committed: Result<(), LogError>) {
        let answer = match (committed, self.outcome) {
            (Ok(()), Some(outcome)) => outcome,
            (Ok(()), None) => Err(LogError::Stopped),
            (Err(_), Some(Err(own))) => Err(own),
            (Err(error), _) => Err(error),
        };
        // Who no longer waits for the answer need not get it; the work is done all the same.
        drop(self.reply.send(answer));
    }
}

/// The log's answer to one call, to be awaited.
///
/// The call is under way already, in the order of the calls; dropping the answer does not take it
/// back. An answer to a write comes when it is on disk.
#[derive(Debug)]
#[must_use = "a write is on disk only when its answer has come"]
pub struct Answer<T>(oneshot::Receiver<Result<T, LogError>>);

impl<T> Answer<T> {
    pub(super) const fn new(receiver: oneshot::Receiver<Result<T, LogError>>) -> Self {
        Self(receiver)
    }
}

impl<T> Future for Answer<T> {
    type Output = Result<T, LogError>;

    fn poll(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<Self::Output> {
        Pin::new(&mut self.0)
            .poll(context)
            .map(|answer| answer.unwrap_or(Err(LogError::Stopped)))
    }
}

/// The thread's own state.
pub(super) struct Writer {
    conn: Connection,
    path: PathBuf,
    commits: u32,
}

impl Writer {
    pub(super) const fn new(conn: Connection, path: PathBuf) -> Self {
        Self {
            conn,
            path,
            commits: 0,
        }
    }

    /// Works until it is stopped or no handle is left, then moves the WAL into the log.
    pub(super) fn serve(mut self, orders: &Receiver<Order>) {
        let mut held = None;
        loop {
            let order = match held.take() {
                Some(order) => order,
                None => match self.next(orders) {
                    Some(order) => order,
                    None => break,
                },
            };
            match order {
                Order::Read(mut job) => {
                    // A job keeps its own error for its answer.
                    let _kept = job.run(&self.conn, &self.path);
                    job.answer(Ok(()));
                }
                Order::Write(first) => {
                    let mut group = vec![first];
                    while group.len() < GROUP {
                        match orders.try_recv() {
                            Ok(Order::Write(next)) => group.push(next),
                            Ok(other) => {
                                held = Some(other);
                                break;
                            }
                            Err(_) => break,
                        }
                    }
                    let committed = self.commit(&mut group);
                    for job in group {
                        job.answer(committed.clone());
                    }
                }
                Order::Stop(reply) => {
                    drop(reply.send(self.close()));
                    return;
                }
            }
        }
        if let Err(error) = self.close() {
            tracing::warn!(%error, "the log was not tidied before closing; the next start does it");
        }
    }

    /// Waits for the next order, and uses an idle moment to keep the WAL short.
    fn next(&mut self, orders: &Receiver<Order>) -> Option<Order> {
        match orders.try_recv() {
            Ok(order) => return Some(order),
            Err(TryRecvError::Disconnected) => return None,
            Err(TryRecvError::Empty) => {}
        }
        if COMMITS_PER_CHECKPOINT <= self.commits {
            self.commits = 0;
            if let Err(error) = checkpoint(&self.conn, "PASSIVE") {
                // Nothing is lost: the WAL holds it and is tried again.
                tracing::warn!(%error, "the log could not be tidied");
            }
        }
        orders.recv().ok()
    }

    /// Writes a group in one commit. A job that fails is taken back alone, the others stay.
    fn commit(&mut self, group: &mut [Box<dyn Job>]) -> Result<(), LogError> {
        let said = |error| LogError::sql(&self.path, error);
        let mut transaction = self
            .conn
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(said)?;
        if let [only] = group {
            // Alone it is taken back with the transaction, which a drop rolls back.
            only.run(&transaction, &self.path)?;
            transaction.commit().map_err(said)?;
            self.commits += 1;
            return Ok(());
        }
        for job in group {
            let savepoint = transaction.savepoint().map_err(said)?;
            match job.run(&savepoint, &self.path) {
                Ok(()) => savepoint.commit().map_err(said)?,
                Err(error) => {
                    let taken_back = savepoint.finish();
                    // After a full or failing disk SQLite takes the whole transaction back.
                    if transaction.is_autocommit() {
                        return Err(error);
                    }
                    taken_back.map_err(said)?;
                }
            }
        }
        transaction.commit().map_err(said)?;
        self.commits += 1;
        Ok(())
    }

    fn close(self) -> Result<(), LogError> {
        let checkpointed = checkpoint(&self.conn, "TRUNCATE");
        let closed = self.conn.close().map_err(|(_, error)| error);
        checkpointed
            .and(closed)
            .map_err(|error| LogError::sql(&self.path, error))
    }
}

fn checkpoint(conn: &Connection, how: &str) -> rusqlite::Result<()> {
    conn.query_row(&format!("PRAGMA wal_checkpoint({how})"), [], |_| Ok(()))
}
