//! The runs that the log tells of, read batch by batch and kept in memory.

use std::collections::{BTreeMap, BTreeSet};

use jiff::Timestamp;
use tarehand_mixing::learnt::{Run, runs};

use crate::journal;
use crate::log::{BatchFilter, BatchHead, BatchId, BatchState, Log, LogError, Reality};

/// So many batches are looked at, the newest: more than any ingredient's newest runs need (our own choice).
const BATCHES: u32 = 400;

/// The runs of the newest batches that have ended, by batch. Each is read once for each time it ended.
#[derive(Debug, Default)]
pub(super) struct Runs(BTreeMap<BatchId, OfBatch>);

#[derive(Debug)]
struct OfBatch {
    /// When the batch ended; taken up again, it ends anew.
    closed: Option<String>,
    found: Vec<Dated>,
}

/// A run and when it was written down.
#[derive(Clone, Debug)]
pub(super) struct Dated {
    pub(super) at: Timestamp,
    pub(super) run: Run,
}

impl Runs {
    /// Reads what has come since.
    ///
    /// Rehearsals teach nothing: their hands are simulated.
    pub(super) async fn follow(&mut self, log: &Log) -> Result<(), LogError> {
        let filter = BatchFilter {
            reality: Some(Reality::Real),
            at_most: Some(BATCHES),
            ..BatchFilter::default()
        };
        let heads = log.batches(filter).await?;
        let newest: BTreeSet<BatchId> = heads.iter().map(|head| head.id).collect();
        self.0.retain(|batch, _| newest.contains(batch));
        for head in heads {
            let (id, closed) = (head.id, head.closed.clone());
            if !matches!(head.state, BatchState::Ended(_)) {
                self.0.remove(&id);
            } else if self.0.get(&id).is_none_or(|known| known.closed != closed) {
                let found = read(log, head).await;
                self.0.insert(id, OfBatch { closed, found });
            }
        }
        Ok(())
    }

    /// Returns every run, the oldest first.
    pub(super) fn all(&self) -> impl Iterator<Item = &Dated> {
        self.0.values().flat_map(|batch| &batch.found)
    }
}

/// Reads a batch's runs. One that cannot be read, of a newer version, teaches nothing and stops nothing.
async fn read(log: &Log, head: BatchHead) -> Vec<Dated> {
    let kept = match journal::read_entries(log, head).await {
        Ok(kept) => kept,
        Err(error) => {
            tracing::debug!(%error, "a batch teaches nothing");
            return Vec::new();
        }
    };
    let dated = runs(&kept.records).into_iter().filter_map(|run| {
        let at = kept.moments.get(run.entry)?.parse().ok()?;
        Some(Dated { at, run })
    });
    dated.collect()
}
