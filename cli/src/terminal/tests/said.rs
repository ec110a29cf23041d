//! What the screen says beside the figures.

use std::time::Duration;

use super::super::keys::command;
use super::super::scene::{Asking, Link, Weight};
use super::super::style::TYPED;
use super::shot::Shot;
use super::views::{batch, empty, overshoot, pouring, weight};
use tarehand_protocol::api::{
    CommandRequest, CommandWord, ConcernLine, ConcernSaid, Doing, TapsHeard, View, WeightState,
};

#[test]
fn what_to_know_is_said_before_the_first_gram() {
    let mut view = batch(Doing::PutJar);
    view.concerns = vec![ConcernLine::remark(
        "Glide additive: 0.135 g cannot be weighed on a division of 0.1 g".to_owned(),
        vec!["count 5 drops".to_owned(), "make more".to_owned()],
    )];
    let text = Shot::new(view, Some(weight(0.0))).text(80, 24);
    let text = text.replace("\n|", " ");
    assert!(
        text.contains("! Glide additive: 0.135 g cannot be weighed"),
        "{text}"
    );
    assert!(text.contains("(or: count 5 drops; make more)"), "{text}");
}

#[test]
fn that_it_may_be_the_wrong_jar_is_said_as_long_as_nothing_is_in_it() {
    let mut view = pouring();
    let mut unlike = ConcernLine::remark("it weighs 5.7 g less".to_owned(), Vec::new());
    unlike.concern = Some(ConcernSaid::UnlikeItsRecord {
        jar: "Lagoon round, 8KER7".to_owned(),
        off_g: -5.7,
        should_g: 145.7,
    });
    view.concerns = vec![unlike];
    for step in &mut view.steps {
        step.poured_g = None;
    }
    let said = |view: &View| {
        let shot = Shot::new(view.clone(), Some(weight(0.0)));
        shot.text(80, 24).contains("! it weighs 5.7 g less")
    };
    assert!(said(&view));
    view.steps[0].poured_g = Some(12.0);
    assert!(!said(&view));
}

#[test]
fn it_can_be_typed_where_it_cannot_be_drawn() {
    let mut shot = Shot::new(pouring(), Some(weight(63.4)));
    shot.marks = &TYPED;
    let text = shot.text(80, 24);
    assert!(text.is_ascii(), "{text}");
}

#[test]
fn a_service_that_is_away_shows_no_live_weight() {
    let mut shot = Shot::new(pouring(), Some(weight(20.3)));
    shot.link = Link::Away(Duration::from_secs(3));
    let text = shot.text(80, 24);
    assert!(text.contains("has not answered for 3 s"), "{text}");
    assert!(
        text.contains("no weight: the last, 153.9 g, is 0.0 s old"),
        "{text}"
    );
}

#[track_caller]
fn check_stale(age_ms: u64, rate_hz: Option<f64>, stale: bool) {
    let mut view = pouring();
    if let Some(scale) = &mut view.scale {
        scale.rate_hz = rate_hz;
    }
    let now = weight(1.0);
    let weight = Weight { now: &now, age_ms };
    assert_eq!(
        weight.is_stale(&view),
        stale,
        "{age_ms} ms at {rate_hz:?} Hz"
    );
}

// Silent is 1.5 s or three periods of that scale, whichever is longer.
#[test]
fn a_weight_is_stale_after_one_and_a_half_seconds_or_three_periods() {
    check_stale(1_500, Some(10.0), false);
    check_stale(1_501, Some(10.0), true);
    check_stale(5_900, Some(0.5), false);
    check_stale(6_001, Some(0.5), true);
    check_stale(1_501, None, true);
    check_stale(1_501, Some(0.0), true);
}

#[test]
fn an_overloaded_scale_is_a_state_and_no_number() {
    let mut over = weight(0.0);
    over.state = WeightState::Over;
    over.gross_g = None;
    over.net_g = None;
    let text = Shot::new(pouring(), Some(over)).text(80, 24);
    assert!(text.contains("overload: no weight"), "{text}");
}

#[test]
fn the_screen_asks_before_a_batch_is_given_up() {
    let mut shot = Shot::new(pouring(), Some(weight(20.3)));
    shot.asking = Asking::GiveUp;
    assert!(shot.text(80, 24).contains("Give this batch up?"));
    shot.asking = Asking::Trail("2.5".to_owned());
    assert!(shot.text(80, 24).contains("trail in seconds: 2.5_"));
}

#[test]
fn what_the_author_remarks_of_a_step_stands_below_the_call() {
    let mut view = pouring();
    view.steps[2].note = Some("tubes differ: stop when it goes warm".to_owned());
    let text = Shot::new(view, Some(weight(20.3))).text(80, 24);
    assert!(
        text.contains("|tubes differ: stop when it goes warm\n"),
        "{text}"
    );
}

#[test]
fn how_to_tap_the_pan_is_said_where_something_waits() {
    let once = command(CommandWord::Next);
    let mut view = batch(Doing::Look {
        step: 5,
        expect: "one even blue".to_owned(),
    });
    let silent = Shot::new(view.clone(), None).text(80, 24);
    assert!(!silent.contains("tap"), "{silent}");
    view.taps = Some(TapsHeard {
        once: once.clone(),
        twice: Some(command(CommandWord::Undo)),
    });
    let told = Shot::new(view, None).text(80, 24);
    assert!(
        told.contains("|or tap the pan: once next, twice undo\n"),
        "{told}"
    );
    let mut asked = overshoot();
    asked.taps = Some(TapsHeard {
        once: CommandRequest {
            option: Some(1),
            ..command(CommandWord::Answer)
        },
        twice: None,
    });
    let told = Shot::new(asked, None).text(80, 24);
    assert!(told.contains("|or tap the pan once: number 1\n"), "{told}");
}

#[test]
fn every_size_is_filled_and_none_overflows() {
    for view in [empty(), pouring(), overshoot(), batch(Doing::PutJar)] {
        let shot = Shot::new(view, Some(weight(63.4)));
        for (columns, rows) in [(1, 1), (8, 3), (20, 10), (40, 12), (120, 40), (300, 100)] {
            shot.lines(columns, rows);
        }
    }
}

#[test]
fn a_high_screen_shows_digits_twice_as_high() {
    let shot = Shot::new(pouring(), Some(weight(20.3)));
    let high = |rows| {
        let lines = shot.lines(120, rows);
        lines
            .iter()
            .filter(|line| line.text().contains("███"))
            .count()
    };
    assert!(2 * high(24) <= high(50) + 1);
}

#[test]
fn a_name_from_a_file_cannot_steer_the_terminal() {
    let mut view = pouring();
    view.recipe = Some("grey\u{1b}[2J".to_owned());
    let text = Shot::new(view, None).text(80, 24);
    assert!(!text.contains('\u{1b}'));
}
