//! A mix that is too thin, and the ways out of it.

use proptest::prelude::*;

use super::*;
use crate::procedure::Premix;
use crate::trail::Unthinned;

fn thin(wanted_s: f64, at_most: Option<&str>) -> StepKind {
    StepKind::Thin {
        with: Ingredient::by_name("water"),
        by: mass("2"),
        at_most: at_most.map(mass),
        wanted_s: Some(wanted_s),
        weigh: Weigh::Jar,
    }
}

/// A jar of 60 g base and 40 g colour that was thinned with 10 g too far: 3 s are wanted.
///
/// Half of the way down in the logarithm is wanted: half of 10/110, so 10/.04545 − 110 = 110 g (computed by hand).
fn too_thin() -> Play {
    let steps = vec![add("base", 60), add("colour", 40), thin(3.0, Some("20"))];
    let mut play = Play::with_jar(steps);
    play.settle("110").settle("150");
    play.say(Command::Trail(6.0))
        .settle("160")
        .say(Command::Trail(1.5));
    play
}

/// Pours the current task to its target, to the scale's division.
fn pour_it(play: &mut Play) {
    let book = play.session.book();
    let task = book.current().expect("a task runs");
    let gross = book.last() + task.target.expect("it has a target") - task.poured;
    play.settle(&gross.grams_text(6));
}

#[track_caller]
fn content(play: &Play) -> Vec<String> {
    let book = play.session.book();
    let all = book.contents().into_iter();
    all.map(|(ingredient, mass)| format!("{} {}", ingredient.key, mass.grams_text(1)))
        .collect()
}

#[test]
fn what_brings_it_back_is_asked_with_the_ways_and_their_consequences() {
    let play = too_thin();
    assert_eq!(play.session.book().state(), BatchState::Held);
    let unthinned = Unthinned::Told(mass("110"));
    assert_eq!(
        play.session.thin_now(),
        Some(ThinNow::TooThin { unthinned })
    );
    use RescueKind::{Accept, ReadyMade, Unthinned as More};
    assert_eq!(play.offered(), [More, ReadyMade, Accept]);
    let option = play.option(More);
    let pours: Vec<String> = option
        .pours
        .iter()
        .map(|pour| format!("{} {}", pour.key, pour.mass.grams_text(1)))
        .collect();
    assert_eq!(pours, ["base 66.0", "colour 44.0"]);
    assert_eq!(option.total, mass("210"));
    assert!(option.within);
    assert_eq!(play.option(ReadyMade).pours[0].mass, mass("110"));
    play.check();
}

#[test]
fn more_of_the_mix_comes_before_the_thinning_goes_on_and_the_jar_is_measured_anew() {
    let mut play = too_thin();
    play.say(Command::Next);
    assert_eq!(play.session.book().planned(), mass("210"));
    assert_eq!(play.current(), Some(3));
    pour_it(&mut play);
    assert_eq!(play.current(), Some(4));
    pour_it(&mut play);
    assert_eq!(play.current(), Some(2), "the thinning goes on");
    assert_eq!(content(&play), ["base 126.0", "colour 84.0", "water 10.0"]);
    assert_eq!(play.session.book().trails().len(), 2, "they stay usable");
    assert_eq!(play.session.thin_now(), Some(ThinNow::Measure));
    play.say(Command::Trail(4.0));
    let Some(ThinNow::Splash { until, .. }) = play.session.thin_now() else {
        panic!("a splash is advised");
    };
    assert!(mass("10") < until, "{until}");
    play.say(Command::Trail(3.0));
    assert_eq!(play.session.book().state(), BatchState::Complete);
    play.check();
}

#[test]
fn the_most_thinner_is_that_of_the_larger_jar() {
    let mut play = too_thin();
    play.say(Command::Next);
    let book = play.session.book();
    let thinning = book.task(TaskId(2)).expect("it is there");
    // 20 g were for 100 g; these are 210 g.
    assert_eq!(book.most_thinner(thinning), Some(mass("42")));
    play.check();
}

#[test]
fn a_little_more_of_the_mix_is_within_the_limits_and_can_be_taken_back() {
    let mut play = Play::with_jar(vec![add("base", 60), add("colour", 40), thin(60.0, None)]);
    play.settle("110")
        .settle("150")
        .say(Command::Trail(600.0))
        .settle("160")
        .say(Command::Trail(50.0));
    // ln 12 = 2.485 for 1/11 and ln 10 = 2.303: 10/.08424 − 110 = 8.7 g (computed by hand).
    assert_eq!(play.session.book().state(), BatchState::Running);
    assert_eq!(play.current(), Some(3));
    assert_eq!(play.session.book().planned(), mass("108.7"));
    assert!(
        play.cues
            .iter()
            .any(|cue| matches!(cue, Cue::Rescued { .. }))
    );
    play.check();
    play.say(Command::Undo);
    assert_eq!(play.session.book().planned(), mass("100"));
    assert_eq!(play.offered()[0], RescueKind::Unthinned);
    play.check();
}

