//! Weighing out of the bottle: it stands on the scale and grows lighter, and the jar stands beside it.
//!
//! For jars too big for the scale, and scales that carry too little. What the jar received is the difference of two
//! settled weights of the bottle, the one booked last and the one now. A bottle is usually lifted, poured out of in the
//! hand and set back; it may also stay, with a tap or a pump. A small cup that is filled on the pan and then emptied
//! into the jar is weighed the same way, and what stays in it is known.

use tarehand_protocol::Mass;

use crate::procedure::{Amount, StepKind, Weigh};
use crate::settler::{Change, Zero};

use super::book::{Bottle, BottlePlace, JarPlace, Task};
use super::entry::{By, Entry, Seen, TaskId, ZeroCause};
use super::input::{Command, Effect, Refusal};
use super::judge::Place;
use super::question::{Answer, Question};
use super::{Session, Turn};

/// What weighing out of a bottle waits for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BottleNow {
    /// The jar still stands on the pan: it goes beside the scale.
    SetJarAside,
    /// A bottle of a step before still stands on the pan: it goes away.
    TakeAway,
    /// The bottle is to be put on the pan.
    Put,
    /// The bottle stands on the pan: pour out of it, in the hand or where it stands.
    Pour,
    /// The bottle is in the hand: what left it is known when it is set back.
    InHand,
}

/// Whose weight the pan shows.
enum Holder {
    Jar,
    /// Nobody's yet: the bottle of the current step is to come.
    BottleAwaited,
    Bottle(Bottle),
    /// A bottle of a step before stands there.
    LeftOver(Bottle),
}

impl Session {
    /// Returns what weighing out of a bottle waits for; `None` where the jar is what counts.
    #[must_use]
    pub fn bottle_now(&self) -> Option<BottleNow> {
        match self.holder() {
            Holder::Jar => None,
            Holder::LeftOver(_) => Some(BottleNow::TakeAway),
            Holder::BottleAwaited if self.book.jar() == JarPlace::OnPan => {
                Some(BottleNow::SetJarAside)
            }
            Holder::BottleAwaited => Some(BottleNow::Put),
            Holder::Bottle(bottle) => Some(match bottle.place {
                BottlePlace::OnPan => BottleNow::Pour,
                BottlePlace::Lifted { .. } => BottleNow::InHand,
            }),
        }
    }

    fn holder(&self) -> Holder {
        // A difference of the jar that is asked about comes first, whatever is on the pan.
        let jar_asked = self.book.question().and_then(Question::waiting_for_jar);
        match (
            jar_asked,
            self.book.bottle_in_use(),
            self.book.bottle(),
            self.book.weighs_out(),
        ) {
            (Some(_), ..) => Holder::Jar,
            (None, Some(bottle), ..) => Holder::Bottle(bottle.clone()),
            (None, None, Some(bottle), _) => Holder::LeftOver(bottle.clone()),
            (None, None, None, true) => Holder::BottleAwaited,
            (None, None, None, false) => Holder::Jar,
        }
    }

    /// Returns the bottle that is weighed, when it stands on the pan.
    pub(super) fn bottle_on_pan(&self) -> Option<&Bottle> {
        let bottle = self.book.bottle_in_use()?;
        (bottle.place == BottlePlace::OnPan).then_some(bottle)
    }

    /// Returns what is leaving a bottle at this moment; a bottle in the hand says nothing of it.
    pub(super) fn leaving(&self, bottle: &Bottle, gross: Mass) -> Mass {
        let out = bottle.gross - gross;
        let half = Mass::from_micrograms((bottle.gross - self.book.empty()).micrograms() / 2);
        if bottle.place == BottlePlace::OnPan && out <= half {
            out.max(Mass::ZERO)
        } else {
            Mass::ZERO
        }
    }

    /// Returns whether the pan waits for what is to stand on it first: the empty jar, the first bottle, or the jar that
    /// was filled beside the scale and never weighed.
    pub(super) fn awaits_first(&self) -> bool {
        let jar = self.book.jar() == JarPlace::Awaited && self.book.bottle().is_none();
        jar && (self.book.current().is_none() || self.wants_jar() && self.book.question().is_none())
    }

