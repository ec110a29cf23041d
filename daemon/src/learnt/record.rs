//! The runs that the log tells of, read batch by batch and kept in memory.

use std::collections::{BTreeMap, BTreeSet};

use jiff::Timestamp;
use tarehand_mixing::learnt::{Run, runs};

use crate::journal;
use crate::log::{BatchFilter, BatchHead, BatchId, BatchOrder, BatchState, Log, LogError, Reality};

/// So many batches are looked at, those that were opened last: more than any ingredient's newest runs need (our own choice).
const BATCHES: u32 = 400;

/// The runs of the batches that were opened last and have ended, by batch. Each is read once for each time it ended.
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
            // An old batch that came from another log yesterday is no newer for that.
            order: BatchOrder::OpenedLast,
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
        let mut all: Vec<&Dated> = self.0.values().flat_map(|batch| &batch.found).collect();
        // Numbers of batches tell when they came into this log.
        all.sort_by_key(|dated| dated.at);
        all.into_iter()
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

#[cfg(test)]
mod tests {
    use tarehand_mixing::learnt::Kind;
    use tarehand_mixing::ratio::Ratio;
    use tarehand_mixing::session::{Effect, Input, Limits, Record, Session};
    use tarehand_mixing::settler::{Change, Fact, Live};
    use tarehand_mixing::tick::Tick;
    use tarehand_mixing::weighing::Scale;
    use tarehand_mixing::{Addition, Amount, Ingredient, Procedure, Step, StepKind, Weigh, Within};
    use tarehand_protocol::{Mass, Motion};

    use super::*;
    use crate::log::{Ending, LiveState, Mark, Moved, Moving, NewBatch};

    /// Fifty grams of chalk, poured at 5 g/s, told to stop, and settled a gram above.
    fn session() -> (Session, Vec<Record>) {
        let kind = StepKind::Add(Addition {
            ingredient: Ingredient::by_name("chalk"),
            amount: Amount::Weighed {
                share: Ratio::one(),
                target: Mass::from_grams(50),
                within: Within::Mass(Mass::from_grams(2)),
            },
            weigh: Weigh::Jar,
        });
        let procedure = Procedure::of_steps(
            "Chalk alone",
            Mass::from_grams(50),
            vec![Step { kind, note: None }],
        );
        let scale = Scale {
            division: Some(Mass::from_milligrams(100)),
            capacity: None,
        };
        let (mut session, mut effects) =
            Session::open(Tick::ZERO, procedure, Limits::default(), scale);
        let settled = |grams| Fact::Settled {
            gross: Mass::from_grams(grams),
            change: Change::Jump,
        };
        let pours = Fact::Live(Live {
            gross: Mass::from_grams(106),
            flow_g_s: 5.0,
            change: Change::Gradual,
            motion: Motion::Unknown,
            quiet: false,
        });
        for (second, fact) in [
            (1, settled(0)),
            (2, settled(60)),
            (3, pours),
            (4, settled(111)),
        ] {
            let now = Tick::from_millis(second * 1_000);
            effects.extend(session.step(now, Input::Fact(fact)));
        }
        let records = effects.into_iter().filter_map(|effect| match effect {
            Effect::Record(record) => Some(*record),
            _ => None,
        });
        (session, records.collect())
    }

    fn new_batch(reality: Reality) -> NewBatch {
        NewBatch {
            bench: "bench".to_owned(),
            recipe: "Chalk alone".to_owned(),
            reality,
            planned_ug: 50_000_000,
            opened: "2026-03-02T09:00:00Z".to_owned(),
            procedure: "{}".to_owned(),
            recipe_text: String::new(),
            shelf_text: String::new(),
            profile_text: String::new(),
            things: String::new(),
        }
    }

    const CLOSED: &str = "2026-03-02T09:05:00Z";

    /// Writes a batch of one pour into the log, as a bench does.
    async fn write(log: &Log, reality: Reality, ending: Option<Ending>) -> BatchId {
        let head = log.open_batch(new_batch(reality)).await.unwrap();
        let (session, records) = session();
        let rows = journal::rows(head.id, session.book(), &records, CLOSED);
        match ending {
            Some(ending) => drop(
                log.close_batch(head.id, rows, ending, CLOSED.to_owned())
                    .await,
            ),
            None => drop(log.append(head.id, rows).await),
        }
        head.id
    }

    fn log(folder: &tempfile::TempDir) -> Log {
        Log::open(&folder.path().join("log.sqlite")).unwrap()
    }

