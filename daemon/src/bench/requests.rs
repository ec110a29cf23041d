//! What a bench is asked: attach, detach, open, rehearse, say.

use std::sync::Arc;

use tarehand_mixing::session::{Effect, Input, Session};
use tarehand_mixing::settler::Fact;
use tarehand_protocol::Mass;
use tarehand_protocol::api::View;
use tokio::sync::watch;

use super::actor::Actor;
use super::attach::{Approach, Attachment};
use super::earlier::thinning_slopes;
use super::feed::Feed;
use super::hand::Hand;
use super::making::Making;
use super::showing::no_weight;
use super::{BenchError, NewBatch, Reply, Request};
use crate::clock::Clock;
use crate::journal;
use crate::links::rehearsal::{RehearsalLink, RehearsalPlan};
use crate::log::{self, Reality};

impl Actor {
    pub(super) async fn request(&mut self, request: Request) {
        match request {
            Request::Attach(attachment, reply) => {
                let outcome = self.attach(*attachment).await;
                self.answer(outcome, reply);
            }
            Request::Detach(reply) => {
                let outcome = self.detach().await;
                self.answer(outcome, reply);
            }
            Request::Open(batch, reply) => {
                if self.feed.is_none() {
                    self.answer(Err(BenchError::NoScale), reply);
                } else {
                    self.open(*batch, Reality::Real, None, reply).await;
                }
            }
            Request::Rehearse(batch, plan, reply) => self.rehearse(*batch, *plan, reply).await,
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

    fn busy(&self) -> Result<(), BenchError> {
        match &self.making {
            Some(making) if !making.session.book().is_over() => Err(BenchError::Busy {
                mark: making.mark.clone(),
            }),
            Some(_) | None => Ok(()),
        }
    }

    async fn attach(&mut self, attachment: Attachment) -> Result<(), BenchError> {
        let log = self.surroundings.log.clone();
        let known = log
            .device(crate::links::serial::key_of(attachment.port()))
            .await?;
        let attachment = match known {
            Some(device) => attachment.remembering(
                device.told_unit.and_then(|unit| unit.parse().ok()),
                tarehand_protocol::scale::Profile::parse(&device.profile)
                    .ok()
                    .filter(|_| !device.profile.is_empty()),
            ),
            None => attachment,
        };
        if self.attachment.as_ref() == Some(&attachment) && self.feed.is_some() {
            return Ok(());
        }
        // Another reading of the same port may be tried in the middle of a batch; another port may not.
        if self.attachment.as_ref().map(Attachment::port) != Some(attachment.port()) {
            self.busy()?;
        }
        let text =
            serde_json::to_string(&attachment).expect("an attachment holds only what JSON can say");
        log.set_attachment(&*self.name, Some(text)).await?;
        let lost = self.let_scale_go();
        self.read_scale(&attachment, Approach::Usual);
        self.attachment = Some(attachment);
        if let (Some(feed), Some(making)) = (&mut self.feed, &self.making) {
            feed.set_empty(making.session.book().empty());
        }
        if lost {
            self.facts(vec![Fact::Lost]);
        }
        Ok(())
    }

    async fn detach(&mut self) -> Result<(), BenchError> {
        self.busy()?;
        self.surroundings
            .log
            .set_attachment(&*self.name, None)
            .await?;
        self.let_scale_go();
        self.attachment = None;
        self.weight.send_replace(no_weight());
        Ok(())
    }

    async fn rehearse(&mut self, batch: NewBatch, plan: RehearsalPlan, reply: Reply<Arc<View>>) {
        let wishes = watch::Sender::default();
        let link = match RehearsalLink::new(plan.clone(), wishes.subscribe()) {
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
        self.feed = Some(Feed::rehearsal(
            Box::new(link),
            self.clock,
            plan.pan.capacity,
            plan.pan.lag,
        ));
        self.open(batch, Reality::Rehearsal, Some(Hand::new(wishes)), reply)
            .await;
    }

    async fn open(
        &mut self,
        mut batch: NewBatch,
        reality: Reality,
        hand: Option<Hand>,
        reply: Reply<Arc<View>>,
    ) {
        if let Err(error) = self.busy() {
            self.answer(Err(error), reply);
            return;
        }
        let new = log::NewBatch {
            bench: self.name.to_string(),
            recipe: batch.procedure.recipe.clone(),
            reality,
            planned_ug: batch.procedure.planned.micrograms().max(0),
            opened: jiff::Timestamp::now().to_string(),
            procedure: serde_json::to_string(&batch.procedure)
                .expect("a procedure holds only what JSON can say"),
            recipe_text: batch.recipe_text,
            shelf_text: batch.shelf_text,
            profile_text: self
                .attachment
                .as_ref()
                .and_then(Attachment::profile)
                .map(|profile| profile.source().to_owned())
                .unwrap_or_default(),
        };
        self.flush().await;
        if let Some(lag) = self.feed.as_ref().and_then(Feed::lag) {
            batch.limits.lag = lag;
        }
        let scale = self.feed.as_ref().map(Feed::scale).unwrap_or_default();
        let log = &self.surroundings.log;
        let slopes = match thinning_slopes(log, &batch.procedure, reality).await {
            Ok(slopes) => slopes,
            Err(error) => {
                self.answer(Err(error.into()), reply);
                return;
            }
        };
        let now = self.clock.now();
        let (mut session, mut wishes) = Session::open(now, batch.procedure, batch.limits, scale);
        if !slopes.is_empty() {
            wishes.extend(session.step(now, Input::EarlierThinning(slopes)));
        }
        let (mut opening, mut effects) = (Vec::new(), Vec::new());
        for wish in wishes {
            match wish {
                Effect::Record(record) => opening.push(*record),
                other => effects.push(other),
            }
        }
        let (book, at) = (session.book().clone(), new.opened.clone());
        let begun = self
            .surroundings
            .log
            .begin_batch(new, move |id| journal::rows(id, &book, &opening, &at));
        let head = match begun.await {
            Ok(head) => head,
            Err(error) => {
                self.answer(Err(error.into()), reply);
                return;
            }
        };
        self.wake = None;
        self.making = Some(Making {
            id: head.id,
            mark: head.mark.as_str().to_owned(),
            session,
            hand,
            remarks: batch.remarks,
        });
        if let Some(feed) = &mut self.feed {
            feed.set_empty(Mass::ZERO);
            // A weight that is settled already would not be told again.
            feed.tell_settled_again();
        }
        self.carry_out(effects, Some(reply));
    }
}