    /// The lightest thing that may stand on the pan first.
    pub(super) fn least_first(&self) -> Mass {
        if self.book.weighs_out() {
            self.least_bottle()
        } else {
            self.least_jar()
        }
    }

    /// Takes a settled weight where a bottle is what is weighed; `false` when the jar is.
    pub(super) fn bottle_settled(&mut self, turn: &mut Turn, gross: Mass, change: Change) -> bool {
        match self.holder() {
            Holder::Jar => return false,
            Holder::LeftOver(bottle) => self.left_over(turn, gross, &bottle),
            Holder::BottleAwaited => self.await_bottle(turn, gross, change),
            Holder::Bottle(bottle) => self.with_bottle(turn, gross, change, &bottle),
        }
        true
    }

    /// The load went away while a bottle is what is weighed; `false` when the jar is.
    pub(super) fn bottle_unloaded(&mut self, turn: &mut Turn, gross: Mass) -> bool {
        match self.holder() {
            Holder::Jar => false,
            Holder::LeftOver(_) | Holder::Bottle(_) => {
                let here =
                    self.book.bottle().map(|bottle| bottle.place) == Some(BottlePlace::OnPan);
                if here && self.watch.gap.is_none() {
                    self.record(turn, Entry::BottleLifted { gross });
                }
                true
            }
            Holder::BottleAwaited => {
                if self.book.jar() == JarPlace::OnPan && self.watch.gap.is_none() {
                    self.record(turn, Entry::JarSetAside { gross });
                }
                true
            }
        }
    }

    /// The lightest thing that may be a bottle: a gram, and far more than flicker (our own choice; a dosing cup weighs 2 g).
    pub(super) fn least_bottle(&self) -> Mass {
        let twice = self.noticeable() + self.noticeable();
        Mass::from_grams(1).max(twice)
    }

    /// Another step is worked at now, and what stands on the pan already may be its own.
    pub(super) fn look_again(&mut self, turn: &mut Turn) {
        let Some(gross) = self.watch.settled.filter(|_| self.watch.gap.is_none()) else {
            return;
        };
        match self.bottle_on_pan() {
            Some(bottle) if bottle.gross != gross => {
                self.bottle_settled(turn, gross, Change::Unclear);
            }
            None if self.is_load_there() && !self.is_near(gross, self.book.last()) => {
                // While a bottle was awaited nobody asked what stands there: it may be no pour at all.
                self.watch.gap = Some(Zero::Trusted);
                self.settled(turn, gross, Change::Unclear);
            }
            Some(_) | None => {}
        }
    }

    /// A bottle of a step before must leave the pan; nothing is booked of it any more.
    fn left_over(&mut self, turn: &mut Turn, gross: Mass, bottle: &Bottle) {
        self.watch.gap = None;
        if self.is_near(gross, bottle.gross) {
            return;
        }
        let gone = self.is_bare(gross) || self.is_nothing(gross);
        if gone {
            self.record(turn, Entry::BottleLifted { gross });
            if gross < self.book.empty() - self.noticeable() {
                self.empty_pan_is(turn, gross);
            }
        } else if self.is_jar_from_beside(gross) {
            self.record(turn, Entry::BottleLifted { gross });
            self.jar_returned(turn, gross);
        }
    }

    /// Waits for the bottle; the jar may still stand on the pan.
    fn await_bottle(&mut self, turn: &mut Turn, gross: Mass, change: Change) {
        if self.book.current().is_none() {
            self.await_first(turn, gross, self.least_bottle());
            return;
        }
        if self.book.jar() == JarPlace::OnPan {
            self.jar_still_there(turn, gross, change);
            return;
        }
        self.watch.gap = None;
        let empty = self.book.empty();
        let bare = self.is_bare(gross) && !self.is_near(gross, empty);
        if bare || gross < empty - self.noticeable() {
            // The scale's own zero is no bottle: it is what the pan shows now with nothing on it.
            self.empty_pan_is(turn, gross);
        } else if self.is_jar_from_beside(gross) {
            self.jar_returned(turn, gross);
        } else if self.least_bottle() <= gross - empty {
            self.place_bottle(turn, gross);
        }
    }

