//! What the bench learns from its own record, and what the person said about that.
//!
//! Derived: the log's journals are folded anew, and nothing that was learnt is kept. A batch is opened with what was
//! learnt until then, and its journal says so; replaying it asks nobody here.
//!
//! | file | idea |
//! |---|---|
//! | `record` | the runs of the batches that were opened last |
//! | `kept` | what is off, and since when runs count |

mod kept;
mod record;

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use jiff::Timestamp;
use tarehand_mixing::learnt::{
    Kind, Learnt, Of, PlainRun, PourRun, StopLeads, Told, plain, stop_lead,
};

use crate::log::{Log, LogError};
use kept::Kept;
use record::{Dated, Runs};

pub use kept::KeptError;

/// A batch waits no longer than this for its record to be read; it is opened with what is known by then.
const PATIENCE: Duration = Duration::from_secs(2);

/// What the bench learns; cheap to clone.
#[derive(Clone, Debug)]
pub struct Learning(Arc<Shared>);

#[derive(Debug)]
struct Shared {
    log: Log,
    path: PathBuf,
    kept: Mutex<Kept>,
    runs: tokio::sync::Mutex<Runs>,
}

/// One thing that was learnt.
#[derive(Clone, Debug, PartialEq)]
pub struct Lesson {
    /// Of what.
    pub of: Of,
    /// Its name, as the newest run said it.
    pub name: Option<String>,
    /// What.
    pub learnt: Learnt,
    /// Whether the next batch uses it.
    pub used: bool,
}

impl Learning {
    /// Takes up what the person said before.
    ///
    /// # Errors
    /// When it cannot be read.
    pub fn take_up(log: Log, path: PathBuf) -> Result<Self, KeptError> {
        let kept = Kept::read(&path)?;
        Ok(Self(Arc::new(Shared {
            log,
            path,
            kept: Mutex::new(kept),
            runs: tokio::sync::Mutex::default(),
        })))
    }

    /// Reads the record, so that a batch that is opened later need not wait for it.
    pub async fn read_ahead(self) {
        if let Err(error) = self.0.runs.lock().await.follow(&self.0.log).await {
            tracing::warn!(%error, "the record cannot be read to learn from it");
        }
    }

    /// Returns everything that was learnt, kind by kind.
    ///
    /// # Errors
    /// When the log cannot be read.
    pub async fn lessons(&self) -> Result<Vec<Lesson>, LogError> {
        let mut runs = self.0.runs.lock().await;
        runs.follow(&self.0.log).await?;
        let kept = self.kept().clone();
        let found = by_subject(runs.all(), &kept);
        let names = names(runs.all());
        drop(runs);
        let lessons = found.into_iter().filter_map(|(of, told)| {
            let learnt = learnt(of.kind, &told)?;
            let usable = of.kind.is_used_by_bench() && kept.is_on(of.kind);
            Some(Lesson {
                used: usable && learnt.standing.is_better(),
                learnt,
                name: names.get(&(of.kind, of.key.clone())).cloned(),
                of,
            })
        });
        Ok(lessons.collect())
    }

    /// Returns the stop leads of a hand that a batch is to be opened with.
    ///
    /// What cannot be read in time is not waited for: a batch is mixed without it as it always was.
    pub async fn stop_leads(&self, hand: Option<&str>) -> StopLeads {
        let kept = self.kept().clone();
        if !kept.is_on(Kind::StopLead) {
            return StopLeads::new();
        }
        let leads = async {
            let mut runs = self.0.runs.lock().await;
            if let Err(error) = runs.follow(&self.0.log).await {
                tracing::warn!(%error, "the record cannot be read to learn from it");
            }
            let mine = |dated: &&Dated| {
                dated.run.of.kind == Kind::StopLead && dated.run.of.hand.as_deref() == hand
            };
            by_subject(runs.all().filter(mine), &kept)
        };
        let found = tokio::time::timeout(PATIENCE, leads).await;
        let found = found.unwrap_or_else(|_| {
            tracing::warn!(
                "the record is still being read: this batch is mixed without what it teaches"
            );
            BTreeMap::new()
        });
        let leads = found
            .into_iter()
            .filter_map(|(of, told)| Some((of.key, stop_lead(&pours(&told)).1?)));
        leads.collect()
    }

    /// Returns whether what was learnt of a kind may be used.
    #[must_use]
    pub fn is_on(&self, kind: Kind) -> bool {
        self.kept().is_on(kind)
    }

    /// Uses what was learnt of a kind, or does not. It is on disk when this returns.
    ///
    /// # Errors
    /// When that cannot be kept; nothing has changed then.
    pub fn switch(&self, kind: Kind, on: bool) -> Result<(), KeptError> {
        self.change(|kept| kept.switch(kind, on))
    }

    /// Forgets: no run up to now counts any more. It is on disk when this returns.
    ///
    /// # Errors
    /// As [`Learning::switch`].
    pub fn forget(&self, kind: Kind, of: Option<String>) -> Result<(), KeptError> {
        self.change(|kept| kept.forget(kind, of, Timestamp::now()))
    }

    fn change(&self, change: impl FnOnce(&mut Kept)) -> Result<(), KeptError> {
        let mut kept = self.kept();
        let mut next = kept.clone();
        change(&mut next);
        next.write(&self.0.path)?;
        *kept = next;
        drop(kept);
        Ok(())
    }

    fn kept(&self) -> MutexGuard<'_, Kept> {
        self.0.kept.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Returns the names of what runs tell of; a later name goes before an earlier one, and any before the key itself, which
/// stands there where a shelf was not at hand.
fn names<'a>(runs: impl Iterator<Item = &'a Dated>) -> BTreeMap<(Kind, String), String> {
    let named = runs.filter_map(|dated| {
        let of = &dated.run.of;
        let name = dated.run.name.as_ref().filter(|name| **name != of.key)?;
        Some(((of.kind, of.key.clone()), name.clone()))
    });
    named.collect()
}

/// Sorts runs by what they tell of; each keeps its order.
fn by_subject<'a>(runs: impl Iterator<Item = &'a Dated>, kept: &Kept) -> BTreeMap<Of, Vec<Told>> {
    let mut found: BTreeMap<Of, Vec<Told>> = BTreeMap::new();
    for dated in runs.filter(|dated| kept.counts(&dated.run.of, dated.at)) {
        let told = found.entry(dated.run.of.clone()).or_default();
        told.push(dated.run.told);
    }
    found
}

fn learnt(kind: Kind, told: &[Told]) -> Option<Learnt> {
    if kind == Kind::StopLead {
        return stop_lead(&pours(told)).0;
    }
    let plains: Vec<PlainRun> = told
        .iter()
        .filter_map(|told| match told {
            Told::Plain(run) => Some(*run),
            Told::Pour(_) => None,
        })
        .collect();
    plain(&plains, kind.unit())
}

fn pours(told: &[Told]) -> Vec<PourRun> {
    let pours = told.iter().filter_map(|told| match told {
        Told::Pour(run) => Some(*run),
        Told::Plain(_) => None,
    });
    pours.collect()
}
