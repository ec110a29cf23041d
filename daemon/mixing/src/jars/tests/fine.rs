//! A second, finer scale beside several jars.

use super::opened_again::opened_for;
use super::*;
use crate::session::BottleNow;

impl Table {
    /// A scale of 0.01 g that carries 200 g stands beside the one of the jars.
    pub(super) fn with_fine(&mut self) -> &mut Self {
        self.input(Input::FineScale(Some(Scale {
            division: Some(mass("0.01")),
            capacity: Some(mass("200")),
        })))
    }

    /// The weight settles on the finer scale.
    pub(super) fn fine(&mut self, gross: &str) -> &mut Self {
        self.fine_at(mass(gross))
    }

    pub(super) fn fine_at(&mut self, gross: Mass) -> &mut Self {
        let change = Change::Jump;
        self.wait(2_000);
        self.input(Input::Fine(Fact::Settled { gross, change }));
        self.wait(2_000)
    }

    fn drops(&self, jar: usize) -> String {
        let tasks = self.jars.sessions()[jar].book().tasks();
        let poured: Mass = tasks.map(|task| task.poured).sum();
        poured.grams_text(2)
    }

    fn counts(&self, jar: usize, kind: &str) -> usize {
        let journal = self.journals[jar].iter();
        journal.filter(|have| have.entry.kind() == kind).count()
    }

    fn bottle_now(&self, jar: usize) -> Option<BottleNow> {
        self.jars.sessions()[jar].bottle_now()
    }
}

/// Two finished jars of 100 g and 110 g, a gram of drops into each, and both scales show an empty pan.
fn in_a_row() -> Table {
    let mut table = Table::of(vec![
        opened_for("grey", vec![(1, add("drops", 1))], "60", "40"),
        opened_for("pale", vec![(2, add("drops", 1))], "60", "50"),
    ]);
    table.with_fine().fine("0").settle("0");
    table
}

#[test]
fn a_small_addition_into_each_of_several_finished_jars_is_weighed_out_on_it() {
    let mut table = in_a_row();
    table.settle("100");
    assert_eq!(table.bottle_now(0), Some(BottleNow::Put));
    table.fine("30").fine("0").pour("101.0");
    assert_eq!(
        table.drops(0),
        "0.00",
        "it is booked once, by the finer scale"
    );
    table.fine("29.01");
    assert_eq!(
        (table.drops(0).as_str(), table.state(0)),
        ("0.99", BatchState::Complete)
    );
    // The bottle stands there already when the next jar comes.
    table.lift().settle("110");
    assert_eq!(table.bottle_now(1), Some(BottleNow::Pour));
    table.fine("0").pour("111.0").fine("28");
    assert_eq!(table.drops(1), "1.01");
    assert!(table.jars.is_over());
    for jar in 0..2 {
        let counts = ["poured-out", "poured", "asked", "jar-compared"];
        assert_eq!(counts.map(|kind| table.counts(jar, kind)), [1, 0, 0, 1]);
    }
    table.check();
}

#[test]
fn the_jar_may_be_lifted_to_pour_into_it() {
    let mut table = in_a_row();
    table.settle("100").fine("30").fine("0");
    table.lift().settle("101.0");
    assert_eq!(table.jars.on_pan(), Some(0), "it is known, heavier");
    assert_eq!(
        table.counts(0, "asked"),
        0,
        "the cup will say how much it was"
    );
    table.fine("29");
    assert_eq!(
        (table.drops(0).as_str(), table.state(0)),
        ("1.00", BatchState::Complete)
    );
    table.check();
}

#[test]
fn a_jar_that_has_not_grown_by_what_left_the_cup_is_asked_about() {
    let mut table = in_a_row();
    table.settle("100").fine("30").fine("0").fine("29");
    assert_eq!(table.drops(0), "1.00");
    assert_eq!(table.counts(0, "asked"), 1, "it never reached the jar");
    assert_eq!(table.state(0), BatchState::Held);
    table.check();
}

#[test]
fn what_left_the_cup_waits_for_its_jar_while_another_one_stands_there() {
    let mut table = in_a_row();
    table.settle("100").fine("30").fine("0");
    table.lift().settle("110");
    let instead = Some(1);
    assert_eq!(table.jars.at_hand(), AtHand::Bring { jar: 0, instead });
    table.fine("29");
    assert_eq!(
        (table.drops(0), table.drops(1)),
        ("0.00".to_owned(), "0.00".to_owned()),
        "nobody knows yet where it went"
    );
    table.lift().settle("101.0");
    assert_eq!(
        (table.drops(0).as_str(), table.state(0)),
        ("1.00", BatchState::Complete)
    );
    table.check();
}

#[test]
fn whoever_goes_on_with_another_jar_weighs_into_that_one() {
    let mut table = in_a_row();
    table.settle("100").fine("30").fine("0");
    table.lift().settle("110").say(Command::Next);
    table.fine("30").fine("0").pour("111.0").fine("29");
    assert_eq!(
        (table.drops(0).as_str(), table.drops(1).as_str()),
        ("0.00", "1.00")
    );
    assert_eq!(table.state(1), BatchState::Complete);
    table.lift().settle("100");
    assert_eq!(table.bottle_now(0), Some(BottleNow::Pour));
    table.fine("0").pour("101.0").fine("28");
    assert_eq!(table.drops(0), "1.00");
    assert!(table.jars.is_over());
    table.check();
}

