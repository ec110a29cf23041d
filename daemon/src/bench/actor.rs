//! The loop of a bench: wait for bytes, a request, a written entry or the time.

use std::sync::Arc;
use std::time::Duration;

use tarehand_mixing::jars::{AtHand, Jars, Wish};
use tarehand_mixing::session::{Effect, Input};
use tarehand_mixing::settler::Fact;
use tarehand_mixing::tap::Tap;
use tarehand_mixing::tick::Tick;
use tarehand_mixing::weighing::Scale;
use tarehand_protocol::Mass;
use tarehand_protocol::api::{CueLine, ReadingLine, ScaleWord, View, WeightNow};
use tokio::sync::{mpsc, watch};

use super::attach::Approach;
use super::chunks::ChunksOut;
use super::feed::{Feed, News, Spoken};
use super::making::{Making, Written};
use super::outbox::Outbox;
use super::scales::{Reader, Scales};
use super::showing::{ReadingsOut, empty_view, no_weight};
use super::tapped::{Waits, waits};
use super::traced::{self, Piece, Traced};
use super::{BenchError, Reply, Request, Surroundings};
use crate::clock::Clock;
use crate::links::LinkEvent;
use crate::log::{Device, LogError};

/// With no other reason to wake, the bench looks at the time so often: a stale weight is said within this.
const HEARTBEAT: Duration = Duration::from_millis(500);

/// The task that owns a bench.
pub(super) struct Actor {
    pub(super) name: Arc<str>,
    pub(super) surroundings: Surroundings,
    pub(super) clock: Clock,
    pub(super) inbox: mpsc::Receiver<Request>,
    pub(super) scales: Scales,
    pub(super) making: Option<Making>,
    pub(super) wake: Option<Tick>,
    pub(super) outbox: Outbox,
    pub(super) trouble: Option<LogError>,
    pub(super) view: watch::Sender<Arc<View>>,
    pub(super) weight: watch::Sender<WeightNow>,
    pub(super) readings: ReadingsOut,
    pub(super) chunks: ChunksOut,
    pub(super) revision: u64,
    pub(super) sequence: u64,
    pub(super) cues: u64,
    pub(super) cue: Option<CueLine>,
    pub(super) traced: Traced,
    /// What waits for an answer that a tap can give, as it was shown last.
    pub(super) waits: Option<Waits>,
}

/// What a bench task starts with: itself and where to watch it.
type Started = (
    Actor,
    watch::Receiver<Arc<View>>,
    watch::Receiver<WeightNow>,
);

impl Actor {
    pub(super) async fn new(
        name: &str,
        surroundings: Surroundings,
        inbox: mpsc::Receiver<Request>,
        readings: ReadingsOut,
        chunks: ChunksOut,
    ) -> Result<Started, BenchError> {
        let (view, views) = watch::channel(Arc::new(empty_view(name)));
        let (weight, weights) = watch::channel(no_weight());
        let mut actor = Self {
            name: name.into(),
            clock: Clock::starting_at(Tick::ZERO, surroundings.clock_rate),
            surroundings,
            inbox,
            scales: Scales::default(),
            making: None,
            wake: None,
            outbox: Outbox::default(),
            trouble: None,
            view,
            weight,
            readings,
            chunks,
            revision: 0,
            sequence: 0,
            cues: 0,
            cue: None,
            traced: Traced::default(),
            waits: None,
        };
        actor.take_up().await?;
        let snapshot = actor.snapshot();
        actor.view.send_replace(snapshot);
        Ok((actor, views, weights))
    }

