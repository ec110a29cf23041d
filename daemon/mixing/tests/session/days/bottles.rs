//! Bottles and cups that are weighed out of.

use tarehand_mixing::session::{BatchState, BottleNow, Command, JarPlace, Refusal};
use tarehand_protocol::Mass;

use super::Day;
use crate::vessels::Thing;

impl Day {
    pub(super) fn bottle_now(&self) -> Option<BottleNow> {
        self.bench.witness.session.bottle_now()
    }

    /// Whether the bottle that is weighed stands on the pan, known to both sides.
    pub(super) fn may_pour_out(&self) -> bool {
        self.bench.witness.book().state() == BatchState::Running
            && self.bottle_now() == Some(BottleNow::Pour)
            && self.bench.thing_is_on()
            && !self.bench.world.jar_is_on
    }

    /// Pours out of what stands on the pan: there, or in the hand.
    pub(super) fn out(&mut self, mass: Mass) {
        let mass = self.bench.in_cup().map_or(mass, |left| mass.min(left));
        if mass <= Mass::ZERO {
            return;
        }
        let holds = self
            .bench
            .vessels
            .thing
            .as_ref()
            .map_or(Mass::ZERO, |thing| thing.1);
        if self.bench.in_cup().is_none() && holds < mass + Mass::from_grams(200) {
            // It may not hold enough: a full one comes.
            self.bench.thing_off();
            self.bench.rest();
            self.bench.fetch_bottle();
            self.bench.rest();
            if !self.may_pour_out() {
                return;
            }
        }
        if self.bench.world.dice_is_even() {
            self.bench.pour_out(mass);
            return;
        }
        self.bench.thing_off();
        self.bench.rest();
        self.bench.pour_out(mass);
        self.bench.thing_on();
        self.bench.rest();
    }

    /// Does with jar and bottle what the bench waits for; `false` when the jar is what counts and is where it belongs.
    pub(super) fn attend(&mut self) -> bool {
        let book = self.bench.witness.book();
        if book.state() == BatchState::Paused {
            return false;
        }
        let Some(now) = self.bottle_now() else {
            let jar_off = !self.bench.world.jar_is_on;
            if self.bench.thing_is_on() {
                self.bench.thing_off();
                self.bench.rest();
                return true;
            }
            let back = matches!(book.jar(), JarPlace::Gone { .. }) || self.wants_jar();
            if jar_off && back {
                self.bench.set_back();
                self.bench.rest();
                return true;
            }
            return false;
        };
        match now {
            BottleNow::SetJarAside => {
                if self.bench.thing_is_on() {
                    self.bench.say(Command::WeighOut);
                } else if self.bench.world.jar_is_on {
                    self.bench.lift();
                } else {
                    // It left unseen: a scale that speaks only of changes is told something.
                    self.bench.set_back();
                    self.bench.rest();
                    self.bench.lift();
                }
            }
            BottleNow::TakeAway => {
                if !self.bench.thing_is_on() {
                    self.bench.thing_on();
                    self.bench.rest();
                }
                self.bench.thing_off();
            }
            BottleNow::Put => {
                self.bench.lift();
                self.bench.thing_off();
                self.bench.rest();
                self.bench.fetch_bottle();
                self.bench.rest();
                if self.bench.witness.book().current().is_none() {
                    self.bench.say(Command::Next);
                }
            }
            BottleNow::InHand if self.bench.thing_is_on() => self.bench.say(Command::Tared),
            BottleNow::InHand => {
                self.bench.lift();
                self.bench.thing_on();
            }
            BottleNow::Pour => return self.work_out(),
        }
        self.bench.rest();
        true
    }

    /// Pours what is missing out of the bottle, and ends the step where the weight does not.
    pub(super) fn work_out(&mut self) -> bool {
        if self.bench.witness.book().state() != BatchState::Running {
            return false;
        }
        if !self.bench.thing_is_on() {
            self.bench.thing_on();
            self.bench.rest();
            return true;
        }
        let id = self.bench.witness.book().current().map(|task| task.id);
        let before = self.bench.in_cup();
        self.out(self.missing());
        self.bench.rest();
        self.answer();
        let book = self.bench.witness.book();
        let same = book.current().map(|task| task.id) == id;
        if book.state() == BatchState::Running && same && self.bottle_now() == Some(BottleNow::Pour)
        {
            if before.is_some() && Mass::ZERO < self.missing() {
                // The cup is empty and more is wanted: the bottle comes.
                self.bench.thing_off();
                self.bench.rest();
                self.bench.fetch_bottle();
                self.bench.rest();
                if !matches!(self.bench.vessels.thing, Some((Thing::Cup(_), _))) {
                    return true;
                }
            }
            self.bench.say(Command::Next);
            if self.bench.refusal == Some(Refusal::NoWeight) {
                self.bench.thing_off();
                self.bench.rest();
                self.bench.thing_on();
                self.bench.rest();
            }
        }
        true
    }

    /// Weighs a portion in a small cup and pours it into the jar, but for a heel.
    pub(super) fn cup(&mut self, heel: Mass) {
        let missing = self.missing();
        let plenty = Mass::from_milligrams(self.bench.world.make.division_mg * 40);
        if self.bottle_now() != Some(BottleNow::Put)
            || self.bench.witness.book().state() != BatchState::Running
            || self.bench.witness.book().current().is_none()
            || !self.bench.is_fast()
            || missing < plenty
            || self.bench.world.jar_is_on
            || self.bench.thing_is_on()
        {
            return;
        }
        self.bench.rest();
        self.bench.fetch_cup();
        self.bench.rest();
        if !self.may_pour_out() {
            // Too light for this scale: nobody weighs in it.
            self.bench.thing_off();
            return;
        }
        self.bench.fill(missing);
        self.bench.rest();
        let all = self.bench.in_cup().unwrap_or(Mass::ZERO) - heel;
        self.bench.thing_off();
        self.bench.rest();
        self.bench.pour_out(all);
        self.bench.thing_on();
    }
}
