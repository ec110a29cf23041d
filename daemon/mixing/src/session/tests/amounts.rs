//! What is not simply weighed: ranges, counts, by eye, whole vessels, thinning.

use super::*;
use crate::procedure::CountUnit;

fn of(key: &str, amount: Amount) -> StepKind {
    StepKind::Add(Addition {
        ingredient: Ingredient::by_name(key),
        amount,
        weigh: Weigh::Jar,
    })
}

fn verdict(play: &Play, task: u32) -> Option<Verdict> {
    play.session.book().task(TaskId(task)).unwrap().verdict
}

#[test]
fn a_range_is_its_own_tolerance() {
    let range = Amount::Range {
        low: mass("4"),
        high: mass("7"),
    };
    for (gross, expect) in [
        ("53.5", None),
        ("54", Some(Verdict::Within)),
        ("57.08", Some(Verdict::Within)),
    ] {
        let mut play = Play::with_jar(vec![of("a", range.clone()), add("b", 100)]);
        play.settle(gross).wait(2_000);
        assert_eq!(verdict(&play, 0), expect, "at {gross}");
        play.check();
    }
    let mut play = Play::with_jar(vec![of("a", range), add("b", 100)]);
    play.settle("58");
    assert_eq!(verdict(&play, 0), Some(Verdict::Overshoot));
    assert_eq!(
        (play.current(), play.targets()),
        (Some(1), vec!["100.0".to_owned()]),
        "outside the ratio there is nothing to rescue"
    );
    play.check();
}

#[test]
fn a_count_is_finished_by_the_person_and_judged_only_where_the_recipe_says_how() {
    for (within, expect) in [
        (None, Verdict::Recorded),
        (Some(Within::Mass(mass("1"))), Verdict::Overshoot),
    ] {
        let count = Amount::Counted {
            share: Ratio::new(1, 2),
            unit: CountUnit::Teaspoon,
            each: mass("5"),
            expected: mass("50"),
            within,
        };
        let mut play = Play::with_jar(vec![of("a", count), add("b", 50)]);
        play.settle("104").wait(60_000);
        assert_eq!(verdict(&play, 0), None, "the count completes the step");
        play.say(Command::Next);
        assert_eq!(verdict(&play, 0), Some(expect));
        play.check();
    }
}

#[test]
fn by_eye_and_whole_vessels_are_recorded_whatever_they_weigh() {
    let whole = Amount::Whole {
        vessel: "the paste cup".to_owned(),
    };
    for amount in [Amount::ByEye, whole] {
        let mut play = Play::with_jar(vec![of("a", amount), add("b", 100)]);
        play.lift().settle("0").settle("50");
        assert_eq!(
            play.current(),
            Some(0),
            "nothing in it yet: nothing is confirmed"
        );
        play.settle("83").lift().settle("0").settle("83");
        assert_eq!(verdict(&play, 0), Some(Verdict::Recorded));
        assert_eq!(play.poured()[0], "33.0");
        play.check();
    }
}

#[test]
fn thinning_asks_about_unseen_water_beyond_its_most() {
    let thin = StepKind::Thin {
        with: Ingredient::by_name("water"),
        by: mass("1.5"),
        at_most: Some(mass("9")),
        wanted_s: Some(3.0),
        weigh: Weigh::Jar,
    };
    let mut play = Play::with_jar(vec![add("a", 100), thin]);
    play.settle("150");
    assert_eq!(play.session.stop_at(), Some(mass("1.5")));
    play.settle("158");
    assert_eq!(
        play.session.stop_at(),
        Some(mass("9")),
        "never beyond the most"
    );
    play.fact(Fact::Lost)
        .fact(Fact::Back {
            zero: Zero::Trusted,
        })
        .settle("160");
    assert!(matches!(
        play.session.book().question(),
        Some(Question::PouredUnseen { .. })
    ));
    play.say(Command::Answer(Answer::Yes))
        .say(Command::Trail(2.8));
    assert_eq!(play.session.book().state(), BatchState::Complete);
    play.check();
}
