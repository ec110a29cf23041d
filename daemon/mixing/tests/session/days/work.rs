//! A steady hand: it answers by what is true, and brings the batch to its end.

use tarehand_mixing::procedure::{Decanted, StepKind};
use tarehand_mixing::session::{Answer, BatchState, Command, JarPlace, Question, Refusal};
use tarehand_protocol::Mass;

use super::Day;

impl Day {
    /// Answers what is asked by what is true.
    pub(super) fn answer(&mut self) {
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
    pub(super) fn finish(&mut self) {
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
    pub(super) fn scoop(&mut self) {
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

    pub(super) fn is_taking_out(&self) -> bool {
        let book = self.bench.witness.book();
        let task = book.current();
        task.is_some_and(|task| book.step(task).lets_out())
    }

    pub(super) fn wants_jar(&self) -> bool {
        let book = self.bench.witness.book();
        book.current()
            .is_some_and(|task| book.pours(task).is_some() || book.step(task).lets_out())
    }
}

const fn yes(yes: bool) -> Answer {
    if yes { Answer::Yes } else { Answer::No }
}