    /// The jar is still on the pan: what is poured into it there is weighed as ever, and a swap is not mistaken for a pour.
    fn jar_still_there(&mut self, turn: &mut Turn, gross: Mass, change: Change) {
        let delta = gross - self.book.last();
        let quiet = delta.abs() <= self.noticeable();
        let poured = Mass::ZERO < delta && change == Change::Gradual;
        let asked = self.book.question().is_some() || self.watch.gap.is_some();
        if asked || quiet || poured || self.is_load_gone(gross) {
            self.on_pan(turn, gross);
        }
    }

    /// Takes what is on the pan as the bottle of the current step, or of the first one that pours.
    pub(super) fn place_bottle(&mut self, turn: &mut Turn, gross: Mass) {
        let empty = match self.book.current() {
            Some(_) => self.book.empty(),
            None => self.known_empty().unwrap_or_default(),
        };
        let first = || {
            self.book
                .tasks()
                .find(|task| self.book.pours(task).is_some())
        };
        let Some(task) = self.book.current().or_else(first).map(|task| task.id) else {
            return;
        };
        self.record(turn, Entry::BottlePlaced { task, empty, gross });
        if self.book.current().is_none() {
            turn.effects.push(Effect::EmptyPan(empty));
            self.advance(turn);
        }
    }

    /// The bottle of the current step is known: lifted, set back, lighter, heavier.
    fn with_bottle(&mut self, turn: &mut Turn, gross: Mass, change: Change, bottle: &Bottle) {
        let gap = self.watch.gap.take();
        match (bottle.place, self.book.question().cloned()) {
            (_, Some(Question::BottleLighter { before, after })) => {
                self.while_bottle_asked(turn, gross, before, after);
            }
            (BottlePlace::Lifted { gross: gone }, _) => {
                if self.is_near(gross, bottle.gross) {
                    self.bottle_back(turn, gross);
                    self.bottle_unchanged(turn, gross);
                } else if self.is_still_off(gross, gone) {
                    self.still_lifted(turn, gross, gone);
                } else if self.is_bare(gone) && change == Change::Gradual && gross < gone {
                    // It never left: the scale's tare was pressed, and it goes on running out.
                    self.bottle_tared(turn, bottle, gone);
                    self.lighter(turn, gross, Seen::Watched);
                } else if gross < self.book.empty() {
                    if change == Change::Jump {
                        self.empty_pan_is(turn, gross);
                    }
                } else if self.is_nothing(gross) {
                    self.still_lifted(turn, gross, gone);
                } else {
                    self.bottle_back(turn, gross);
                    self.changed(turn, gross, bottle, Seen::InHand);
                }
            }
            (BottlePlace::OnPan, _) => {
                if self.is_near(gross, bottle.gross) {
                    self.lighter(turn, gross, Seen::Watched);
                } else if self.is_nothing(gross) || self.is_bare(gross) && change != Change::Gradual
                {
                    // Lifted, or tared: neither happens bit by bit.
                    self.record(turn, Entry::BottleLifted { gross });
                } else if gap.is_some() {
                    self.changed(turn, gross, bottle, Seen::Unseen);
                } else {
                    self.changed_in_place(turn, gross, change, bottle);
                }
            }
        }
    }

    /// Returns whether a bottle that left is not back yet. Once the pan was seen bare, the scale's own zero may as well
    /// be what the bottle shows now.
    fn is_still_off(&self, gross: Mass, gone: Mass) -> bool {
        let empty = self.book.empty();
        let at_zero = self.is_near(gross, Mass::ZERO) && !self.is_near(gone, empty);
        at_zero || self.is_near(gross, empty) || self.is_near(gross, gone)
    }

