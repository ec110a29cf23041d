//! Random pours over both scales: the book holds what was really poured.

use std::collections::BTreeMap;

use proptest::prelude::*;

use super::*;
use crate::ledger::{self, Vessel};
use crate::weighing::uncertainty;

const COARSE: Mass = Mass::from_milligrams(100);
const FINE: Mass = Mass::from_milligrams(10);
/// What the cup weighs with nothing in it, and the jar.
const CUP: Mass = Mass::from_milligrams(3_217);
const JAR: Mass = Mass::from_milligrams(53_730);

/// What happens at the bench.
#[derive(Clone, Copy, Debug)]
enum Scene {
    /// So much, in tenths of a milligram, goes into the cup on the finer scale.
    Fill(i64),
    /// So many hundredths of what is in the cup go into the jar, cup in the hand.
    Empty(i64),
    /// The same, with the jar lifted from its scale meanwhile.
    EmptyIntoLiftedJar(i64),
    /// A few tenths of a milligram evaporate or drip, and the jar is touched.
    TouchJar,
    FineGap,
    CoarseGap,
    Restart,
    Next,
    Undo,
}

fn scene() -> impl Strategy<Value = Scene> {
    prop_oneof![
        4 => (500..30_000_i64).prop_map(Scene::Fill),
        4 => (20..=100_i64).prop_map(Scene::Empty),
        2 => (20..=100_i64).prop_map(Scene::EmptyIntoLiftedJar),
        1 => Just(Scene::TouchJar),
        1 => Just(Scene::FineGap),
        1 => Just(Scene::CoarseGap),
        1 => Just(Scene::Restart),
        1 => Just(Scene::Next),
        1 => Just(Scene::Undo),
    ]
}

/// The bench as it really is.
struct Bench {
    play: Play,
    in_jar: Mass,
    in_cup: Mass,
    jar_on: bool,
    cup_on: bool,
    /// What really went into the jar of each ingredient, and in how many pours.
    truth: BTreeMap<String, (Mass, i64)>,
}

impl Bench {
    fn coarse(&mut self, change: Change) {
        let load = if self.jar_on {
            JAR + self.in_jar
        } else {
            Mass::ZERO
        };
        let gross = load.rounded_to(COARSE);
        self.play.fact(Fact::Settled { gross, change });
        self.play.wait(1_000);
    }

    fn fine(&mut self, change: Change) {
        let load = if self.cup_on {
            CUP + self.in_cup
        } else {
            Mass::ZERO
        };
        let gross = load.rounded_to(FINE);
        self.play
            .input(Input::Fine(Fact::Settled { gross, change }));
        self.play.wait(1_000);
    }

    fn on_fine(&self) -> bool {
        self.play.session.book().on_fine()
    }

    fn may_pour(&self) -> bool {
        self.on_fine()
            && self.play.session.book().state() == BatchState::Running
            && self.play.session.bottle_now() == Some(BottleNow::Pour)
    }

    /// Does what the bench waits for with the cup: takes the one before away, brings one.
    fn bring_cup(&mut self) {
        for _ in 0..3 {
            match self.play.session.bottle_now() {
                Some(BottleNow::TakeAway) => self.cup_on = false,
                Some(BottleNow::Put) => {
                    self.in_cup = Mass::ZERO;
                    self.cup_on = true;
                }
                _ => return,
            }
            self.fine(Change::Jump);
        }
    }

