//! What a bench is asked: attach, detach, open, rehearse, say.

use std::sync::Arc;
use std::time::Duration;

use tarehand_mixing::jars::{Jars, Wish};
use tarehand_mixing::outcome::Room;
use tarehand_mixing::procedure::Procedure;
use tarehand_mixing::session::{Effect, Input, Limits, Record, Session};
use tarehand_mixing::tick::Tick;
use tarehand_mixing::weighing::Scale;
use tarehand_protocol::api::{ConcernLine, View};
use tokio::sync::watch;

use super::actor::Actor;
use super::attach::Attachment;
use super::earlier::thinning_slopes;
use super::feed::Feed;
use super::hand::Hand;
use super::making::{Batch, Making, knowing_each_other};
use super::{BenchError, NewBatch, Reply, Request, Resting};
use crate::clock::Clock;
use crate::findable;
use crate::journal;
use crate::links::rehearsal::{RehearsalLink, RehearsalPlan};
use crate::log::{self, Log, Reality};

impl Actor {
    pub(super) async fn request(&mut self, request: Request) {
        match request {
            Request::Attach(which, attachment, reply) => {
                let outcome = self.attach(which, *attachment).await;
                self.answer(outcome, reply);
            }
            Request::Detach(which, reply) => {
                let outcome = self.detach(which).await;
                self.answer(outcome, reply);
            }
            Request::Taps(which, wanted, reply) => {
                let outcome = self.want_taps(which, wanted).await;
                self.answer(outcome, reply);
            }
            Request::Resting(reply) => drop(reply.send(self.resting())),
            Request::Open(batches, reply) => {
                let scale = &self.scales.main;
                if scale.feed.is_none() {
                    self.answer(Err(BenchError::NoScale), reply);
                } else if scale.is_only_heard() {
                    self.answer(Err(BenchError::OnlyHeard), reply);
                } else {
                    self.open(batches, Reality::Real, None, reply).await;
                }
            }
            Request::Rehearse(batches, plan, reply) => self.rehearse(batches, *plan, reply).await,
            Request::Speed(speed, reply) => {
                let outcome = self.busy();
                if outcome.is_ok() {
                    self.surroundings.clock_rate = speed;
                }
                self.answer(outcome, reply);
            }
            Request::Say(command, reply) => {
                if self.making.is_none() {
                    self.answer(Err(BenchError::NoBatch), reply);
                } else {
                    self.input(Input::Command(command), Some(reply));
                    self.let_hand_look();
                }
            }
        }
    }

    fn answer(&mut self, outcome: Result<(), BenchError>, reply: Reply<Arc<View>>) {
        match outcome {
            Ok(()) => self.announce(Vec::new(), Vec::new(), Some(reply)),
            Err(error) => drop(reply.send(Err(error))),
        }
    }

    pub(super) fn busy(&self) -> Result<(), BenchError> {
        match &self.making {
            Some(making) if !making.jars.is_over() => Err(BenchError::Busy {
                mark: making.mark().to_owned(),
            }),
            Some(_) | None => Ok(()),
        }
    }

    fn resting(&self) -> Result<Option<Resting>, BenchError> {
        self.busy()?;
        if self
            .making
            .as_ref()
            .is_some_and(|making| making.hand.is_some())
        {
            // What rests on the simulated pan is no jar of anybody.
            return Ok(None);
        }
        let reader = &self.scales.main;
        let feed = reader.feed.as_ref().ok_or(BenchError::NoScale)?;
        Ok(reader.settled().map(|gross| Resting {
            gross,
            scale: feed.scale(),
        }))
    }

    async fn rehearse(
        &mut self,
        batches: Vec<NewBatch>,
        plan: RehearsalPlan,
        reply: Reply<Arc<View>>,
    ) {
        let told = watch::Sender::default();
        let link = match RehearsalLink::new(plan.clone(), told.subscribe()) {
            Ok(link) => link,
            Err(error) => {
                tracing::error!(%error, "the rehearsal's plan is wrong");
                self.answer(Err(BenchError::NoScale), reply);
                return;
            }
        };
        if let Err(error) = self.busy() {
            self.answer(Err(error), reply);
            return;
        }
        self.clock = Clock::starting_at(self.clock.now(), self.surroundings.clock_rate);
        let hand = Hand::new(told, link.truth());
        self.scales.main.feed = Some(Feed::rehearsal(
            Box::new(link),
            self.clock,
            plan.pan.capacity,
            plan.pan.lag,
        ));
        self.open(batches, Reality::Rehearsal, Some(hand), reply)
            .await;
    }

    /// Opens the batches of a run: one, or the jars of a set. All of them are on disk, or none.
    async fn open(
        &mut self,
        batches: Vec<NewBatch>,
        reality: Reality,
        hand: Option<Hand>,
        reply: Reply<Arc<View>>,
    ) {
        let opened = match self.busy() {
            Ok(()) => self.begin(batches, reality, hand).await,
            Err(error) => Err(error),
        };
        match opened {
            Ok(wishes) => self.carry_out(wishes, Some(reply)),
            Err(error) => self.answer(Err(error), reply),
        }
    }