    pub(super) async fn run(mut self) {
        let stop = self.surroundings.stop.clone();
        loop {
            let until = self.wake_in();
            tokio::select! {
                biased;
                () = stop.cancelled() => break,
                outcome = self.outbox.landed() => self.landed(outcome),
                (which, event) = self.scales.event() => self.link_event(which, event),
                request = self.inbox.recv() => match request {
                    Some(request) => self.request(request).await,
                    None => break,
                },
                () = tokio::time::sleep(until) => self.time_has_passed(),
            }
        }
        self.scales.main.let_go();
        self.scales.fine.let_go();
        // What was judged is written before the log is closed.
        self.flush().await;
        if let Some((batch, samples)) = self.traced.take() {
            drop(self.surroundings.log.append_trace(batch, samples).await);
        }
        self.scales.main.has_let_go().await;
        self.scales.fine.has_let_go().await;
    }

    /// Waits until everything is on disk, or the log is in trouble.
    pub(super) async fn flush(&mut self) {
        while !self.outbox.is_empty() {
            let outcome = self.outbox.landed().await;
            self.landed(outcome);
            if self.trouble.is_some() {
                return;
            }
        }
    }

    pub(super) fn wake_in(&self) -> Duration {
        let (main, fine) = (&self.scales.main, &self.scales.fine);
        let ticks = [self.wake, main.wake_at(), fine.wake_at()];
        let soonest = ticks.into_iter().flatten().min();
        let wait = soonest.map_or(HEARTBEAT, |tick| self.clock.wall_until(tick));
        // tokio sleeps in whole milliseconds, rounded up; never less than one, so that a missed tick cannot spin.
        wait.clamp(Duration::from_millis(1), HEARTBEAT)
    }

    fn time_has_passed(&mut self) {
        let now = self.clock.now();
        for which in [ScaleWord::Main, ScaleWord::Fine] {
            if let Some(feed) = &mut self.scales.of_mut(which).feed {
                let news = feed.wake(now);
                self.news(which, news);
            }
        }
        if self.wake.is_some_and(|wake| wake <= now) {
            self.wake = None;
            self.input(Input::Wake, None);
        }
        self.let_hand_look();
    }

    fn link_event(&mut self, which: ScaleWord, event: Option<LinkEvent>) {
        let Some(event) = event else {
            self.scales.of_mut(which).let_go();
            return;
        };
        // The feed is here: the event came from it. All that waits is taken in one go, so that one
        // view serves a burst.
        let mut event = Some(event);
        while let Some(this) = event {
            if let LinkEvent::Skipped { at } = this {
                self.leap_to(at);
            }
            let Some(feed) = &mut self.scales.of_mut(which).feed else {
                return;
            };
            if which == ScaleWord::Main {
                self.chunks.hear(&this);
            }
            let news = feed.take(this);
            event = feed.waiting();
            self.news(which, news);
        }
        self.let_hand_look();
    }

    /// Nobody stayed at the simulated bench over a long rest: its time goes on from there.
    fn leap_to(&mut self, tick: Tick) {
        let rehearsed = |making: &Making| making.hand.is_some();
        if self.making.as_ref().is_some_and(rehearsed) {
            self.clock.leap_to(tick);
            if let Some(feed) = &mut self.scales.main.feed {
                feed.goes_by(self.clock);
            }
        }
    }

    fn news(&mut self, which: ScaleWord, news: News) {
        let News {
            readings,
            facts,
            changed,
            opened,
        } = news;
        self.facts(which, facts);
        if changed {
            self.scale_changed(which);
        }
        for Spoken { line, facts, tap } in readings {
            if which == ScaleWord::Main {
                self.trace(&line, &facts);
            }
            self.facts(which, facts);
            if which == self.weighed_on() {
                self.publish_weight(which, &line);
            }
            self.readings.send(which, line);
            if let Some(tap) = tap {
                self.tapped(tap);
            }
        }
        let reader = self.scales.of(which);
        if let Some(key) = opened {
            self.remember_device(reader, key);
        }
        let gibberish = reader.feed.as_ref().is_some_and(Feed::is_gibberish);
        let unread = reader
            .attachment
            .as_ref()
            .filter(|attachment| gibberish && attachment.may_search())
            .cloned();
        if let Some(attachment) = unread {
            tracing::info!(
                place = %attachment.place(),
                "nothing readable comes: trying other speeds and parities"
            );
            let clock = self.clock;
            let reader = self.scales.of_mut(which);
            reader.read(&attachment, Approach::Search, clock);
            self.facts(which, vec![Fact::Lost]);
        }
    }

