//! Weighing out of the bottle, with the jar beside the scale.

use super::*;
use crate::ledger::{self, Transfer, Vessel};
use crate::procedure::Origin;

fn out(key: &str, percent: i64) -> StepKind {
    match add(key, percent) {
        StepKind::Add(addition) => StepKind::Add(Addition {
            weigh: Weigh::Bottle,
            ..addition
        }),
        other => other,
    }
}

fn transfers(play: &Play) -> Vec<Transfer> {
    let book = play.session.book();
    let entries = play.journal.iter().map(|record| &record.entry);
    entries
        .flat_map(|entry| ledger::transfers(book, entry))
        .collect()
}

/// What a vessel has gained.
fn gained(play: &Play, vessel: &Vessel) -> String {
    let moved = transfers(play).into_iter().map(|transfer| {
        let into = if transfer.to == *vessel {
            transfer.mass
        } else {
            Mass::ZERO
        };
        let from = if transfer.from == *vessel {
            transfer.mass
        } else {
            Mass::ZERO
        };
        into - from
    });
    moved.sum::<Mass>().grams_text(1)
}

fn shelf(key: &str) -> Vessel {
    Vessel::Shelf(key.to_owned())
}

#[test]
fn a_batch_whose_every_step_is_weighed_out_never_needs_the_jar() {
    let mut play = Play::open(vec![out("base", 60), stir(30), out("colour", 40)]);
    play.settle("0").settle("300");
    assert_eq!(play.current(), Some(0));
    assert_eq!(play.session.bottle_now(), Some(BottleNow::Pour));
    play.lift();
    assert_eq!(play.session.bottle_now(), Some(BottleNow::InHand));
    play.settle("0").settle("240.2");
    assert_eq!(play.current(), Some(1));
    assert_eq!(play.session.bottle_now(), Some(BottleNow::TakeAway));
    play.settle("0").wait(31_000);
    assert_eq!(play.current(), Some(2));
    assert_eq!(play.session.bottle_now(), Some(BottleNow::Put));
    play.settle("120").settle("0").settle("80.1");
    assert_eq!(play.session.book().state(), BatchState::Complete);
    assert_eq!(play.poured(), ["59.8", "0.0", "39.9"]);
    assert_eq!(gained(&play, &shelf("colour")), "-39.9");
    assert_eq!(gained(&play, &Vessel::Jar), "99.7");
    play.check();
}

#[test]
fn several_pours_out_of_a_bottle_are_one_addition() {
    let mut play = Play::open(vec![out("base", 60), out("colour", 40)]);
    play.settle("0").settle("300");
    play.settle("0").settle("270").settle("0").settle("241.5");
    assert_eq!(play.current(), Some(0), "58.5 g are too little");
    play.settle("0").settle("240");
    assert_eq!(
        (play.current(), play.poured()[0].as_str()),
        (Some(1), "60.0")
    );
    play.check();
}

#[test]
fn a_bottle_with_a_tap_stays_on_the_pan() {
    let mut play = Play::open(vec![out("base", 60), out("colour", 40)]);
    play.settle("0").settle("300");
    play.settle_by("270", Change::Gradual);
    assert_eq!(play.session.net(), Some(mass("30")));
    play.settle_by("240", Change::Gradual);
    assert_eq!(play.current(), Some(1));
    play.check();
}

#[test]
fn a_bottle_left_over_must_leave_before_the_next_one_counts() {
    let mut play = Play::open(vec![out("base", 60), out("colour", 40)]);
    play.settle("0").settle("300").settle("0").settle("240");
    assert_eq!(play.current(), Some(1));
    // It stands there still, and drips.
    play.settle("239").wait(2_000);
    assert_eq!(play.poured()[1], "0.0");
    assert_eq!(play.session.bottle_now(), Some(BottleNow::TakeAway));
    play.settle("0").settle("500").settle("0").settle("460");
    assert_eq!(play.session.book().state(), BatchState::Complete);
    assert_eq!(play.poured(), ["60.0", "40.0"]);
    play.check();
}

#[test]
fn a_heavier_bottle_is_another_one_and_no_gram_of_it_is_booked() {
    let mut play = Play::open(vec![out("base", 60), out("colour", 40)]);
    play.settle("0").settle("40").settle("0").settle("20");
    assert_eq!(play.poured()[0], "20.0");
    // The first is empty; a full one comes.
    play.settle("0").settle("400");
    assert_eq!(play.poured()[0], "20.0");
    play.settle("0").settle("360");
    assert_eq!(
        (play.current(), play.poured()[0].as_str()),
        (Some(1), "60.0")
    );
    play.check();
}

