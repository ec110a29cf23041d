//! Random days at the bench, slips and all.

use std::collections::BTreeMap;
use std::time::Duration;

use proptest::prelude::*;
use tarehand_mixing::ledger::Vessel;
use tarehand_mixing::procedure::{Decanted, StepKind};
use tarehand_mixing::session::{
    Answer, BatchState, BottleNow, Cause, Command, Entry, JarPlace, Question, Refusal,
};
use tarehand_mixing::settler::Reports;
use tarehand_mixing::{Amount, Procedure};
use tarehand_protocol::Mass;

use super::bench::{Bench, Link};
use super::scenes::{Scene, make, scene};
use super::vessels::Thing;
use super::world::{Make, World};
use super::{facts, recipes};

/// A person at the bench, who keeps an own account of what is true.
struct Day {
    bench: Bench,
    /// Grams of which nobody can know, or which were named as no ingredient.
    loose: Mass,
    /// Something was poured while the zero was lost: what the record says of it is "unknown".
    unknown: bool,
}

impl Day {
    fn begin(procedure: Procedure, make: Make, told: bool, dice: u64) -> Self {
        let mut bench = Bench::open(procedure, make, told, dice);
        bench.rest();
        let mut day = Self {
            bench,
            loose: Mass::ZERO,
            unknown: false,
        };
        if day.bench.witness.book().never_needs_jar() {
            day.bench.fetch_bottle();
        } else {
            day.bench.set_back();
        }
        day.bench.rest();
        day.place_first();
        day
    }

    fn place_first(&mut self) {
        for _ in 0..3 {
            if self.bench.witness.book().current().is_some() {
                return;
            }
            self.bench.say(Command::Next);
            self.bench.rest();
        }
        assert!(
            self.bench.witness.book().current().is_some(),
            "the jar, or the bottle, is known to stand there"
        );
    }

    fn missing(&self) -> Mass {
        let book = self.bench.witness.book();
        let Some(task) = book.current() else {
            return Mass::ZERO;
        };
        match (book.step(task), task.target) {
            (StepKind::Add(addition), target) => match (&addition.amount, target) {
                (Amount::Range { low, high }, _) => {
                    Mass::from_micrograms(i64::midpoint(low.micrograms(), high.micrograms()))
                        - task.poured
                }
                (_, Some(target)) => target - task.poured,
                (_, None) => Mass::from_grams(2),
            },
            (StepKind::Thin { by, .. }, _) => *by,
            _ => Mass::ZERO,
        }
    }

    /// Whether an attentive person would pour now.
    fn may_pour(&self) -> bool {
        let book = self.bench.witness.book();
        let asked = book.question().and_then(Question::waiting).is_some();
        book.state() == BatchState::Running
            && book.jar() == JarPlace::OnPan
            && !asked
            && self.bottle_now().is_none()
            && !self.bench.thing_is_on()
            && self.bench.world.jar_is_on
    }

    fn bottle_now(&self) -> Option<BottleNow> {
        self.bench.witness.session.bottle_now()
    }

    /// Whether the bottle that is weighed stands on the pan, known to both sides.
    fn may_pour_out(&self) -> bool {
        self.bench.witness.book().state() == BatchState::Running
            && self.bottle_now() == Some(BottleNow::Pour)
            && self.bench.thing_is_on()
            && !self.bench.world.jar_is_on
    }