    async fn begin(
        &mut self,
        batches: Vec<NewBatch>,
        reality: Reality,
        hand: Option<Hand>,
    ) -> Result<Vec<Wish>, BenchError> {
        // What the batch before still has to say belongs to it.
        self.flush().await;
        let at = jiff::Timestamp::now().to_string();
        let rows: Vec<log::NewBatch> = batches
            .iter()
            .map(|batch| self.row_of(batch, reality, &at))
            .collect();
        let log = self.surroundings.log.clone();
        let lag = self.scales.main.feed.as_ref().and_then(Feed::lag);
        let (openings, remarks) = openings(batches, reality, lag, &log).await?;
        let scale = self
            .scales
            .main
            .feed
            .as_ref()
            .map(Feed::scale)
            .unwrap_or_default();
        let now = self.clock.now();
        let (promised, at) = (openings.clone(), at.clone());
        // The sessions are opened twice, alike: once for the first entries, once to go on with.
        let heads = log
            .begin_run(rows, move |heads| {
                let opened = opened(promised, heads, now, scale);
                let pages = opened.into_iter().zip(heads);
                pages
                    .map(|((session, effects), head)| {
                        journal::rows(head.id, session.book(), &records(&effects), &at)
                    })
                    .collect()
            })
            .await?;
        let (mut sessions, mut wishes) = (Vec::new(), Vec::new());
        for (jar, (session, effects)) in
            opened(openings, &heads, now, scale).into_iter().enumerate()
        {
            sessions.push(session);
            let others = effects
                .into_iter()
                .filter(|effect| !matches!(effect, Effect::Record(_)));
            wishes.extend(others.map(|effect| Wish { jar, effect }));
        }
        let jars = Jars::new(sessions, now).ok_or(BenchError::NoBatch)?;
        let named = heads.into_iter().zip(remarks);
        self.wake = None;
        // What was called out last was about the batch before.
        self.cue = None;
        self.making = Some(Making {
            batches: named
                .map(|(head, remarks)| Batch {
                    id: head.id,
                    mark: head.mark.as_str().to_owned(),
                    remarks,
                })
                .collect(),
            jars,
            hand,
        });
        self.scales.main.listen_anew();
        self.scales.fine.listen_anew();
        if let (Some(feed), Some(making)) = (&self.scales.fine.feed, &mut self.making) {
            let fine = Input::FineScale(Some(feed.scale()));
            wishes.extend(making.jars.step(now, fine));
        }
        Ok(wishes)
    }

    fn row_of(&self, batch: &NewBatch, reality: Reality, at: &str) -> log::NewBatch {
        log::NewBatch {
            bench: self.name.to_string(),
            recipe: batch.procedure.recipe.clone(),
            reality,
            planned_ug: batch.procedure.planned.micrograms().max(0),
            opened: at.to_owned(),
            procedure: log::NewBatch::IN_JOURNAL.to_owned(),
            recipe_text: batch.recipe_text.clone(),
            shelf_text: batch.shelf_text.clone(),
            profile_text: self
                .scales
                .main
                .attachment
                .as_ref()
                .and_then(Attachment::profile)
                .map(|profile| profile.source().to_owned())
                .unwrap_or_default(),
            things: findable::things(&batch.procedure, &batch.shelf_text),
        }
    }
}

/// What each batch is opened with, and what is remarked of it.
async fn openings(
    batches: Vec<NewBatch>,
    reality: Reality,
    lag: Option<Duration>,
    log: &Log,
) -> Result<(Vec<Opening>, Vec<Vec<ConcernLine>>), BenchError> {
    let mut openings = Vec::with_capacity(batches.len());
    let mut remarks = Vec::with_capacity(batches.len());
    for batch in batches {
        let mut limits = batch.limits;
        limits.lag = lag.unwrap_or(limits.lag);
        openings.push(Opening {
            slopes: thinning_slopes(log, &batch.procedure, reality).await?,
            procedure: batch.procedure,
            limits,
            room: batch.room,
        });
        remarks.push(batch.remarks);
    }
    Ok((openings, remarks))
}

/// What a session is opened with.
#[derive(Clone, Debug)]
struct Opening {
    procedure: Procedure,
    limits: Limits,
    slopes: Vec<f64>,
    room: Option<Room>,
}

/// Opens the sessions of a run, each knowing the others' marks.
fn opened(
    openings: Vec<Opening>,
    heads: &[log::BatchHead],
    now: Tick,
    scale: Scale,
) -> Vec<(Session, Vec<Effect>)> {
    let mut procedures: Vec<Procedure> = openings
        .iter()
        .map(|opening| opening.procedure.clone())
        .collect();
    knowing_each_other(&mut procedures, heads);
    let openings = openings.into_iter().zip(procedures);
    openings
        .map(|(opening, procedure)| {
            let (mut session, mut effects) = Session::open(now, procedure, opening.limits, scale);
            if !opening.slopes.is_empty() {
                effects.extend(session.step(now, Input::EarlierThinning(opening.slopes)));
            }
            if let Some(room) = opening.room {
                effects.extend(session.step(now, Input::Room(room)));
            }
            (session, effects)
        })
        .collect()
}

fn records(effects: &[Effect]) -> Vec<Record> {
    let record = |effect: &Effect| match effect {
        Effect::Record(record) => Some(Record::clone(record)),
        _ => None,
    };
    effects.iter().filter_map(record).collect()
}