    /// Keeps the weight over time with the jar that is shown. No law depends on it, so nothing waits for it.
    fn trace(&mut self, line: &ReadingLine, facts: &[Fact]) {
        let Some(making) = self
            .making
            .as_ref()
            .filter(|making| !making.book().is_over())
        else {
            let piece = self.traced.take();
            return self.write_trace(piece);
        };
        let Some(gross_g) = line.gross_g else {
            return;
        };
        let batch = making.batches[making.jars.shown()].id;
        let settled = facts
            .iter()
            .any(|fact| matches!(fact, Fact::Settled { .. }));
        let kind = if settled {
            traced::Kind::Settled
        } else {
            traced::Kind::Passing
        };
        let now = self.clock.now();
        let gross = Mass::from_estimated_grams(gross_g);
        let piece = self.traced.hear(batch, now, gross, kind);
        self.write_trace(piece);
    }

    fn write_trace(&self, piece: Option<Piece>) {
        if let Some((batch, samples)) = piece {
            let written = self.surroundings.log.append_trace(batch, samples);
            drop(tokio::spawn(async move {
                if let Err(error) = written.await {
                    tracing::debug!(%error, "a piece of a weight trace was not kept");
                }
            }));
        }
    }

    /// Returns which scale the step at hand is weighed on.
    pub(super) fn weighed_on(&self) -> ScaleWord {
        match &self.making {
            Some(making) if making.book().on_fine() => ScaleWord::Fine,
            Some(_) | None => ScaleWord::Main,
        }
    }

    pub(super) fn facts(&mut self, which: ScaleWord, facts: Vec<Fact>) {
        for fact in facts {
            self.scales.of_mut(which).note(&fact);
            if fact == Fact::Lost && which == self.weighed_on() {
                self.sequence += 1;
                self.weight.send_replace(WeightNow {
                    sequence: self.sequence,
                    scale: which,
                    ..no_weight()
                });
            }
            if self.making.is_some() {
                let input = match which {
                    ScaleWord::Main => Input::Fact(fact),
                    ScaleWord::Fine => Input::Fine(fact),
                };
                self.input(input, None);
            }
        }
    }

    fn scale_changed(&mut self, which: ScaleWord) {
        if let (Some(feed), Some(making)) = (&self.scales.of(which).feed, &self.making) {
            let scale = feed.scale();
            let book = making.book();
            let known = match which {
                ScaleWord::Main => Some(book.scale()),
                ScaleWord::Fine => book.fine().scale,
            };
            // What a scale told before a restart holds until it tells more.
            let division = scale.division.or(known.and_then(|known| known.division));
            let scale = Scale { division, ..scale };
            let input = match which {
                ScaleWord::Main => Input::Scale(scale),
                ScaleWord::Fine => Input::FineScale(Some(scale)),
            };
            self.input(input, None);
        }
        self.announce(Vec::new(), Vec::new(), None);
    }

    /// What was told about a device is found again when it is opened, and kept when it is new.
    fn remember_device(&self, reader: &Reader, key: String) {
        let Some(attachment) = &reader.attachment else {
            return;
        };
        let told = attachment.unit().is_some() || attachment.profile().is_some();
        if !told || !attachment.is_to_weigh() {
            return;
        }
        let device = Device {
            key,
            told_unit: attachment.unit().map(|unit| unit.symbol().to_owned()),
            profile: attachment
                .profile()
                .map(|profile| profile.source().to_owned())
                .unwrap_or_default(),
            last_seen: jiff::Timestamp::now().to_string(),
        };
        let answer = self.surroundings.log.set_device(device);
        drop(tokio::spawn(async move {
            if let Err(error) = answer.await {
                tracing::warn!(%error, "what was told about a scale could not be kept");
            }
        }));
    }