    /// Pours out of what stands on the pan: there, or in the hand.
    fn out(&mut self, mass: Mass) {
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
    fn attend(&mut self) -> bool {
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

    fn is_taking_out(&self) -> bool {
        let book = self.bench.witness.book();
        let task = book.current();
        task.is_some_and(|task| book.step(task).lets_out())
    }

    fn wants_jar(&self) -> bool {
        let book = self.bench.witness.book();
        book.current()
            .is_some_and(|task| book.pours(task).is_some() || book.step(task).lets_out())
    }

    /// Pours what is missing out of the bottle, and ends the step where the weight does not.
    fn work_out(&mut self) -> bool {
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
    fn cup(&mut self, heel: Mass) {
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

    fn play(&mut self, scene: &Scene) {
        let grams = |mg: &i64| Mass::from_milligrams(*mg);
        match scene {
            Scene::Pour { percent, .. } if self.may_pour_out() => {
                self.out(Mass::from_micrograms(
                    self.missing().micrograms() / 100 * percent,
                ));
            }
            Scene::Slip { mg } if self.may_pour_out() => self.out(grams(mg)),
            Scene::Pour { .. } if self.is_taking_out() => self.scoop(),
            Scene::Pour { .. } if self.bottle_now().is_some() => {
                self.attend();
            }
            Scene::Cup { heel_mg } => self.cup(grams(heel_mg)),
            Scene::OtherBottle { more_g } => {
                if self.may_pour_out() && self.bench.in_cup().is_none() {
                    self.bench.thing_off();
                    self.bench.rest();
                    if let Some((_, gross)) = &mut self.bench.vessels.thing {
                        *gross += Mass::from_grams(*more_g);
                    }
                    self.bench.thing_on();
                }
            }
            Scene::Lid { mg } => {
                if self.may_pour_out() {
                    self.bench.world.other = grams(mg);
                    self.bench.rest();
                    self.bench.world.other = Mass::ZERO;
                }
            }
            Scene::Pour { percent, mg_per_s } if self.may_pour() => {
                let mass = Mass::from_micrograms(self.missing().micrograms() / 100 * percent);
                self.bench.pour(mass, *mg_per_s);
            }
            Scene::Drip(count) if self.may_pour() => {
                for _ in 0..*count {
                    if self.may_pour() {
                        self.bench.pour(Mass::from_milligrams(60), 1_000);
                        // A drip may come when the step is done already: then it counts for the next one.
                        self.loose += Mass::from_milligrams(60);
                    }
                    self.bench.run(Duration::from_millis(1_300));
                }
            }
            Scene::Slip { mg } if self.may_pour() => self.bench.pour(grams(mg), 8_000),
            Scene::Pour { .. } | Scene::Drip(_) | Scene::Slip { .. } => {}
            Scene::Lift => self.lifted(|_| {}),
            Scene::LiftAndAdd { mg } => {
                if self.may_pour() {
                    self.lifted(|day| day.bench.pour(grams(mg), 5_000));
                }
            }
            Scene::Stick { mg } => self.lifted(|day| {
                day.bench.world.mix -= if day.bench.world.mix < grams(mg) {
                    Mass::ZERO
                } else {
                    grams(mg)
                };
                day.loose += grams(mg);
            }),
            // Anything heavier than the empty jar may be the jar with some of the mix taken out, as it was asked for.
            Scene::Another { .. } if self.is_taking_out() => {}
            Scene::Another { mg } => self.lifted(|day| {
                day.bench.world.other = grams(mg);
                day.bench.rest();
                day.answer();
                day.bench.world.other = Mass::ZERO;
                day.bench.rest();
            }),
            Scene::TareKey { says_so } => self.tare_key(*says_so),
            Scene::Silence { s, mg } => self.unwatched(Link::Silent, *s, grams(mg), false),
            Scene::Unplugged { s, mg, power } => self.unwatched(Link::Gone, *s, grams(mg), *power),
            Scene::Spike { mg } => self.spike(grams(mg)),
            Scene::NoWeight(why, count) => {
                for _ in 0..*count {
                    self.bench.hear(World::no_weight(*why));
                }
                self.bench.world.speak_again();
            }
            Scene::Drift(divisions) => {
                for _ in 0..divisions.unsigned_abs() {
                    self.bench.world.drift(f64::from(divisions.signum()));
                    self.bench.rest();
                    self.loose += self.bench.world.division();
                }
            }
            Scene::Pause { mg } => {
                let (pours, out) = (self.may_pour(), self.may_pour_out());
                self.bench.say(Command::Pause);
                if pours {
                    self.bench.pour(grams(mg), 5_000);
                }
                if out {
                    self.out(grams(mg));
                }
                self.bench.rest();
                self.bench.say(Command::Resume);
            }
            Scene::RanOut => self.bench.say(Command::RanOut),
            Scene::WasOther(key) => self.bench.say(Command::WasOther((*key).to_owned())),
            // The jar is never said to be the bottle.
            Scene::Say(Command::WeighOut)
                if self.bottle_now().is_some() && self.bench.world.jar_is_on => {}
            Scene::TooMuchThinner { splashes, seconds } => self.thin_too_far(*splashes, *seconds),
            Scene::Say(command) => self.bench.say(command.clone()),
            Scene::Wait(seconds) => self.bench.run(Duration::from_secs(*seconds)),
            Scene::Restart { mg, lifted } => {
                self.explain_tare();
                let pours = self.may_pour();
                let there = self.bench.world.jar_is_on;
                if *lifted {
                    self.bench.lift();
                    self.bench.rest();
                }
                self.bench.restart();
                if pours && !lifted {
                    // Before the first weight has settled again.
                    self.bench.pour(grams(mg), 20_000);
                }
                self.bench.rest();
                if there {
                    self.bench.set_back();
                }
            }
        }
        self.bench.rest();
    }

    /// Measures, splashes far too much, and finds the trail too short.
    fn thin_too_far(&mut self, splashes: i64, seconds: f64) {
        let by = match self.bench.witness.book().current() {
            Some(task) => match self.bench.witness.book().step(task) {
                StepKind::Thin { by, .. } => *by,
                _ => return,
            },
            None => return,
        };
        self.bench.say(Command::Trail(20.0));
        self.bench.rest();
        if self.may_pour() {
            self.bench
                .pour(Mass::from_micrograms(by.micrograms() * splashes), 5_000);
        }
        self.bench.rest();
        self.bench.say(Command::Trail(seconds));
    }

    fn lifted(&mut self, meanwhile: impl FnOnce(&mut Self)) {
        let out = self.bottle_now().is_some();
        if out
            || !self.bench.world.jar_is_on
            || self.bench.witness.book().jar() == JarPlace::Awaited
        {
            return;
        }
        self.explain_tare();
        self.bench.lift();
        self.bench.rest();
        meanwhile(self);
        self.bench.set_back();
    }

    /// The bench says that the load is gone, and it stands there: an attentive person explains it before touching anything.
    fn explain_tare(&mut self) {
        let gone = matches!(self.bench.witness.book().jar(), JarPlace::Gone { .. });
        if gone && self.bench.world.jar_is_on {
            self.bench.say(Command::Tared);
            self.bench.rest();
        }
    }

    fn tare_key(&mut self, says_so: bool) {
        self.bench.rest();
        self.answer();
        if self.bottle_now().is_some() {
            self.tare_key_under_bottle();
            return;
        }
        // From below zero up to zero looks exactly like a pour: nobody could tell, and it is not tried here.
        let below = self.bench.witness.book().last() < Mass::ZERO;
        if below || self.bench.witness.book().is_over() || !self.bench.world.jar_is_on {
            return;
        }
        let entry = self.bench.witness.journal.len();
        self.bench.world.take_zero();
        self.bench.rest();
        let booked = self.bench.booked_since(entry);
        let flicker =
            self.bench.world.division() + self.bench.world.division() + self.bench.world.fuzz();
        assert!(
            booked <= flicker,
            "the tare key books no gram, not {booked}"
        );
        // A load too small to be missed goes to zero unnoticed.
        self.loose += flicker;
        // A pour that ends just where the jar stood looks like the jar set back: then it must be said.
        let stood = self.bench.witness.book().last();
        let alike = (self.missing() - stood).abs() <= flicker + flicker;
        if says_so || alike || !self.bench.is_fast() {
            self.bench.say(Command::Tared);
        } else {
            // On a fast scale the next pour explains it.
            let missing = self.missing();
            let running = self.bench.witness.book().state() == BatchState::Running;
            let plenty = Mass::from_milligrams(self.bench.world.make.division_mg * 40);
            if running && plenty < missing {
                // Two seconds: anything faster could as well be something put down.
                self.bench.pour(missing, missing.micrograms() / 2_000);
            }
        }
    }

    /// The same with a bottle on the pan: then it must be said.
    fn tare_key_under_bottle(&mut self) {
        // Down to zero from where it stands: a bottle that shows next to nothing already is not missed.
        let stands = self
            .bench
            .witness
            .book()
            .bottle()
            .map(|bottle| bottle.gross);
        let plenty = Mass::from_grams(20);
        if !self.may_pour_out() || stands.is_none_or(|gross| gross < plenty) {
            return;
        }
        let entry = self.bench.witness.journal.len();
        self.bench.world.take_zero();
        self.bench.rest();
        let booked = self.bench.booked_since(entry);
        let flicker =
            self.bench.world.division() + self.bench.world.division() + self.bench.world.fuzz();
        assert!(
            booked <= flicker,
            "the tare key books no gram, not {booked}"
        );
        self.loose += flicker;
        self.bench.say(Command::Tared);
    }

    fn unwatched(&mut self, link: Link, seconds: u64, mass: Mass, power: bool) {
        self.bench.rest();
        self.explain_tare();
        let (pours, out) = (self.may_pour(), self.may_pour_out());
        self.bench.cut(link);
        self.bench.run(Duration::from_secs(seconds));
        if pours {
            self.bench.pour(mass, 10_000);
        }
        if out && !power {
            self.out(mass);
        }
        self.bench.run(Duration::from_secs(1));
        if power {
            self.bench.world.take_zero();
            // Law 6: with the zero lost, what was poured meanwhile is unknown.
            self.unknown |= pours && !mass.is_zero();
            self.loose += self.bench.world.fuzz();
        }
        self.bench.open_again();
    }

    fn spike(&mut self, mass: Mass) {
        if self.bench.world.make.reports != Reports::Stream {
            return;
        }
        self.bench.rest();
        let entry = self.bench.witness.journal.len();
        let wild = self.bench.world.spike(mass);
        self.bench
            .run(Duration::from_millis(self.bench.world.make.period_ms));
        self.bench.hear(wild);
        self.bench.rest();
        let booked = self.bench.booked_since(entry);
        let flicker =
            self.bench.world.division() + self.bench.world.division() + self.bench.world.fuzz();
        assert!(booked <= flicker, "a spike books no gram, not {booked}");
    }

    /// Answers what is asked by what is true.
    fn answer(&mut self) {
        for _ in 0..6 {
            let Some(question) = self.bench.witness.book().question().cloned() else {
                return;
            };
            if self.bench.witness.book().state() == BatchState::Paused {
                self.bench.say(Command::Resume);
            }
            let world = &self.bench.world;
            let more = world.mix - self.bench.booked_mix();
            let alone = world.other.is_zero() && world.bottle.is_zero();
            let answer = match question {
                Question::Overshoot { .. }
                | Question::OffRatio { .. }
                | Question::TooThin { .. } => {
                    // Chance, for a person who has no reason to choose.
                    let any = self.bench.world.now_ms / 10 % 4;
                    Answer::Option(1 + u8::try_from(any).unwrap())
                }
                Question::PouredUnseen { .. } | Question::AddedInHand { .. } => {
                    yes(world.jar_is_on && alone && Mass::ZERO < more)
                }
                Question::Lighter { .. } => yes(world.jar_is_on && alone && more < Mass::ZERO),
                // Either most of it went into the jar, or another bottle stands there.
                Question::BottleLighter { before, after } => yes(before - after < more + more),
                Question::ZeroLost { .. } => yes(world.jar_is_on && alone),
            };
            self.bench.say(Command::Answer(answer));
            let refused = [Refusal::NotFeasible, Refusal::NotAnAnswer];
            if self
                .bench
                .refusal
                .is_some_and(|refusal| refused.contains(&refusal))
            {
                self.bench.say(Command::Answer(Answer::Yes));
            }
            self.bench.rest();
        }
    }

    /// Finishes the batch with a working scale and a steady hand.
    fn finish(&mut self) {
        for _ in 0..150 {
            self.bench.rest();
            self.answer();
            let book = self.bench.witness.book();
            if book.is_over() {
                return;
            }
            if self.attend() {
                continue;
            }
            let book = self.bench.witness.book();
            match (book.state(), book.jar()) {
                (BatchState::Paused, _) => self.bench.say(Command::Resume),
                (_, JarPlace::Awaited) if book.current().is_none() || self.wants_jar() => {
                    self.bench.say(Command::Next);
                }
                (_, JarPlace::Gone { .. }) => self.bench.say(Command::Tared),
                (_, JarPlace::OnPan | JarPlace::Awaited | JarPlace::Beside { .. }) => self.work(),
            }
        }
        let book = self.bench.witness.book();
        panic!(
            "no end: {:?} at {:?}, jar {:?}, asks {:?}, refused {:?}, last {}, bottle {:?} {:?}\n{}",
            book.state(),
            book.current(),
            book.jar(),
            book.question(),
            self.bench.refusal,
            book.last(),
            self.bottle_now(),
            book.bottle(),
            self.story(),
        );
    }

    fn work(&mut self) {
        self.scoop();
        if self.bench.witness.book().trails().is_empty() {
            let splashes = if self.bench.world.dice_is_even() {
                1
            } else {
                6
            };
            self.thin_too_far(splashes, 0.6);
            self.bench.rest();
            self.answer();
        }
        let id = self.bench.witness.book().current().map(|task| task.id);
        let missing = self.missing();
        if self.may_pour() {
            self.bench.pour(missing, 5_000);
        }
        self.bench.rest();
        self.answer();
        let book = self.bench.witness.book();
        if book.state() == BatchState::Running && book.current().map(|task| task.id) == id {
            self.bench.say(Command::Next);
            if self.bench.refusal == Some(Refusal::NoWeight) {
                // A scale that speaks only of changes is told something.
                self.lifted(|_| {});
            }
        }
    }

    /// Takes out what is to be taken out, in two scoops: from where the jar stands, or with it in the hand.
    fn scoop(&mut self) {
        for _ in 0..2 {
            let book = self.bench.witness.book();
            let Some(task) = book.current() else { return };
            let (mass, into) = match book.step(task) {
                StepKind::TakeOut { mass } => (*mass, None),
                StepKind::Decant { amount, into } => match amount {
                    Decanted::All => (self.bench.world.mix - task.poured, Some(into.clone())),
                    Decanted::Weighed { target, .. } => (*target, Some(into.clone())),
                },
                _ => return,
            };
            let rest = mass + task.poured;
            let there = book.jar() == JarPlace::OnPan && self.bench.world.jar_is_on;
            if book.state() != BatchState::Running || !there || rest <= Mass::ZERO {
                return;
            }
            let scoop = Mass::from_micrograms(rest.micrograms() * 3 / 4).min(self.bench.world.mix);
            if scoop <= Mass::ZERO {
                return;
            }
            let in_hand = into.is_some() && self.bench.world.dice_is_even();
            if in_hand {
                self.bench.lift();
                self.bench.rest();
            }
            self.bench.world.mix -= scoop;
            if let Some(into) = into {
                *self.bench.vessels.decanted.entry(into).or_default() += scoop;
            }
            if in_hand {
                self.bench.set_back();
            }
            self.bench.rest();
        }
    }

    /// What was true, with what was named afterwards as it was named: whoever says so is right.
    fn truth(&self) -> BTreeMap<String, Mass> {
        self.named_rightly(&self.bench.truth)
    }

    fn named_rightly(&self, truth: &BTreeMap<String, Mass>) -> BTreeMap<String, Mass> {
        let mut truth = truth.clone();
        let book = self.bench.witness.book();
        for record in &self.bench.witness.journal {
            let Entry::WasOther { from, to, mass, .. } = &record.entry else {
                continue;
            };
            for (task, mass) in [(from, -*mass), (to, *mass)] {
                let ingredient = book.task(*task).and_then(|task| book.pours(task)).unwrap();
                *truth.entry(ingredient.key.clone()).or_insert(Mass::ZERO) += mass;
            }
        }
        truth
    }

    /// The record against what was true.
    fn check(&self) {
        self.bench.witness.check_whole();
        if self.unknown {
            return;
        }
        let foreign: Mass = self
            .bench
            .witness
            .journal
            .iter()
            .map(|record| match record.entry {
                Entry::Changed {
                    before,
                    after,
                    cause: Cause::Foreign,
                } => (after - before).abs(),
                _ => Mass::ZERO,
            })
            .sum();
        let count = i64::try_from(self.bench.bookings()).unwrap() + 2;
        let fuzz = Mass::from_micrograms(self.bench.world.fuzz().micrograms() * 2 * count);
        let allowed = fuzz + self.loose + foreign;
        let book = self.bench.witness.book();
        let all = self.truth();
        for (ingredient, booked) in book.contents() {
            let truth = all.get(&ingredient.key).copied().unwrap_or(Mass::ZERO);
            assert!(
                (booked - truth).abs() <= allowed,
                "{} of {} in the record, {truth} in the jar (within {allowed})\n{}",
                booked,
                ingredient.key,
                self.story(),
            );
        }
        self.check_vessels(allowed);
    }

    /// The ledger balances through every vessel: what each has gained is what really came into it.
    fn check_vessels(&self, allowed: Mass) {
        let mut truth: BTreeMap<Vessel, Mass> = BTreeMap::new();
        let of = |key: &str| match key {
            // All of a cup that is known by its name.
            "rest" => Vessel::Cup("the paste cup".to_owned()),
            key => Vessel::Shelf(key.to_owned()),
        };
        for (key, mass) in &self.named_rightly(&self.bench.packs) {
            *truth.entry(of(key)).or_default() -= *mass;
        }
        for (key, mass) in &self.bench.vessels.cups {
            *truth
                .entry(Vessel::Cup(format!("a cup of {key}")))
                .or_default() += *mass;
        }
        for (into, mass) in &self.bench.vessels.decanted {
            *truth.entry(Vessel::Cup(into.clone())).or_default() += *mass;
        }
        truth.insert(Vessel::Jar, self.bench.world.mix);
        let told = self.bench.witness.vessels();
        let known = |vessel: &&Vessel| !matches!(vessel, Vessel::Waste | Vessel::Unknown);
        for vessel in told.keys().chain(truth.keys()).filter(known) {
            let is = truth.get(vessel).copied().unwrap_or_default();
            let says = told.get(vessel).copied().unwrap_or_default();
            assert!(
                (is - says).abs() <= allowed,
                "{vessel:?} gained {is}, the ledger says {says} (within {allowed})\n{}",
                self.story(),
            );
        }
    }

    fn story(&self) -> String {
        self.bench
            .witness
            .journal
            .iter()
            .map(|record| format!("{:>9} {:?}\n", record.at.micros() / 1_000, record.entry))
            .collect()
    }
}

const fn yes(yes: bool) -> Answer {
    if yes { Answer::Yes } else { Answer::No }
}

proptest! {
    #![proptest_config(facts::cases(80))]

    /// Laws 1 to 7 and 12 on a live pan: the record is what went into the jar, and the batch always comes to its end.
    #[test]
    fn the_record_of_a_day_is_what_went_into_the_jar(
        procedure in recipes::procedure(),
        make in make(),
        told in any::<bool>(),
        dice in any::<u64>(),
        scenes in prop::collection::vec((scene(), prop::bool::weighted(0.8)), 0..20),
    ) {
        let mut day = Day::begin(procedure, make, told, dice);
        for (scene, answers) in &scenes {
            if day.bench.witness.book().is_over() { break; }
            day.play(scene);
            if *answers { day.answer(); }
        }
        day.finish();
        day.check();
    }
}