    fn still_lifted(&mut self, turn: &mut Turn, gross: Mass, gone: Mass) {
        if !self.is_near(gross, gone) {
            // It was still on its way out, or the scale still averaging, when it was missed.
            self.record(turn, Entry::BottleLifted { gross });
        }
    }

    fn bottle_back(&mut self, turn: &mut Turn, gross: Mass) {
        self.record(turn, Entry::BottleBack { gross });
    }

    /// Lifting the bottle and setting it back as it was says yes where something waits for the person.
    fn bottle_unchanged(&mut self, turn: &mut Turn, gross: Mass) {
        if self.book.question().is_some() || self.waits_for_person() {
            self.command(turn, Command::Next);
        } else {
            self.lighter(turn, gross, Seen::InHand);
        }
    }

    /// The bottle is back with another weight, or was not seen for a while.
    fn changed(&mut self, turn: &mut Turn, gross: Mass, bottle: &Bottle, seen: Seen) {
        if bottle.gross < gross {
            // Heavier than it went: it is another one, and no gram of it is poured.
            self.place_bottle(turn, gross);
        } else {
            self.lighter(turn, gross, seen);
        }
    }

    /// The weight changed while the bottle stood there.
    fn changed_in_place(&mut self, turn: &mut Turn, gross: Mass, change: Change, bottle: &Bottle) {
        let before = bottle.gross;
        let delta = gross - before;
        let taken_off = bottle
            .laid
            .is_some_and(|laid| self.is_near(Mass::ZERO - laid, delta));
        let heavier = Mass::ZERO < delta;
        let Some(task) = self.book.current().map(|task| task.id) else {
            return;
        };
        match change {
            Change::Gradual if heavier => self.record(
                turn,
                Entry::Filled {
                    task,
                    before,
                    after: gross,
                    seen: Seen::Watched,
                },
            ),
            Change::Jump | Change::Unclear if heavier || taken_off => self.record(
                turn,
                Entry::LaidOn {
                    before,
                    after: gross,
                },
            ),
            Change::Gradual | Change::Jump | Change::Unclear => {
                self.lighter(turn, gross, Seen::Watched);
            }
        }
    }

    /// Books what left the bottle, or asks where that is far more than the step takes.
    fn lighter(&mut self, turn: &mut Turn, gross: Mass, seen: Seen) {
        let (Some(bottle), Some(task)) = (self.book.bottle_in_use(), self.book.current()) else {
            return;
        };
        let (before, id) = (bottle.gross, task.id);
        let mass = before - gross;
        if self.noticeable() < mass && self.is_far_too_much(task, mass, seen) {
            let after = gross;
            self.ask(turn, Question::BottleLighter { before, after });
            return;
        }
        let place = self.place(task);
        let decides = self.place_with(task, task.poured + mass) != place;
        if self.book.scale().flicker() < mass.abs()
            || !mass.is_zero() && (decides || self.book.scale().division.is_none())
        {
            self.pour_out(turn, id, gross, seen);
        }
        let asked = self.book.question().and_then(Question::ways_out).is_some();
        if asked && self.noticeable() < mass {
            // More was poured meanwhile: the way out is asked anew.
            self.ask_way_out(turn, id);
        }
        self.judge(turn);
    }

    /// Books what left the bottle since the last booking: first what was filled into it here.
    pub(super) fn pour_out(&mut self, turn: &mut Turn, task: TaskId, after: Mass, seen: Seen) {
        let Some(bottle) = self.book.bottle_in_use() else {
            return;
        };
        let before = bottle.gross;
        let from_cup = bottle.filled.min(before - after).max(Mass::ZERO);
        self.record(
            turn,
            Entry::PouredOut {
                task,
                before,
                after,
                from_cup,
                seen,
            },
        );
    }

