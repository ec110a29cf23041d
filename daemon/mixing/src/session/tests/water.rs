//! Much added water, while it is thinned.

use super::*;
use crate::procedure::Premix;
use crate::trail::Reason;

fn water() -> Ingredient {
    Ingredient {
        plain_water: true,
        ..Ingredient::by_name("water")
    }
}

fn thin(with: Ingredient) -> StepKind {
    StepKind::Thin {
        with,
        by: mass("4"),
        at_most: None,
        wanted_s: Some(3.0),
        weigh: Weigh::Jar,
    }
}

/// A jar of 100 g, half of it a premix with half water, at its thinning step: 25 g of water.
fn watery(with: Ingredient) -> Play {
    let mut recipe = procedure(vec![add("medium", 50), add("base", 50), thin(with)]);
    recipe.premixes.push(Premix {
        key: "medium".to_owned(),
        parts: vec![
            (Ingredient::by_name("varnish"), Ratio::new(1, 2)),
            (water(), Ratio::new(1, 2)),
        ],
    });
    let mut play = Play::of(recipe);
    play.settle("0").settle("50").settle("100").settle("150");
    play
}

#[test]
fn a_splash_ends_at_the_limit_and_what_goes_past_it_is_warned_of() {
    let mut play = watery(water());
    play.say(Command::Trail(20.0)).settle("154");
    play.say(Command::Trail(19.0));
    // 29 g of 104: (.3 × 104 − 29)/.7 = 3.14 g to the limit (computed by hand).
    let Some(ThinNow::Splash { until, reason }) = play.session.thin_now() else {
        panic!("a splash is advised");
    };
    assert_eq!(until.grams_text(2), "7.14");
    assert_eq!(reason, Reason::WaterLimit);
    assert_eq!(play.session.water_warning(), None);
    play.settle("157.1");
    assert_eq!(play.session.thin_now(), Some(ThinNow::Measure));
    play.say(Command::Trail(18.0));
    let Some(ThinNow::Splash { reason, .. }) = play.session.thin_now() else {
        panic!("nobody is stopped");
    };
    assert_ne!(reason, Reason::WaterLimit);
    let warning = play.session.water_warning();
    assert!(warning.is_some(), "the next splash passes it");
    play.settle("170");
    let warning = play.session.water_warning().expect("it is passed");
    // 45 of 120 g.
    assert_eq!(warning.fraction, Ratio::new(45, 120));
    play.check();
}

#[test]
fn a_thinner_that_is_not_known_to_be_water_is_no_added_water() {
    let mut play = watery(Ingredient::by_name("thinner"));
    play.say(Command::Trail(20.0)).settle("190");
    assert_eq!(play.session.water_warning(), None);
    play.check();
}
