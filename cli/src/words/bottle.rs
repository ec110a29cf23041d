//! Weighing out of a bottle, in words.

use tarehand_protocol::api::{BottleWord, Doing, View};

use super::doing::{Told, step_of};
use super::{rough_grams, short_grams, shown};

const PRESSED_TARE: &str = "did you press the scale's own tare? say so: tarehand tared, or key t";

/// Says what is to be done with bottle and jar; `None` where the jar is what is weighed, or something else comes first.
pub(super) fn told(view: &View) -> Option<Told> {
    let bottle = view.bottle?;
    match view.doing {
        Doing::Answer | Doing::Paused | Doing::ClearPan => return None,
        // On the finer scale the jar stays on its own: it comes first.
        Doing::ChangeJar { .. } if !view.weighed_on.is_main() => return None,
        Doing::ConfirmJar => {
            return Some(Told {
                call: "Is this the first bottle?".to_owned(),
                more: Some("yes: go on; no: take it off".to_owned()),
            });
        }
        _ => {}
    }
    let name = ingredient(view);
    let fine = !view.weighed_on.is_main();
    let (call, more) = match bottle {
        BottleWord::SetJarAside => (
            "Set the jar beside the scale".to_owned(),
            Some(format!(
                "{name} is weighed out of its bottle; or weigh it in: tarehand jar"
            )),
        ),
        BottleWord::TakeAway if fine => (
            "Take what stands there off the finer scale".to_owned(),
            None,
        ),
        BottleWord::TakeAway => ("Take the bottle off the pan".to_owned(), None),
        BottleWord::Put if fine => (
            format!("Put a small cup, or the bottle of {name}, on the finer scale"),
            Some("the jar stays where it is; or weigh it in there: tarehand jar".to_owned()),
        ),
        BottleWord::Put => (
            format!("Put the bottle of {name} on the pan"),
            Some("with its lid off".to_owned()),
        ),
        BottleWord::Pour if fine => {
            let (how_much, more) = amount(view);
            (
                format!("Finer scale: {how_much} out of it into the jar, set it back"),
                more,
            )
        }
        BottleWord::InHand if fine => {
            let (how_much, _) = amount(view);
            (
                format!("Pour {how_much} into the jar, set it back on the finer scale"),
                Some(lost(view).unwrap_or(PRESSED_TARE).to_owned()),
            )
        }
        BottleWord::Pour => {
            let (how_much, more) = amount(view);
            (
                format!("Bottle on the scale: pour {how_much} out of it, set it back"),
                more,
            )
        }
        BottleWord::InHand => {
            let (how_much, _) = amount(view);
            (
                format!("Pour {how_much} into the jar, set the bottle back"),
                Some(PRESSED_TARE.to_owned()),
            )
        }
    };
    Some(Told { call, more })
}

/// What to do about a finer scale that is away.
fn lost(view: &View) -> Option<&'static str> {
    let open = view.fine_scale.as_ref().is_some_and(|scale| scale.open);
    (!open).then_some("the finer scale is away: weigh it in the jar with tarehand jar")
}

fn ingredient(view: &View) -> String {
    match &view.doing {
        Doing::Pour { ingredient, .. }
        | Doing::Count { ingredient, .. }
        | Doing::PourBetween { ingredient, .. }
        | Doing::PourByEye { ingredient, .. }
        | Doing::Thin { ingredient, .. } => shown(ingredient).into_owned(),
        _ => "what is poured first".to_owned(),
    }
}

/// How much is still to be poured out, and how closely.
fn amount(view: &View) -> (String, Option<String>) {
    let step = step_of(&view.doing).and_then(|number| {
        let mut steps = view.steps.iter();
        steps.find(|step| step.step == number)
    });
    let poured = step.and_then(|step| step.poured_g).unwrap_or(0.0);
    match &view.doing {
        Doing::Pour {
            target_g, within_g, ..
        } => (
            format!("{} g", short_grams((target_g - poured).max(0.0))),
            Some(format!(
                "{} g are in, of {} g, give or take {} g",
                short_grams(poured),
                short_grams(*target_g),
                rough_grams(*within_g)
            )),
        ),
        Doing::Count { count, .. } => (shown(count).into_owned(), None),
        Doing::PourBetween { low_g, high_g, .. } => (
            format!("{} to {} g", short_grams(*low_g), short_grams(*high_g)),
            Some(format!("{} g are in", short_grams(poured))),
        ),
        Doing::Thin {
            splash_g: Some(splash_g),
            advice,
            ..
        } => (
            format!("{} g", short_grams(*splash_g)),
            Some(shown(advice).into_owned()),
        ),
        Doing::Thin { by_g, advice, .. } => (
            format!("{} g", short_grams(*by_g)),
            Some(shown(advice).into_owned()).filter(|advice| !advice.is_empty()),
        ),
        Doing::PourByEye { vessel, .. } => (
            vessel.as_ref().map_or_else(
                || "what looks right".to_owned(),
                |vessel| format!("all of {}", shown(vessel)),
            ),
            None,
        ),
        _ => ("it".to_owned(), None),
    }
}