    /// Returns whether so much more is hardly a pour: more than twice what the step wants, or, where nobody saw it,
    /// more than it takes. It may as well be another bottle.
    fn is_far_too_much(&self, task: &Task, mass: Mass, seen: Seen) -> bool {
        let poured = task.poured + mass;
        let amount = self.book.addition(task).map(|addition| &addition.amount);
        let most = match (amount, task.target, self.book.step(task)) {
            (Some(Amount::Weighed { .. } | Amount::Counted { .. }), Some(target), _) => target,
            (Some(Amount::Range { high, .. }), _, _) => *high,
            (_, _, StepKind::Thin { at_most, by, .. }) => at_most.unwrap_or(task.poured + *by),
            _ => return false,
        };
        let unseen_above = seen == Seen::Unseen && self.place_with(task, poured) == Place::Above;
        unseen_above || most + most + self.noticeable() < poured
    }

    fn while_bottle_asked(&mut self, turn: &mut Turn, gross: Mass, before: Mass, after: Mass) {
        let lifted = self.bottle_on_pan().is_none();
        if self.is_nothing(gross) || self.is_bare(gross) && !self.is_near(gross, after) {
            if !lifted {
                self.record(turn, Entry::BottleLifted { gross });
            }
            return;
        }
        if lifted {
            self.bottle_back(turn, gross);
        }
        if self.is_near(gross, after) {
            if lifted {
                self.command(turn, Command::Next);
            }
        } else if gross < before - self.noticeable() {
            let after = gross;
            self.ask(turn, Question::BottleLighter { before, after });
        } else {
            // It stands there as it did before, or heavier: then nothing of this was poured.
            let answer = Answer::No;
            let by = By::Person;
            self.record(turn, Entry::Answered { answer, by });
            if before + self.noticeable() < gross {
                self.place_bottle(turn, gross);
            }
            self.judge(turn);
        }
    }

    /// The person says whether all of it was poured; else another bottle stands there.
    pub(super) fn answer_bottle(&mut self, turn: &mut Turn, after: Mass, answer: Answer) {
        let task = self.book.current().map(|task| task.id);
        match (answer, task) {
            (Answer::Yes, Some(task)) => self.pour_out(turn, task, after, Seen::InHand),
            _ => self.place_bottle(turn, after),
        }
        self.judge(turn);
    }

    /// The jar is back on the pan as it is known, with what was weighed into it beside the scale.
    pub(super) fn jar_returned(&mut self, turn: &mut Turn, gross: Mass) {
        self.record(turn, Entry::JarReturned { gross });
        let task = self.book.current().filter(|_| self.book.weighs_out());
        self.watch.jar_like = task.map(|task| task.id);
        self.judge(turn);
    }

    /// Takes a weight that settled while the jar stands beside the scale and is what is weighed next.
    pub(super) fn while_beside(&mut self, turn: &mut Turn, gross: Mass) {
        self.watch.gap = None;
        if self.is_jar_from_beside(gross) {
            self.jar_returned(turn, gross);
        } else if gross < self.book.empty() - self.noticeable() {
            self.empty_pan_is(turn, gross);
        } else if self.wants_jar() {
            self.other_jar_back(turn, gross);
        }
    }

    /// Returns whether the current step can only go on with the jar on the pan.
    #[must_use]
    pub fn wants_jar(&self) -> bool {
        self.is_taking_out() || self.is_pouring() && !self.book.weighs_out()
    }

    /// Every bottle that was weighed since adds its own uncertainty: twice as far as for a jar that only was lifted.
    fn is_jar_from_beside(&self, gross: Mass) -> bool {
        let near = self.noticeable() + self.noticeable();
        let known = match self.book.jar() {
            JarPlace::Beside { .. } | JarPlace::Gone { .. } => true,
            JarPlace::Awaited | JarPlace::OnPan => false,
        };
        known && (gross - self.book.last()).abs() <= near && !self.is_bare(gross)
    }

    fn is_near(&self, one: Mass, other: Mass) -> bool {
        (one - other).abs() <= self.noticeable()
    }

