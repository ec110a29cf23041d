//! Random days at the bench, slips and all.

mod bottles;
mod happens;
mod reckoning;
mod work;

use proptest::prelude::*;
use tarehand_mixing::procedure::StepKind;
use tarehand_mixing::session::{BatchState, Command, JarPlace, Question};
use tarehand_mixing::{Amount, Procedure};
use tarehand_protocol::Mass;

use super::bench::Bench;
use super::scenes::{make, scene};
use super::world::Make;
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

    fn story(&self) -> String {
        self.bench
            .witness
            .journal
            .iter()
            .map(|record| format!("{:>9} {:?}\n", record.at.micros() / 1_000, record.entry))
            .collect()
    }
}

proptest! {
    #![proptest_config(facts::cases(80))]

    /// On a live pan the record is what went into the jar, and the batch always comes to its end.
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