#[test]
fn a_much_lighter_bottle_is_asked_about() {
    for (answer, poured) in [(Answer::No, "0.0"), (Answer::Yes, "200.0")] {
        let mut play = Play::open(vec![out("base", 60), out("colour", 40)]);
        play.settle("0").settle("300").settle("0").settle("100");
        assert_eq!(
            play.session.book().question(),
            Some(&Question::BottleLighter {
                before: mass("300"),
                after: mass("100")
            })
        );
        assert_eq!(play.poured()[0], "0.0");
        play.say(Command::Answer(answer));
        assert_eq!(play.poured()[0], poured);
        play.check();
    }
}

#[test]
fn a_lid_laid_beside_the_bottle_and_taken_off_again_is_no_pour() {
    let mut play = Play::open(vec![out("base", 60), out("colour", 40)]);
    play.settle("0").settle("300").settle("303").settle("300");
    assert_eq!(play.poured()[0], "0.0");
    play.settle("0").settle("240");
    assert_eq!(play.current(), Some(1));
    play.check();
}

#[test]
fn what_is_filled_into_a_cup_and_poured_into_the_jar_leaves_its_heel_there() {
    let mut play = Play::open(vec![out("base", 20), out("colour", 80)]);
    play.settle("0").settle("3.0");
    play.settle_by("23.1", Change::Gradual);
    assert_eq!(play.poured()[0], "0.0", "it is in the cup");
    play.settle("0").settle("3.4");
    assert_eq!(
        (play.current(), play.poured()[0].as_str()),
        (Some(1), "19.7")
    );
    let cup = Vessel::Cup("a cup of base".to_owned());
    assert_eq!(gained(&play, &cup), "0.4");
    assert_eq!(gained(&play, &shelf("base")), "-20.1");
    assert_eq!(gained(&play, &Vessel::Jar), "19.7");
    play.check();
}

#[test]
fn too_much_out_of_the_bottle_has_the_same_ways_out() {
    let mut play = Play::open(vec![out("a", 50), out("b", 30), out("c", 15), out("d", 5)]);
    play.settle("0").settle("300").settle("0").settle("246");
    assert_eq!(play.targets(), ["50.0", "32.4", "16.2", "5.4"]);
    assert_eq!(play.current(), Some(1));
    play.check();
}

#[test]
fn the_jar_is_known_when_it_comes_back() {
    let mut play = Play::with_jar(vec![add("base", 50), out("glue", 30), add("colour", 20)]);
    play.settle("100");
    assert_eq!(play.session.bottle_now(), Some(BottleNow::SetJarAside));
    play.settle("0");
    assert_eq!(play.session.bottle_now(), Some(BottleNow::Put));
    play.settle("200").settle("0").settle("170.1");
    assert_eq!(play.current(), Some(2));
    play.settle("0").settle("130.0");
    assert_eq!(play.session.book().jar(), JarPlace::OnPan);
    assert_eq!(
        play.poured()[2],
        "0.0",
        "the scale's own difference is no colour"
    );
    play.settle("150.0");
    assert_eq!(play.session.book().state(), BatchState::Complete);
    assert_eq!(play.poured(), ["50.0", "29.9", "20.0"]);
    play.check();
}

#[test]
fn a_jar_that_was_never_weighed_may_come_to_the_pan_later() {
    let mut play = Play::open(vec![add("base", 50), add("colour", 50)]);
    play.settle("0").say(Command::WeighOut).settle("300");
    play.settle("0").settle("250");
    assert_eq!(play.current(), Some(1));
    play.settle("0").say(Command::WeighIn).settle("120");
    assert_eq!(play.session.book().jar(), JarPlace::OnPan);
    assert_eq!(play.session.book().tare(), mass("70"));
    play.settle("170");
    assert_eq!(play.poured(), ["50.0", "50.0"]);
    play.check();
}

#[test]
fn the_person_chooses_at_any_addition_and_takes_it_back() {
    let mut play = Play::with_jar(vec![add("base", 60), stir(5), add("colour", 40)]);
    play.settle("80").say(Command::WeighOut);
    assert_eq!(play.session.bottle_now(), Some(BottleNow::SetJarAside));
    play.settle("0").settle("200").settle("0").settle("180");
    assert_eq!(play.poured()[0], "50.0");
    play.say(Command::WeighIn);
    play.settle("0").settle("100").settle("110");
    assert_eq!(
        (play.current(), play.poured()[0].as_str()),
        (Some(1), "60.0")
    );
    play.say(Command::WeighOut);
    assert_eq!(play.refusals, [Refusal::NothingPoured]);
    play.check();
}

