//! Thinning as a measured loop: splash, trail, splash.

use super::*;
use crate::trail::{Basis, Reason};

fn thin(wanted_s: f64, at_most: Option<&str>) -> StepKind {
    StepKind::Thin {
        with: Ingredient::by_name("water"),
        by: mass("2"),
        at_most: at_most.map(mass),
        wanted_s: Some(wanted_s),
        weigh: Weigh::Jar,
    }
}

/// A jar of 100 g, at its thinning step.
fn thinning(wanted_s: f64, at_most: Option<&str>) -> Play {
    let mut play = Play::with_jar(vec![add("base", 100), thin(wanted_s, at_most)]);
    play.settle("150");
    assert_eq!(play.current(), Some(1));
    play
}

fn until(play: &Play) -> Option<String> {
    play.session.stop_at().map(|mass| mass.grams_text(1))
}

#[test]
fn the_next_splash_comes_from_the_trails_of_this_jar() {
    let mut play = thinning(3.0, Some("20"));
    assert_eq!(until(&play).as_deref(), Some("2.0"), "the recipe's splash");
    play.say(Command::Trail(9.0)).settle("152");
    assert_eq!(play.session.thin_now(), Some(ThinNow::Measure));
    play.say(Command::Trail(7.5));
    // ln 9 falls by .1823 for 2 of 102 g: slope 9.30, spread .237; ln(7.5/3) is .0986 of the jar away, four fifths
    // over 1.237 of it 6.37 %, (.0833 × 102 − 2)/(1 − .0833) = 7.1 g, and three splashes are 6 (computed by hand).
    let Some(ThinNow::Splash { until, reason }) = play.session.thin_now() else {
        panic!("a splash is advised");
    };
    assert_eq!(until, mass("8"));
    assert!(matches!(
        reason,
        Reason::Trails {
            basis: Basis::ThisJar { points: 2 },
            ..
        }
    ));
    play.settle("155");
    assert_eq!(
        play.session.stop_at(),
        Some(mass("8")),
        "half a splash moves no target"
    );
    play.settle("158").say(Command::Trail(3.4));
    assert_eq!(play.session.book().state(), BatchState::Complete);
    play.check();
}

#[test]
fn earlier_batches_size_the_first_splash_and_survive_a_restart() {
    let mut play = Play::open(vec![add("base", 100), thin(3.0, Some("20"))]);
    play.input(Input::EarlierThinning(vec![
        40.0,
        f64::NAN,
        44.000_04,
        -1.0,
    ]));
    play.settle("0")
        .settle("50")
        .settle("150")
        .say(Command::Trail(4.0));
    let Some(ThinNow::Splash { until, reason }) = play.session.thin_now() else {
        panic!("a splash is advised");
    };
    // ln(4/3)/42 of the jar would be .69 g.
    assert!(Mass::ZERO < until && until < mass("0.7"), "{until}");
    assert!(matches!(
        reason,
        Reason::Trails {
            basis: Basis::EarlierBatches { batches: 2 },
            ..
        }
    ));
    let rebuilt = Session::rebuild(&play.journal).unwrap();
    assert_eq!(rebuilt.thin_now(), play.session.thin_now());
    play.check();
}

#[test]
fn the_most_being_in_is_said_and_never_aimed_past() {
    let mut play = thinning(3.0, Some("3"));
    play.say(Command::Trail(9.0))
        .settle("152")
        .say(Command::Trail(8.0));
    assert_eq!(until(&play).as_deref(), Some("3.0"));
    play.settle("153").say(Command::Trail(7.0));
    assert_eq!(play.session.thin_now(), Some(ThinNow::AtMost));
    assert_eq!(until(&play).as_deref(), Some("3.0"));
    play.check();
}

#[test]
fn a_trail_before_the_last_ingredient_is_of_another_mix() {
    let mut play = Play::with_jar(vec![add("base", 60), add("colour", 40), thin(3.0, None)]);
    play.settle("110").say(Command::Trail(20.0));
    assert_eq!(play.session.book().trails().len(), 1);
    play.settle("150");
    assert_eq!(play.session.book().trails(), []);
    assert!(play.kinds().contains(&"trail"), "it stays in the record");
    play.check();
}

#[test]
fn a_trail_said_while_the_splash_settles_is_of_the_jar_with_the_splash() {
    let mut play = thinning(3.0, None);
    play.fact(live("151.5", 1.0)).say(Command::Trail(7.0));
    assert_eq!(play.session.book().trails(), []);
    play.settle("152");
    let trails = play.session.book().trails();
    assert_eq!(trails.len(), 1);
    assert_eq!(trails[0].thinner, mass("2"));
    play.check();
}

#[test]
fn two_taps_time_a_trail_on_the_benchs_clock() {
    let mut play = thinning(3.0, None);
    play.say(Command::TrailStop);
    assert_eq!(play.refusals, [Refusal::NotTiming]);
    play.say(Command::TrailStart).wait(2_000);
    assert!(play.session.times_trail());
    // The line was drawn again.
    play.say(Command::TrailStart)
        .wait(8_240)
        .say(Command::TrailStop);
    assert!(!play.session.times_trail());
    let trail = play.journal.last().unwrap().entry.clone();
    assert_eq!(
        trail,
        Entry::Trail {
            task: TaskId(1),
            seconds: 8.2,
            jar: Some(JarThen {
                thinner: Mass::ZERO,
                total: mass("100"),
            }),
            taken: Taken::Tapped,
        }
    );
    play.check();
}

#[test]
fn a_flow_cup_is_written_down_and_is_no_trail() {
    let mut play = thinning(60.0, None);
    play.say(Command::FlowTimed("60 s iso-4".parse().unwrap()));
    assert_eq!(play.current(), Some(1));
    assert_eq!(play.session.book().trails(), []);
    let text = serde_json::to_string(&play.journal.last().unwrap().entry).unwrap();
    assert!(
        text.contains(r#""cup":"iso-4","seconds":60.0,"viscosity_mm2_s":78.866"#),
        "{text}"
    );
    play.check();
}

#[test]
fn a_trail_of_an_old_journal_is_still_read() {
    let old = r#"{"what":"trail","task":1,"seconds":4.5}"#;
    assert_eq!(
        serde_json::from_str::<Entry>(old).unwrap(),
        Entry::Trail {
            task: TaskId(1),
            seconds: 4.5,
            jar: None,
            taken: Taken::Said,
        }
    );
}

#[test]
fn a_batch_that_goes_on_after_its_thinning_still_tells_how_it_answered_to_thinner() {
    let slope = |steps: Vec<StepKind>, end: &[&str]| {
        let mut play = Play::with_jar(steps);
        play.settle("110")
            .say(Command::Trail(8.0))
            .settle("115")
            .say(Command::Trail(4.0));
        play.say(Command::Next);
        for gross in end {
            play.settle(gross);
        }
        assert_eq!(play.session.book().state(), BatchState::Complete);
        play.check();
        thinning_slope(&play.journal).expect("two trails tell it")
    };
    let whole = vec![add("base", 60), thin(1.0, None)];
    let goes_on = vec![add("base", 60), thin(1.0, None), add("colour", 40)];
    let plain = slope(whole, &[]);
    // ln 2 for 5 of 65 g (computed by hand).
    assert!((plain - 9.011).abs() < 0.001, "{plain}");
    let longer = slope(goes_on, &["155"]);
    assert_eq!(longer.to_bits(), plain.to_bits());
}
