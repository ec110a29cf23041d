//! What taps say along a batch of every kind of step that waits.

use std::collections::BTreeMap;
use std::time::Duration;

use tarehand_mixing::procedure::OfSet;
use tarehand_mixing::ratio::Ratio;
use tarehand_mixing::session::{Input, Limits};
use tarehand_mixing::settler::{Change, Fact};
use tarehand_mixing::weighing::Scale;
use tarehand_mixing::{
    Addition, Amount, Ingredient, Procedure, Session, Step, StepKind, Weigh, Within,
};
use tarehand_protocol::Mass;

use super::*;

fn add(key: &str, percent: i64) -> StepKind {
    StepKind::Add(Addition {
        ingredient: Ingredient::by_name(key),
        amount: Amount::Weighed {
            share: Ratio::new(percent, 100),
            target: Mass::from_grams(percent),
            within: Within::Fraction(Ratio::new(3, 100)),
        },
        weigh: Weigh::Jar,
    })
}

fn procedure(kinds: Vec<StepKind>) -> Procedure {
    let steps = kinds.into_iter().map(|kind| Step { kind, note: None });
    Procedure::of_steps("Tapped", Mass::from_grams(100), steps.collect())
}

/// A batch of 100 g on a scale of tenths of a gram.
struct Batch {
    jars: Jars,
    now: Tick,
}

impl Batch {
    /// Opens it; the empty pan was seen and the jar of 60 g stands on it.
    fn of(kinds: Vec<StepKind>) -> Self {
        Self::open(vec![procedure(kinds)])
    }

    fn open(procedures: Vec<Procedure>) -> Self {
        let limits = Limits {
            // Always ask.
            grow_by: Ratio::zero(),
            ..Limits::default()
        };
        let scale = Scale {
            division: Some(Mass::from_milligrams(100)),
            capacity: None,
        };
        let sessions = procedures
            .into_iter()
            .map(|procedure| Session::open(Tick::ZERO, procedure, limits.clone(), scale).0);
        let mut batch = Self {
            jars: Jars::new(sessions.collect(), Tick::ZERO).unwrap(),
            now: Tick::ZERO,
        };
        batch.settle(0, Change::Unclear);
        batch.settle(60, Change::Jump);
        batch
    }

    fn input(&mut self, input: Input) {
        self.now = self.now + Duration::from_secs(2);
        let _wishes = self.jars.step(self.now, input);
    }

    fn settle(&mut self, grams: i64, change: Change) {
        let gross = Mass::from_grams(grams);
        self.input(Input::Fact(Fact::Settled { gross, change }));
        // The dwell.
        self.input(Input::Wake);
    }

    fn say(&mut self, act: Act) {
        self.input(Input::Command(act.into()));
    }

    fn hears(&self) -> Option<(Act, Option<Act>)> {
        waits(&self.jars, self.now).map(|waits| (waits.once, waits.twice))
    }
}

fn look() -> StepKind {
    StepKind::Look {
        expect: "smooth".to_owned(),
    }
}

#[test]
fn each_step_that_waits_goes_on_with_one_tap_and_a_pour_hears_none() {
    let note = StepKind::Note {
        text: "gloves".to_owned(),
    };
    let trail = StepKind::Trail {
        wanted_s: Some(2.0),
    };
    let mut batch = Batch::of(vec![note, add("slip", 60), look(), add("chalk", 40), trail]);
    assert_eq!(batch.hears(), Some((Act::Next, None)));
    batch.say(Act::Next);
    assert_eq!(batch.hears(), None, "while it is poured");
    batch.settle(90, Change::Gradual);
    assert_eq!(batch.hears(), None, "between two goes");
    batch.settle(120, Change::Gradual);
    assert_eq!(batch.hears(), Some((Act::Next, Some(Act::Undo))));
    batch.say(Act::Next);
    batch.settle(160, Change::Gradual);
    assert_eq!(batch.hears(), Some((Act::TrailStart, Some(Act::Undo))));
    batch.say(Act::TrailStart);
    assert_eq!(batch.hears(), Some((Act::TrailStop, Some(Act::TrailStart))));
    batch.say(Act::TrailStop);
    assert!(batch.jars.is_over());
    assert_eq!(batch.hears(), None);
}