#[test]
fn a_bottle_in_the_hand_must_come_back_before_the_step_can_end() {
    let mut play = Play::open(vec![out("base", 60), out("colour", 40)]);
    play.settle("0").settle("300").settle("0");
    play.say(Command::Next)
        .say(Command::RanOut)
        .say(Command::WeighIn);
    assert_eq!(play.refusals, [Refusal::BottleAway; 3]);
    play.settle("260").say(Command::Next);
    assert_eq!(
        play.session.book().task(TaskId(0)).unwrap().verdict,
        Some(Verdict::Shortfall)
    );
    play.check();
}

#[test]
fn what_left_the_bottle_in_a_gap_is_booked_unseen() {
    let mut play = Play::open(vec![out("base", 60), out("colour", 40)]);
    play.settle("0").settle("300");
    play.fact(Fact::Lost).fact(Fact::Back {
        zero: Zero::Trusted,
    });
    play.settle("250");
    assert_eq!(play.poured()[0], "50.0");
    assert!(play.journal.iter().any(|record| matches!(
        record.entry,
        Entry::PouredOut {
            seen: Seen::Unseen,
            ..
        }
    )));
    play.check();
}

#[test]
fn a_scale_that_lost_its_zero_finds_it_with_the_empty_pan() {
    let mut play = Play::open(vec![out("base", 60), out("colour", 40)]);
    play.settle("0").settle("300");
    // It was switched off and on again with the bottle on it, and 20 g less in it.
    play.fact(Fact::Lost).fact(Fact::Back {
        zero: Zero::Suspect,
    });
    play.settle("0").settle("-280").settle("-40");
    assert_eq!(play.poured()[0], "60.0");
    assert_eq!(play.current(), Some(1));
    play.check();
}

#[test]
fn the_tare_key_under_a_bottle_moves_the_numbers_and_nothing_else() {
    let mut play = Play::open(vec![out("base", 60), out("colour", 40)]);
    play.settle("0").settle("300").settle("0");
    play.say(Command::Tared);
    assert_eq!(play.session.bottle_now(), Some(BottleNow::Pour));
    play.settle_by("-60", Change::Gradual);
    assert_eq!(
        (play.current(), play.poured()[0].as_str()),
        (Some(1), "60.0")
    );
    play.check();
}

#[test]
fn undo_reopens_a_step_that_was_weighed_out_and_nothing_is_booked_twice() {
    let mut play = Play::open(vec![out("base", 60), out("colour", 40)]);
    play.settle("0").settle("300").settle("0").settle("240");
    play.say(Command::Undo);
    assert_eq!(play.current(), Some(0));
    play.settle("0").settle("238").say(Command::Next);
    assert_eq!(play.poured()[0], "62.0");
    play.check();
}

#[test]
fn a_bottle_as_heavy_as_the_jar_can_be_named() {
    let mut play = Play::with_jar(vec![add("base", 60), out("colour", 40)]);
    play.settle("110").settle("0").settle("110");
    assert_eq!(play.session.bottle_now(), Some(BottleNow::SetJarAside));
    play.say(Command::WeighOut);
    assert_eq!(play.session.bottle_now(), Some(BottleNow::Pour));
    play.settle("0").settle("70");
    assert_eq!(play.session.book().state(), BatchState::Complete);
    assert_eq!(play.poured(), ["60.0", "40.0"]);
    play.check();
}

#[test]
fn all_of_a_cup_comes_out_of_that_cup() {
    let whole = |origin| {
        StepKind::Add(Addition {
            ingredient: Ingredient {
                origin,
                ..Ingredient::by_name("paste")
            },
            amount: Amount::Whole {
                vessel: "the paste cup".to_owned(),
            },
            weigh: Weigh::Jar,
        })
    };
    let cup = Vessel::Cup("the paste cup".to_owned());
    for (origin, from) in [
        (Origin::Name, cup.clone()),
        (Origin::Premix, cup),
        (Origin::Shelf, shelf("paste")),
    ] {
        let mut play = Play::with_jar(vec![whole(origin), add("base", 100)]);
        play.settle("62").say(Command::Next);
        assert_eq!(gained(&play, &from), "-12.0");
        play.check();
    }
}