#[test]
fn the_same_mix_from_another_jar_is_one_pour() {
    let mut play = too_thin();
    play.choose(RescueKind::ReadyMade);
    assert_eq!(play.current(), Some(3));
    pour_it(&mut play);
    assert_eq!(play.current(), Some(2));
    let poured = ["base 60.0", "colour 40.0", "water 10.0", "test 110.0"];
    assert_eq!(content(&play), poured);
    assert!(!play.session.is_off_ratio());
    assert_eq!(play.session.book().planned(), mass("210"));
    assert_eq!(play.session.book().trails().len(), 2, "it is the same mix");
    play.say(Command::Trail(3.0));
    assert_eq!(play.session.book().state(), BatchState::Complete);
    play.check();
}

#[test]
fn it_is_left_so_and_that_is_taken_back_for_another_way() {
    let mut play = too_thin();
    play.choose(RescueKind::Accept);
    assert_eq!(play.session.book().state(), BatchState::Complete);
    play.check();

    let mut play = Play::with_jar(vec![add("base", 100), thin(3.0, None), look()]);
    play.settle("150")
        .say(Command::Trail(6.0))
        .settle("160")
        .say(Command::Trail(1.5));
    play.choose(RescueKind::Accept);
    assert_eq!(play.current(), Some(2));
    play.say(Command::Undo);
    play.choose(RescueKind::Unthinned);
    pour_it(&mut play);
    assert_eq!(play.current(), Some(1), "the thinning is open again");
    play.say(Command::Trail(3.0));
    assert_eq!(play.current(), Some(2));
    play.check();
}

#[test]
fn an_undo_of_more_mix_asks_again_and_what_was_poured_stays_poured() {
    let mut play = too_thin();
    play.say(Command::Next).say(Command::Undo);
    assert_eq!(play.session.book().planned(), mass("100"));
    assert_eq!(play.offered()[0], RescueKind::Unthinned);
    play.say(Command::Next).settle("190").say(Command::Undo);
    // 30 g of base alone are off the ratio: that comes first.
    assert_eq!(content(&play), ["base 90.0", "colour 40.0", "water 10.0"]);
    assert!(matches!(
        play.session.book().question(),
        Some(Question::OffRatio { .. })
    ));
    play.check();
}

#[test]
fn a_trail_measured_again_answers_the_question() {
    let mut play = too_thin();
    play.say(Command::Trail(1.6));
    assert_eq!(play.offered()[0], RescueKind::Unthinned);
    play.say(Command::Trail(3.1));
    assert_eq!(play.session.book().question(), None);
    assert_eq!(play.session.book().state(), BatchState::Complete);
    play.check();
}

#[test]
fn a_spill_comes_first_and_the_question_is_asked_again() {
    let mut play = too_thin();
    play.settle("130");
    assert!(matches!(
        play.session.book().question(),
        Some(Question::Lighter { .. })
    ));
    play.say(Command::Answer(Answer::No));
    assert_eq!(play.offered()[0], RescueKind::Unthinned);
    play.check();
}

#[test]
fn more_thinner_while_it_is_asked_is_booked_and_the_ways_are_worked_out_anew() {
    let mut play = too_thin();
    play.settle("165");
    // 15 of 115 g at the line's .04545: 330 − 115 = 215 g (computed by hand).
    assert_eq!(play.option(RescueKind::Unthinned).total, mass("315"));
    play.check();
}

#[test]
fn a_mix_too_thin_without_thinner_can_only_be_left_so() {
    let mut play = Play::with_jar(vec![add("base", 100), thin(3.0, None)]);
    play.settle("150").say(Command::Trail(1.0));
    assert_eq!(play.offered(), [RescueKind::Accept]);
    play.say(Command::Next);
    assert_eq!(play.session.book().state(), BatchState::Complete);
    play.check();
}

