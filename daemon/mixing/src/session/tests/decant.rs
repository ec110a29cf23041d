//! Decanting: the finished mix leaves its jar for another vessel.

use super::*;
use crate::ledger::{self, Substance, Transfer, Vessel};
use crate::procedure::Decanted;

fn decant(grams: Option<&str>) -> StepKind {
    let amount = match grams {
        None => Decanted::All,
        Some(grams) => Decanted::Weighed {
            target: mass(grams),
            within: Within::Fraction(Ratio::new(2, 100)),
        },
    };
    StepKind::Decant {
        amount,
        into: "squeeze bottle".to_owned(),
    }
}

/// A jar of 50 g with 60 g of base and 40 g of colour in it, at the step that decants.
fn mixed(after: Vec<StepKind>) -> Play {
    let mut play = Play::with_jar([vec![add("base", 60), add("colour", 40)], after].concat());
    play.settle("110").settle("150");
    assert_eq!(play.current(), Some(2));
    play
}

impl Play {
    fn transfers_out(&self) -> Vec<Transfer> {
        let book = self.session.book();
        let entries = self.journal.iter();
        entries
            .flat_map(|record| ledger::transfers(book, &record.entry))
            .filter(|transfer| transfer.substance == Substance::Mixture)
            .collect()
    }

    fn left(&self) -> Vec<String> {
        let tasks = self.session.book().tasks();
        tasks
            .filter(|task| self.session.book().pours(task).is_some())
            .map(|task| task.left.grams_text(1))
            .collect()
    }
}

#[test]
fn a_mass_is_done_by_itself_and_is_in_the_other_vessel() {
    let mut play = mixed(vec![decant(Some("40")), look()]);
    play.settle("130");
    assert_eq!(play.current(), Some(2), "half of it is out");
    play.settle("110.7");
    assert_eq!(play.current(), Some(3), "within 2 % of 40 g");
    assert_eq!(play.verdict(2), Some(Verdict::Within));
    assert_eq!(play.poured()[2], "-39.3");
    assert_eq!(play.left(), ["36.4", "24.3"], "three to two, as it was");
    let out = play.transfers_out();
    assert_eq!(out.len(), 2);
    for transfer in out {
        assert_eq!(transfer.from, Vessel::Jar);
        assert_eq!(transfer.to, Vessel::Cup("squeeze bottle".to_owned()));
        assert_eq!(transfer.seen, Seen::Watched);
    }
    assert_eq!(play.session.book().question(), None);
    play.check();
}

#[test]
fn more_than_the_mass_is_as_good() {
    let mut play = mixed(vec![decant(Some("40")), look()]);
    play.settle("95");
    assert_eq!(play.current(), Some(3));
    assert_eq!(play.verdict(2), Some(Verdict::Within));
    play.check();
}

#[test]
fn a_jar_emptied_in_the_hand_and_set_back_is_decanted_too() {
    let mut play = mixed(vec![decant(None), look()]);
    play.lift().settle("0");
    play.say(Command::Next);
    assert_eq!(play.refusals, [Refusal::NoJar], "what stays is not known");
    play.settle("52.5");
    assert_eq!(play.session.book().question(), None);
    assert_eq!(
        play.current(),
        Some(2),
        "all of it is for the person to say"
    );
    play.say(Command::Next);
    assert_eq!(play.verdict(2), Some(Verdict::Recorded));
    let book = play.session.book();
    assert_eq!(book.in_jar().grams_text(3), "2.500", "the heel is known");
    assert_eq!(play.transfers_out()[0].seen, Seen::InHand);
    play.say(Command::Next);
    assert_eq!(play.session.book().state(), BatchState::Complete);
    play.check();
}

#[test]
fn what_runs_back_into_the_jar_leaves_the_other_vessel_again() {
    let mut play = mixed(vec![decant(None)]);
    play.settle("80").settle("90");
    assert_eq!(play.transfers_out()[1].to, Vessel::Jar);
    assert_eq!(
        play.transfers_out()[1].from,
        Vessel::Cup("squeeze bottle".to_owned())
    );
    assert_eq!(play.left(), ["24.0", "16.0"]);
    play.check();
}

#[test]
fn more_than_was_let_out_never_runs_back() {
    let mut play = mixed(vec![decant(None)]);
    play.settle("140").settle("160");
    assert_eq!(
        play.session.book().question(),
        Some(&Question::AddedInHand {
            before: mass("140"),
            after: mass("160"),
        })
    );
    play.say(Command::Answer(Answer::No));
    assert_eq!(play.transfers_out().len(), 1);
    play.check();
}