#[test]
fn a_jar_is_not_taken_for_another_while_its_cup_is_in_the_hand() {
    let mut table = in_a_row();
    table.settle("100").fine("30").fine("0");
    table.say(Command::JarIs("pale".to_owned()));
    assert_eq!(table.refusals, [Refusal::JarInUse]);
    table.fine("30").say(Command::JarIs("pale".to_owned()));
    assert_eq!(table.jars.on_pan(), Some(1), "nothing was poured yet");
    let grey = table.jars.sessions()[0].book();
    assert_eq!(grey.jar(), JarPlace::Awaited, "grey was never there");
    table.check();
}

#[test]
fn a_zero_that_moved_at_one_jar_has_moved_for_all() {
    let mut table = in_a_row();
    // The finer scale's own tare is pressed with the bottle on it.
    table.settle("100").fine("30").fine("0");
    table.say(Command::Tared);
    let empty = |jar: usize| table.jars.sessions()[jar].book().fine().empty;
    assert_eq!((empty(0), empty(1)), (mass("-30"), mass("-30")));
    table.fine("-30").pour("101.0").fine("-1");
    assert_eq!(table.drops(0), "1.00");
    table.lift().settle("110");
    assert_eq!(table.bottle_now(1), Some(BottleNow::Pour));
    table.fine("-30").pour("111.0").fine("-2");
    assert_eq!(table.drops(1), "1.00");
    table.check();
}

#[test]
fn a_finer_scale_that_is_unplugged_leaves_every_jar_to_its_own_scale() {
    let mut table = in_a_row();
    table.settle("100").input(Input::FineScale(None));
    assert_eq!(table.bottle_now(0), None);
    table.pour("101.0");
    assert_eq!(table.state(0), BatchState::Complete);
    table.lift().settle("110");
    assert_eq!(table.bottle_now(1), None);
    table.pour("111.0");
    assert!(table.jars.is_over());
    table.check();
}

/// Two jars of a set: a base into both, then a gram of drops into each, bottle by bottle.
fn of_a_set() -> Table {
    let mut table = Table::of(vec![
        jar("dusk", vec![(0, add("base", 60)), (2, add("drops", 1))]),
        jar("dawn", vec![(1, add("base", 40)), (3, add("drops", 1))]),
    ]);
    table.with_fine().fine("0").settle("0");
    table
}

#[test]
fn the_small_additions_of_a_set_are_weighed_out_on_it_and_the_rest_in_the_jar() {
    let mut table = of_a_set();
    table.settle("50").pour("110").lift();
    table.settle("48").pour("88").lift();
    table.settle("110");
    assert_eq!(table.bottle_now(0), Some(BottleNow::Put));
    table.fine("30").fine("0").pour("111.0").fine("29.01");
    assert_eq!(
        (table.drops(0).as_str(), table.state(0)),
        ("60.99", BatchState::Complete)
    );
    // The bottle stands there already when the next jar comes.
    table.lift().settle("88");
    assert_eq!(table.bottle_now(1), Some(BottleNow::Pour));
    table.fine("0").pour("89.0").fine("28");
    assert_eq!(table.drops(1), "41.01");
    assert!(table.jars.is_over());
    for jar in 0..2 {
        let counts = ["poured", "poured-out", "asked", "jar-compared"];
        assert_eq!(counts.map(|kind| table.counts(jar, kind)), [1, 1, 0, 1]);
    }
    table.check();
}

#[test]
fn a_small_addition_that_is_a_jars_first_is_weighed_out_too() {
    let mut table = Table::of(vec![
        jar("dusk", vec![(0, add("drops", 1))]),
        jar("dawn", vec![(1, add("drops", 1))]),
    ]);
    table.with_fine().fine("0").settle("0").settle("50");
    assert_eq!(table.bottle_now(0), Some(BottleNow::Put));
    table.fine("30").fine("0").pour("51.0").fine("29");
    table.lift().settle("48");
    table.fine("0").pour("49.0").fine("28");
    assert_eq!(
        (table.drops(0), table.drops(1)),
        ("1.00".to_owned(), "1.00".to_owned())
    );
    assert!(table.jars.is_over());
    table.check();
}

#[test]
fn a_jar_that_was_poured_into_and_weighs_just_what_a_finished_one_does_is_the_one_that_is_said() {
    let mut table = Table::of(vec![
        jar("noon", vec![(2, add("drops", 1))]),
        jar("dusk", vec![(1, add("base", 55)), (3, add("drops", 3))]),
        jar("dawn", vec![(0, add("base", 48))]),
    ]);
    table.with_fine().fine("0").settle("0");
    table.settle("55").pour("103").lift();
    table.settle("45").pour("100").lift();
    table
        .settle("40")
        .fine("30")
        .fine("0")
        .pour("41")
        .fine("29")
        .lift();
    table.settle("100").fine("0");
    assert_eq!(table.bottle_now(1), Some(BottleNow::InHand));
    table.pour("103").lift().settle("41").lift().settle("103");
    let instead = Some(2);
    assert_eq!(table.jars.at_hand(), AtHand::Bring { jar: 1, instead });
    table.say(Command::JarIs("dusk".to_owned()));
    assert_eq!(
        (table.jars.at_hand(), table.refusals.clone()),
        (AtHand::Jar(1), vec![])
    );
    table.fine("26");
    assert_eq!(table.drops(1), "58.00");
    assert!(table.jars.is_over());
    table.check();
}