    #[tokio::test]
    async fn only_real_batches_that_have_ended_teach() {
        let folder = tempfile::tempdir().unwrap();
        let log = log(&folder);
        let mut runs = Runs::default();
        for (reality, ending) in [
            (Reality::Rehearsal, Some(Ending::Complete)),
            (Reality::Real, None),
        ] {
            let _id = write(&log, reality, ending).await;
        }
        runs.follow(&log).await.unwrap();
        assert_eq!(runs.all().count(), 0);
        for ending in [Ending::Complete, Ending::Aborted] {
            let _id = write(&log, Reality::Real, Some(ending)).await;
        }
        runs.follow(&log).await.unwrap();
        let told: Vec<(Kind, &str)> = runs
            .all()
            .map(|dated| (dated.run.of.kind, dated.run.of.key.as_str()))
            .collect();
        assert_eq!(told, [(Kind::StopLead, "chalk"); 2]);
        let moment: Timestamp = CLOSED.parse().unwrap();
        assert!(runs.all().all(|dated| dated.at == moment));
    }

    /// A batch of one pour as another log had it, mixed at that minute.
    fn elsewhere(number: u64, minute: u64) -> Moving {
        let (session, records) = session();
        let moment = format!("2026-03-01T{:02}:{:02}:00Z", minute / 60, minute % 60);
        let mut entries = journal::rows(BatchId::from_number(0), session.book(), &records, &moment);
        for entry in &mut entries {
            entry.transfers.clear();
        }
        Moving {
            mark: Mark::of_number(number, 5),
            state: BatchState::Ended(Ending::Complete),
            closed: Some(moment.clone()),
            new: NewBatch {
                opened: moment,
                ..new_batch(Reality::Real)
            },
            entries,
            trace: Vec::new(),
        }
    }

    #[tokio::test]
    async fn what_an_import_brings_is_as_old_as_it_is() {
        let folder = tempfile::tempdir().unwrap();
        let log = log(&folder);
        let own = write(&log, Reality::Real, Some(Ending::Complete)).await;
        // Later ones first, then many that are older than all.
        for (number, minute) in [(1, 1_200), (2, 1_100)] {
            let _moved = log.take_in(elsewhere(number, minute)).await.unwrap();
        }
        let mut runs = Runs::default();
        runs.follow(&log).await.unwrap();
        let at: Vec<String> = runs.all().map(|dated| dated.at.to_string()).collect();
        assert_eq!(at, ["2026-03-01T18:20:00Z", "2026-03-01T20:00:00Z", CLOSED]);
        let older =
            (0..u64::from(BATCHES)).map(|number| log.take_in(elsewhere(10 + number, number)));
        // All are asked for before one is waited for: they are written together.
        for moved in older.collect::<Vec<_>>() {
            assert_eq!(moved.await.unwrap(), Moved::In);
        }
        runs.follow(&log).await.unwrap();
        assert_eq!(runs.0.len(), usize::try_from(BATCHES).unwrap());
        assert!(runs.0.contains_key(&own), "it is the newest of all");
        assert_eq!(runs.all().last().unwrap().at.to_string(), CLOSED);
        assert!(runs.all().is_sorted_by_key(|dated| dated.at));
    }

    #[tokio::test]
    async fn a_batch_that_is_taken_up_again_teaches_when_it_has_ended_anew() {
        let folder = tempfile::tempdir().unwrap();
        let log = log(&folder);
        let mut runs = Runs::default();
        let id = write(&log, Reality::Real, Some(Ending::Complete)).await;
        runs.follow(&log).await.unwrap();
        assert_eq!(runs.all().count(), 1);
        let state = LiveState::Running;
        let _places = log.append_and_enter(id, Vec::new(), state).await.unwrap();
        runs.follow(&log).await.unwrap();
        assert_eq!(runs.all().count(), 0);
        let later = "2026-03-02T09:09:00Z".to_owned();
        let closed = log.close_batch(id, Vec::new(), Ending::Complete, later);
        let _places = closed.await.unwrap();
        runs.follow(&log).await.unwrap();
        assert_eq!(runs.all().count(), 1);
    }

    #[tokio::test]
    async fn a_batch_that_cannot_be_read_teaches_nothing_and_stops_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let log = log(&folder);
        let head = log.open_batch(new_batch(Reality::Real)).await.unwrap();
        let closed = log.close_batch(head.id, Vec::new(), Ending::Complete, CLOSED.to_owned());
        let _places = closed.await.unwrap();
        let _id = write(&log, Reality::Real, Some(Ending::Complete)).await;
        let mut runs = Runs::default();
        runs.follow(&log).await.unwrap();
        assert_eq!(runs.all().count(), 1);
    }
}