#[test]
fn less_than_the_mass_is_a_shortfall_when_the_person_goes_on() {
    let mut play = mixed(vec![decant(Some("40")), look()]);
    play.settle("125").say(Command::Next);
    assert_eq!(play.verdict(2), Some(Verdict::Shortfall));
    assert_eq!(play.session.book().question(), None);
    play.check();
}

#[test]
fn next_waits_for_what_is_still_running_out() {
    let mut play = mixed(vec![decant(None), look()]);
    play.fact(live("120", -5.0));
    play.say(Command::Next);
    assert_eq!(play.current(), Some(2));
    play.settle("100");
    assert_eq!(play.current(), Some(3));
    assert_eq!(play.poured()[2], "-50.0");
    play.check();
}

#[test]
fn a_decanting_gone_back_to_is_finished_by_the_person_only() {
    let mut play = mixed(vec![decant(Some("40")), look()]);
    play.settle("110").say(Command::Back).wait(60_000);
    assert_eq!(play.current(), Some(2));
    play.settle("105").say(Command::Next);
    assert_eq!(play.poured()[2], "-45.0");
    assert_eq!(play.current(), Some(3));
    play.check();
}

#[test]
fn what_is_decanted_in_a_gap_is_booked_unseen() {
    let mut play = mixed(vec![decant(None)]);
    play.fact(Fact::Lost).fact(Fact::Back {
        zero: Zero::Trusted,
    });
    play.settle("100");
    assert_eq!(play.session.book().question(), None);
    assert_eq!(play.transfers_out()[0].seen, Seen::Unseen);
    play.check();
}

#[test]
fn an_overshoot_before_it_is_put_right_before_it() {
    let mut play = Play::with_jar(vec![add("base", 60), add("colour", 40), decant(Some("40"))]);
    play.settle("110").settle("160");
    play.choose(RescueKind::TopUpExact);
    let book = play.session.book();
    let order: Vec<u32> = book.tasks().map(|task| task.id.0).collect();
    assert_eq!(order, [0, 1, 3, 2]);
    play.check();
}

#[test]
fn nothing_is_poured_for_a_way_out_once_some_of_it_is_decanted() {
    let mut play = mixed(vec![decant(Some("40")), look()]);
    play.settle("110").say(Command::Back).say(Command::Back);
    // Too much of the colour, in a jar that holds only a part of the batch.
    play.settle("130").say(Command::Next);
    assert_eq!(play.offered(), [RescueKind::Accept]);
    play.choose(RescueKind::Accept);
    assert_eq!(play.session.book().question(), None);
    play.check();
}

#[test]
fn what_was_something_else_is_not_poured_again_once_some_of_it_is_decanted() {
    let mut play = mixed(vec![decant(Some("40")), look()]);
    play.settle("110")
        .say(Command::WasOther("black".to_owned()));
    assert_eq!(play.offered(), [RescueKind::Accept]);
    play.choose(RescueKind::Accept);
    assert_eq!(play.current(), Some(3), "the look, and no more colour");
    play.check();
}

#[test]
fn spilling_some_after_it_asks_for_no_way_out() {
    let mut play = mixed(vec![decant(Some("40")), look()]);
    play.settle("110").lift().settle("0").settle("90");
    assert!(matches!(
        play.session.book().question(),
        Some(Question::Lighter { .. })
    ));
    play.say(Command::Answer(Answer::Yes));
    assert_eq!(play.session.book().question(), None);
    play.check();
}

#[test]
fn a_mix_too_thin_after_it_is_left_so() {
    let thin = StepKind::Thin {
        with: Ingredient::by_name("water"),
        by: mass("2"),
        at_most: None,
        wanted_s: Some(5.0),
        weigh: Weigh::Jar,
    };
    let mut play = mixed(vec![decant(Some("40")), thin]);
    play.settle("110").say(Command::Trail(9.0));
    play.settle("116").say(Command::Trail(2.0));
    assert_eq!(play.offered(), [RescueKind::Accept]);
    play.choose(RescueKind::Accept);
    assert_eq!(play.session.book().state(), BatchState::Complete);
    play.check();
}

#[test]
fn a_jar_filled_out_of_bottles_comes_to_the_pan_to_be_decanted() {
    let out = |key, percent| match add(key, percent) {
        StepKind::Add(addition) => StepKind::Add(Addition {
            weigh: Weigh::Bottle,
            ..addition
        }),
        other => other,
    };
    let mut play = Play::open(vec![out("base", 100), decant(Some("40"))]);
    play.settle("0").settle("500").settle("400");
    assert_eq!(play.current(), Some(1));
    assert!(play.session.wants_jar());
    play.settle("0").settle("150").say(Command::Next);
    play.settle("110");
    assert_eq!(play.session.book().state(), BatchState::Complete);
    assert_eq!(play.session.book().tare(), mass("50"));
    play.check();
}