    /// Says what a tap on a pan means now, where it means anything.
    fn tapped(&mut self, tap: Tap) {
        let now = self.clock.now();
        let Some(making) = self.making.as_ref().filter(|making| making.hand.is_none()) else {
            return;
        };
        // It answers what was shown, and nothing that came up since.
        let waiting = self
            .waits
            .filter(|_| self.waits == waits(&making.jars, now));
        if let Some(act) = waiting.and_then(|waiting| waiting.answer(tap)) {
            self.input(Input::Command(act.into()), None);
        }
    }

    /// Looks what waits for an answer; a push that began before it did answers nothing.
    pub(super) fn look_what_waits(&mut self) {
        let now = self.clock.now();
        let making = self.making.as_ref().filter(|making| making.hand.is_none());
        let waiting = making.and_then(|making| waits(&making.jars, now));
        if waiting != self.waits {
            self.waits = waiting;
            self.scales.forget_taps();
        }
    }

    /// Hands one input to the sessions and carries out what they wish.
    pub(super) fn input(&mut self, input: Input, reply: Option<Reply<Arc<View>>>) {
        let now = self.clock.now();
        let Some(making) = &mut self.making else {
            return;
        };
        let before = unwritten(&making.jars);
        let wishes = making.jars.step(now, input);
        let wants_otherwise = before != unwritten(&making.jars);
        if !wishes.is_empty() || reply.is_some() {
            self.carry_out(wishes, reply);
        }
        // No entry tells of it, but what the person is to do is another thing now.
        if wants_otherwise {
            self.announce(Vec::new(), Vec::new(), None);
        }
    }

    /// Carries out wishes in their order: entries go to disk before anything that follows is shown.
    pub(super) fn carry_out(&mut self, wishes: Vec<Wish>, reply: Option<Reply<Arc<View>>>) {
        let mut records = Vec::new();
        let mut cues = Vec::new();
        let mut refused = None;
        for Wish { jar, effect } in wishes {
            match effect {
                Effect::Record(record) => records.push(Written {
                    jar,
                    record: *record,
                }),
                // Nothing was judged: a live stop must not wait for the disk.
                Effect::Cue(cue) if records.is_empty() => self.tell_now(jar, cue),
                Effect::Cue(cue) => cues.push((jar, cue)),
                Effect::WakeAt(tick) => {
                    self.wake = Some(self.wake.map_or(tick, |wake| wake.min(tick)))
                }
                Effect::EmptyPan(gross) => self.scales.main.set_empty(gross),
                Effect::FineEmptyPan(gross) => self.scales.fine.set_empty(gross),
                Effect::Refuse(refusal) => refused = Some(refusal),
            }
        }
        let reply = match (refused, reply) {
            (Some(refusal), Some(reply)) => {
                drop(reply.send(Err(refusal.into())));
                None
            }
            (_, reply) => reply,
        };
        if !records.is_empty() || !cues.is_empty() || reply.is_some() {
            self.announce(records, cues, reply);
        }
    }

    pub(super) fn let_hand_look(&mut self) {
        let now = self.clock.now();
        let Some(making) = &mut self.making else {
            return;
        };
        let Some(hand) = &mut making.hand else { return };
        if let Some(command) = hand.look(now, &making.jars) {
            self.input(Input::Command(command), None);
        }
    }
}

/// What is wanted of the pan before the jar stands on it (the pan was seen empty, or a word is needed), and whether a
/// trail is being timed.
///
/// No entry of the journal tells of it, since nothing is booked yet; the view must follow all the same.
fn unwritten(jars: &Jars) -> (bool, bool, bool, AtHand) {
    let session = &jars.sessions()[jars.shown()];
    (
        session.empty_pan_seen(),
        session.asks_whether_jar_is_on(),
        session.times_trail(),
        jars.at_hand(),
    )
}