    fn play(&mut self, scene: Scene) {
        if self.on_fine() {
            self.bring_cup();
        }
        match scene {
            Scene::Fill(tenths) if self.may_pour() => {
                self.in_cup += Mass::from_micrograms(tenths * 100);
                self.fine(Change::Gradual);
            }
            Scene::Empty(percent) if self.may_pour() => {
                self.cup_on = false;
                self.fine(Change::Jump);
                self.pour(percent);
                self.coarse(Change::Gradual);
                self.cup_on = true;
                self.fine(Change::Jump);
            }
            Scene::EmptyIntoLiftedJar(percent) if self.may_pour() => {
                self.cup_on = false;
                self.jar_on = false;
                self.fine(Change::Jump);
                self.coarse(Change::Jump);
                self.pour(percent);
                self.cup_on = true;
                self.fine(Change::Jump);
                self.jar_on = true;
                self.coarse(Change::Jump);
            }
            Scene::TouchJar => self.coarse(Change::Unclear),
            Scene::FineGap => {
                self.play.input(Input::Fine(Fact::Lost));
                self.play.input(Input::Fine(Fact::Back {
                    zero: Zero::Trusted,
                }));
                self.fine(Change::Unclear);
            }
            Scene::CoarseGap => {
                self.play.fact(Fact::Lost);
                self.play.fact(Fact::Back {
                    zero: Zero::Trusted,
                });
                self.coarse(Change::Unclear);
            }
            Scene::Restart => {
                self.play.session = Session::rebuild(&self.play.journal).unwrap();
                self.fine(Change::Unclear);
                self.coarse(Change::Unclear);
            }
            Scene::Next => {
                self.play.say(Command::Next);
            }
            Scene::Undo => {
                self.play.say(Command::Undo);
            }
            Scene::Fill(_) | Scene::Empty(_) | Scene::EmptyIntoLiftedJar(_) => {}
        }
        // The bench asks where far more left the cup than the step takes, and for a way out of an overshoot.
        let asked = self.play.session.book().question();
        let poured = matches!(asked, Some(Question::BottleLighter { .. }));
        if poured || asked.and_then(Question::ways_out).is_some() {
            self.play.say(Command::Next);
        }
    }

    fn pour(&mut self, percent: i64) {
        let mass = Mass::from_micrograms(self.in_cup.micrograms() * percent / 100);
        let book = self.play.session.book();
        let key = book.current().and_then(|task| book.pours(task));
        let key = key.unwrap().key.clone();
        self.in_cup -= mass;
        self.in_jar += mass;
        let truth = self.truth.entry(key).or_default();
        truth.0 += mass;
        truth.1 += 1;
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn the_book_holds_what_was_really_poured(scenes in prop::collection::vec(scene(), 1..40)) {
        let steps = vec![add("ink", 1), add("dye", 2), add("oil", 1), add("base", 96)];
        let mut play = Play::of(procedure(steps));
        play.input(Input::FineScale(Some(Scale { division: Some(FINE), capacity: None })));
        let mut bench = Bench {
            play,
            in_jar: Mass::ZERO,
            in_cup: Mass::ZERO,
            jar_on: false,
            cup_on: false,
            truth: BTreeMap::new(),
        };
        bench.fine(Change::Jump);
        bench.coarse(Change::Jump);
        bench.jar_on = true;
        bench.coarse(Change::Jump);
        for scene in scenes {
            if !bench.on_fine() {
                break;
            }
            bench.play(scene);
            bench.play.check();
        }
        let book = bench.play.session.book();
        for (ingredient, booked) in book.contents() {
            let key = &ingredient.key;
            let (truth, pours) = bench.truth.get(key).copied().unwrap_or_default();
            // Each pour is the difference of two readings; a cup that was filled between two is two more.
            let most = Mass::from_micrograms(uncertainty(FINE).micrograms() * (3 * pours + 1));
            prop_assert!(
                (booked - truth).abs() <= most,
                "{truth} of {key} were poured, {booked} are booked"
            );
        }
        let mut vessels: BTreeMap<Vessel, Mass> = BTreeMap::new();
        for record in &bench.play.journal {
            for transfer in ledger::transfers(book, &record.entry) {
                *vessels.entry(transfer.from).or_default() -= transfer.mass;
                *vessels.entry(transfer.to).or_default() += transfer.mass;
            }
        }
        prop_assert_eq!(vessels.values().copied().sum::<Mass>(), Mass::ZERO);
        let asked = bench.play.journal.iter().any(|record| matches!(
            record.entry,
            Entry::Asked { question: Question::PouredUnseen { .. } | Question::Lighter { .. } }
        ));
        prop_assert!(!asked, "nothing went past either scale");
    }
}