#[test]
fn a_premix_stays_a_premix_and_what_is_still_to_come_grows() {
    let mut recipe = procedure(vec![add("medium", 50), thin(3.0, None), add("colour", 50)]);
    recipe.premixes.push(Premix {
        key: "medium".to_owned(),
        parts: vec![
            (Ingredient::by_name("varnish"), Ratio::new(4, 5)),
            (Ingredient::by_name("oil"), Ratio::new(1, 5)),
        ],
    });
    let mut play = Play::of(recipe);
    play.settle("0").settle("50").settle("100");
    play.say(Command::Trail(6.0))
        .settle("105")
        .say(Command::Trail(1.5));
    // Half of 5/55: 55 g of what is in already, the medium; the colour comes later and grows as well.
    play.choose(RescueKind::Unthinned);
    assert_eq!(play.targets(), ["50.0", "55.0", "105.0"]);
    pour_it(&mut play);
    assert_eq!(play.current(), Some(1));
    play.say(Command::Trail(3.0));
    pour_it(&mut play);
    assert_eq!(play.session.book().state(), BatchState::Complete);
    assert_eq!(
        content(&play),
        ["medium 105.0", "water 5.0", "colour 105.0"]
    );
    play.check();
}

#[test]
fn a_jar_that_cannot_hold_it_says_so_and_proposes_to_leave_it() {
    let mut recipe = procedure(vec![add("base", 100), thin(3.0, None)]);
    recipe.jar_ul = Some(150_000);
    let mut play = Play::of(recipe);
    play.settle("0").settle("50").settle("150");
    play.say(Command::Trail(6.0))
        .settle("160")
        .say(Command::Trail(1.5));
    assert_eq!(play.offered()[0], RescueKind::Accept);
    assert!(play.option(RescueKind::Unthinned).obstacle.is_some());
    play.check();
}

proptest! {
    /// The ratio without thinner is the recipe's again, as far as the weighing allows.
    #[test]
    fn after_more_of_the_mix_the_ratio_without_thinner_is_the_recipes(
        parts in prop::collection::vec(5_i64..40, 2..5),
        off_thousandths in prop::collection::vec(-18_i64..18, 4),
        water in 20_i64..400,
        trails in (8.0_f64..40.0, 0.3_f64..0.85),
    ) {
        let sum: i64 = parts.iter().sum();
        let keys = ["a", "b", "c", "d"];
        let planned = Mass::from_grams(100);
        let steps = parts.iter().zip(keys).map(|(part, key)| {
            let share = Ratio::new(*part, sum);
            StepKind::Add(Addition {
                ingredient: Ingredient::by_name(key),
                amount: Amount::Weighed {
                    target: (&share * &Ratio::from_mass(planned)).to_mass(),
                    share,
                    within: Within::Fraction(Ratio::new(2, 100)),
                }, weigh: Weigh::Jar, })
        });
        let wanted = trails.0 * 0.6;
        let mut play = Play::with_jar(steps.chain([thin(wanted, None)]).collect());
        let division = mass("0.1");
        for off in off_thousandths.iter().take(parts.len()) {
            let book = play.session.book();
            let target = book.current().and_then(|task| task.target).expect("a pour");
            let off = Mass::from_micrograms(target.micrograms() / 1_000 * off);
            let gross = (book.last() + target + off).rounded_to(division);
            play.settle(&gross.grams_text(6));
            // A slip of rounding is no matter of this test.
            prop_assume!(play.session.book().question().is_none());
        }
        let thinning = TaskId(u32::try_from(parts.len()).expect("few"));
        prop_assume!(play.current() == Some(thinning.0));
        let before = play.session.book().last();
        play.say(Command::Trail(trails.0));
        play.settle(&(before + Mass::from_milligrams(water * 100)).grams_text(6));
        play.say(Command::Trail(wanted * trails.1));
        if play.session.book().question().is_some() {
            prop_assert_eq!(play.offered()[0], RescueKind::Unthinned);
            play.say(Command::Next);
        }
        while play.session.book().current().is_some_and(|task| task.id != thinning) {
            let book = play.session.book();
            let task = book.current().expect("a task runs");
            let gross = (book.last() + task.target.expect("a pour") - task.poured).rounded_to(division);
            play.settle(&gross.grams_text(6));
        }
        let book = play.session.book();
        let all = book.contents();
        let mix: Mass = all.iter().filter(|(one, _)| one.key != "water").map(|(_, mass)| *mass).sum();
        prop_assert!(mass("100") < mix);
        // Every pour is rounded to the division once, and one below what is worth weighing is left out.
        let allowed = division + division;
        for (part, key) in parts.iter().zip(keys) {
            let is = all.iter().find(|(one, _)| one.key == key).map_or(Mass::ZERO, |(_, mass)| *mass);
            let should = (&Ratio::new(*part, sum) * &Ratio::from_mass(mix)).to_mass();
            prop_assert!((is - should).abs() <= allowed, "{key}: {is} for {should} of {mix}");
        }
        play.check();
    }
}