#[test]
fn an_overshoot_takes_the_first_way_out_that_can_be_done() {
    let mut batch = Batch::of(vec![add("slip", 60), add("chalk", 40)]);
    batch.settle(130, Change::Gradual);
    let Some((Act::Option(number), twice)) = batch.hears() else {
        panic!("{:?}", batch.hears());
    };
    assert_eq!(twice, Some(Act::Undo));
    let session = &batch.jars.sessions()[0];
    let (_, options) = session.book().question().unwrap().ways_out().unwrap();
    assert!(options[usize::from(number) - 1].may_be_chosen());
    let skipped = &options[..usize::from(number) - 1];
    assert!(skipped.iter().all(|option| !option.may_be_chosen()));
    batch.say(Act::Option(number));
    assert_eq!(batch.hears(), None, "the rest is poured");
}

#[test]
fn a_difference_is_answered_yes_and_never_taken_back_by_taps() {
    let mut batch = Batch::of(vec![add("slip", 100)]);
    batch.settle(80, Change::Gradual);
    let gone = Fact::Unloaded { gross: Mass::ZERO };
    batch.input(Input::Fact(gone));
    assert_eq!(batch.hears(), None, "while the jar is off the pan");
    batch.settle(130, Change::Jump);
    assert_eq!(batch.hears(), Some((Act::Yes, None)));
}

#[test]
fn a_pause_ends_with_one_tap() {
    let mut batch = Batch::of(vec![add("slip", 100)]);
    batch.input(Input::Command(Command::Pause));
    assert_eq!(batch.hears(), Some((Act::Resume, None)));
    batch.say(Act::Resume);
    assert_eq!(batch.hears(), None);
}

#[test]
fn stirring_and_resting_hear_none() {
    let time = Duration::from_secs(60);
    for kind in [StepKind::Stir { time }, StepKind::Rest { time }] {
        assert_eq!(Batch::of(vec![kind, add("slip", 100)]).hears(), None);
    }
}

#[test]
fn what_was_written_since_makes_it_another_question() {
    let mut batch = Batch::of(vec![look(), look(), add("slip", 100)]);
    let first = waits(&batch.jars, batch.now).unwrap();
    batch.say(Act::Next);
    batch.say(Act::Back);
    let second = waits(&batch.jars, batch.now).unwrap();
    assert_eq!(first.once, second.once);
    assert_ne!(first, second);
}

#[test]
fn of_two_jars_too_alike_one_tap_means_the_likeliest() {
    let jar = |key: &str, turns: [u32; 2]| Procedure {
        of_set: Some(OfSet {
            set: "tapped".to_owned(),
            run: "r".to_owned(),
            jars: 2,
            key: key.to_owned(),
            turns: turns.into(),
            made: BTreeMap::new(),
            covers: None,
        }),
        ..procedure(vec![add("slip", 40), add(key, 60)])
    };
    let mut batch = Batch::open(vec![jar("dusk", [0, 2]), jar("dawn", [1, 3])]);
    batch.settle(100, Change::Gradual);
    assert_eq!(batch.hears(), None, "the other jar is to be brought");
    let lift = |batch: &mut Batch| {
        let gross = Mass::ZERO;
        batch.input(Input::Fact(Fact::Unloaded { gross }));
        batch.settle(0, Change::Jump);
    };
    lift(&mut batch);
    batch.settle(60, Change::Jump);
    batch.settle(100, Change::Gradual);
    lift(&mut batch);
    batch.settle(100, Change::Jump);
    assert_eq!(batch.jars.at_hand(), AtHand::Which { jars: vec![0, 1] });
    assert_eq!(batch.hears(), Some((Act::Option(1), None)));
    batch.say(Act::Option(1));
    assert_eq!(batch.jars.on_pan(), Some(0));
}
