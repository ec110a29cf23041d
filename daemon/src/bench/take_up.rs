//! What the service left when it ended: the scale, and the batches that were being made.

use std::time::Duration;

use tarehand_mixing::jars::Jars;
use tarehand_mixing::session::{Command, Input, Session};
use tarehand_mixing::tick::Tick;

use super::BenchError;
use super::actor::Actor;
use super::attach::Approach;
use super::making::{Batch, Making};
use crate::clock::Clock;
use crate::journal::{self, Kept};
use crate::log::{BatchHead, Log, LogError};

impl Actor {
    /// Takes up what the service left when it ended.
    pub(super) async fn take_up(&mut self) -> Result<(), BenchError> {
        let log = self.surroundings.log.clone();
        let kept = log.attachment(&*self.name).await?;
        if let Some(kept) = kept {
            self.scales.take_up(&kept);
        }
        let mut unfinished = log.unfinished(&*self.name).await?.into_iter();
        while self.making.is_none() {
            let Some(head) = unfinished.next() else { break };
            let run = whole_run(&log, head).await?;
            self.resume(run);
        }
        let clock = self.clock;
        for reader in [&mut self.scales.main, &mut self.scales.fine] {
            if let Some(attachment) = reader.attachment.clone() {
                reader.read(&attachment, Approach::Usual, clock);
            }
        }
        if let Some(making) = &self.making {
            let book = making.book();
            self.scales.main.set_empty(book.empty());
            self.scales.fine.set_empty(book.fine().empty);
            if self.scales.fine.attachment.is_none() && book.fine().scale.is_some() {
                self.input(Input::FineScale(None), None);
            }
        }
        Ok(())
    }

    fn resume(&mut self, run: Vec<Kept>) {
        let rehearsal = run.iter().any(|kept| kept.rehearsal);
        let ends = run.iter().filter_map(|kept| {
            let last = kept.records.last()?.at;
            Some((last, kept.moments.last()?.clone()))
        });
        let Some((last, moment)) = ends.max_by_key(|(last, _)| *last) else {
            return;
        };
        // Bench time has gone on while the service was away.
        let away = moment
            .parse::<jiff::Timestamp>()
            .map_or(Duration::ZERO, |at| {
                Duration::try_from(jiff::Timestamp::now().duration_since(at)).unwrap_or_default()
            });
        let rate = self.surroundings.clock_rate;
        self.clock = Clock::starting_at(last + away.mul_f64(rate), rate);
        let rebuilt = run.into_iter().filter_map(|kept| {
            let session = Session::rebuild(&kept.records)?;
            let batch = Batch {
                id: kept.id,
                mark: kept.mark,
                remarks: Vec::new(),
            };
            Some((batch, session))
        });
        let (batches, sessions): (Vec<Batch>, Vec<Session>) = rebuilt.unzip();
        let Some(jars) = Jars::new(sessions, self.clock.now()) else {
            return;
        };
        self.wake = earliest_due(&jars);
        self.making = Some(Making {
            batches,
            jars,
            hand: None,
        });
        if rehearsal {
            // The simulated hand is gone; nobody can finish its batches.
            while self
                .making
                .as_ref()
                .is_some_and(|making| !making.jars.is_over())
            {
                self.input(Input::Command(Command::Abort), None);
            }
        }
        tracing::info!(
            mark = self.making.as_ref().map(Making::mark),
            "a batch is taken up again"
        );
    }
}

fn earliest_due(jars: &Jars) -> Option<Tick> {
    let open = jars.sessions().iter();
    open.filter(|session| !session.book().is_over())
        .filter_map(Session::due)
        .min()
}

/// Reads an unfinished batch and, where it is one jar of a run, the others too, also those that are made already.
async fn whole_run(log: &Log, head: BatchHead) -> Result<Vec<Kept>, LogError> {
    let id = head.id;
    let Some(first) = read(log, head).await else {
        return Ok(Vec::new());
    };
    let mut run = vec![first];
    for head in log.run_of(id).await? {
        if head.id != id {
            run.extend(read(log, head).await);
        }
    }
    run.sort_by_key(|kept| kept.id.number());
    Ok(run)
}

/// Reads a batch; one that cannot be read, of a newer version, is said and left.
async fn read(log: &Log, head: BatchHead) -> Option<Kept> {
    let mark = head.mark.as_str().to_owned();
    journal::read_entries(log, head)
        .await
        .inspect_err(|error| tracing::error!(%error, mark, "a batch cannot be taken up again"))
        .ok()
}