    /// Returns whether the pan shows what it shows with nothing on it, or the scale's own zero.
    fn is_bare(&self, gross: Mass) -> bool {
        self.is_near(gross, self.book.empty()) || self.is_near(gross, Mass::ZERO)
    }

    /// Returns whether this is too little for any vessel: half a gram (our own choice), or what does not show.
    fn is_nothing(&self, gross: Mass) -> bool {
        gross - self.book.empty() <= Mass::from_milligrams(500).max(self.noticeable())
    }

    /// Nothing weighs less than an empty pan: the scale counts from another zero now.
    fn empty_pan_is(&mut self, turn: &mut Turn, gross: Mass) {
        let by = gross - self.book.empty();
        self.move_all(turn, by, ZeroCause::EmptyPan);
    }

    fn bottle_tared(&mut self, turn: &mut Turn, bottle: &Bottle, gone: Mass) {
        self.move_all(turn, gone - bottle.gross, ZeroCause::TareKey);
    }

    fn move_all(&mut self, turn: &mut Turn, by: Mass, cause: ZeroCause) {
        let before = self.book.last();
        let after = before + by;
        self.record(
            turn,
            Entry::ZeroMoved {
                before,
                after,
                cause,
            },
        );
        turn.effects.push(Effect::EmptyPan(self.book.empty()));
    }

    /// Says that the scale's own tare was pressed with the bottle on the pan; `None` when there is none that is missed.
    pub(super) fn bottle_was_tared(&mut self, turn: &mut Turn) -> Option<()> {
        let bottle = self.book.bottle_in_use()?.clone();
        let BottlePlace::Lifted { gross } = bottle.place else {
            return None;
        };
        self.bottle_tared(turn, &bottle, gross);
        if let Some(settled) = self.watch.settled {
            self.settled(turn, settled, Change::Unclear);
        }
        Some(())
    }

    /// Chooses how the current step is weighed; before the first one, how all of them are.
    pub(super) fn weigh(&mut self, turn: &mut Turn, weigh: Weigh) -> Result<(), Refusal> {
        if self.book.question().is_some() {
            return Err(Refusal::Asked);
        }
        let in_hand = |bottle: &Bottle| bottle.place != BottlePlace::OnPan;
        if self.book.bottle_in_use().is_some_and(in_hand) {
            return Err(Refusal::BottleAway);
        }
        let tasks: Vec<TaskId> = match self.book.current() {
            Some(task) if self.book.pours(task).is_none() => return Err(Refusal::NothingPoured),
            Some(task) => self.weighed_otherwise([task].into_iter(), weigh),
            None => self.weighed_otherwise(self.book.tasks(), weigh),
        };
        if tasks.is_empty() {
            return self.this_is_the_bottle(turn);
        }
        self.watch.inside_since = None;
        self.watch.stop_said = false;
        self.record(turn, Entry::WeighChosen { tasks, weigh });
        if let Some(gross) = self.watch.settled {
            self.settled(turn, gross, Change::Unclear);
        }
        Ok(())
    }

    fn weighed_otherwise<'a>(
        &self,
        tasks: impl Iterator<Item = &'a Task>,
        weigh: Weigh,
    ) -> Vec<TaskId> {
        tasks
            .filter(|task| self.book.pours(task).is_some() && task.weigh != weigh)
            .map(|task| task.id)
            .collect()
    }

    /// A bottle that weighs what the jar does is taken for it until the person says what it is.
    fn this_is_the_bottle(&mut self, turn: &mut Turn) -> Result<(), Refusal> {
        let id = self.book.current().map(|task| task.id);
        let doubtful = id.is_some() && self.watch.jar_like == id || !self.is_as_booked();
        let waits = matches!(self.holder(), Holder::BottleAwaited) && doubtful;
        let gross = self.watch.settled.filter(|_| waits);
        match gross {
            Some(gross) if self.least_bottle() <= gross - self.book.empty() => {
                self.watch.gap = None;
                self.place_bottle(turn, gross);
                Ok(())
            }
            Some(_) | None => Err(Refusal::WeighedSo),
        }
    }
}
