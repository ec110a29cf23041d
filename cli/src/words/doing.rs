//! What is to be done now, in words.

use tarehand_protocol::api::{Doing, OptionView, PourLine, View};

use super::{bottle, grams, rough_grams, short_grams, shown, time};

/// What is to be done now: a call to act and what to know about it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Told {
    /// What to do, in a few words.
    pub(crate) call: String,
    /// What to know, where there is anything.
    pub(crate) more: Option<String>,
}

/// Says what is to be done now.
pub(crate) fn told(view: &View) -> Told {
    let (call, more) = match &view.doing {
        Doing::Nothing => (
            "No batch on this bench".to_owned(),
            Some("begin one: tarehand mix RECIPE".to_owned()),
        ),
        Doing::ClearPan => ("Clear the pan".to_owned(), None),
        Doing::PutJar if view.set.is_some() => {
            let jar = view.recipe.as_deref().unwrap_or("the first jar");
            (
                format!("Put the empty jar for {} on the pan", shown(jar)),
                None,
            )
        }
        Doing::PutJar => ("Put the empty jar on the pan".to_owned(), None),
        Doing::ChangeJar { jar, instead } => change_jar(jar, instead.as_deref()),
        Doing::ConfirmJar => (
            "Is this the empty jar?".to_owned(),
            Some("yes: go on; no: take it off".to_owned()),
        ),
        Doing::Pour {
            ingredient,
            target_g,
            within_g,
            extra,
            ..
        } => {
            let again = if *extra { "Pour more of" } else { "Pour" };
            (
                format!("{again} {}", shown(ingredient)),
                Some(format!(
                    "to {} g, give or take {} g",
                    short_grams(*target_g),
                    rough_grams(*within_g)
                )),
            )
        }
        Doing::Count {
            ingredient,
            count,
            expected_g,
            ..
        } => (
            format!("Count {} of {}", shown(count), shown(ingredient)),
            Some(format!("about {} g", short_grams(*expected_g))),
        ),
        Doing::PourBetween {
            ingredient,
            low_g,
            high_g,
            ..
        } => (
            format!("Pour {}", shown(ingredient)),
            Some(format!(
                "anything from {} to {} g",
                short_grams(*low_g),
                short_grams(*high_g)
            )),
        ),
        Doing::PourByEye {
            ingredient, vessel, ..
        } => (
            format!("Pour {}", shown(ingredient)),
            Some(vessel.as_ref().map_or_else(
                || "until it looks right".to_owned(),
                |vessel| format!("all of {}", shown(vessel)),
            )),
        ),
        Doing::Stir { .. } => ("Stir".to_owned(), None),
        Doing::Rest { .. } => ("Let it rest".to_owned(), None),
        Doing::Strain { through, .. } => (format!("Strain {}", shown(through)), None),
        Doing::Look { expect, .. } => (format!("Look: {}", shown(expect)), None),
        Doing::Trail { wanted_s, .. } => ("Measure the trail".to_owned(), Some(trail(*wanted_s))),
        Doing::Thin {
            ingredient,
            splash_g: Some(splash_g),
            advice,
            water,
            ..
        } => (
            format!(
                "Thin with {}: {} g more",
                shown(ingredient),
                short_grams(*splash_g)
            ),
            Some(warned(advice, water.as_deref())),
        ),
        Doing::Thin {
            ingredient,
            advice,
            water,
            ..
        } if !advice.is_empty() => (
            format!("Thin with {}", shown(ingredient)),
            Some(warned(advice, water.as_deref())),
        ),
        Doing::Thin {
            ingredient,
            by_g,
            at_most_g,
            wanted_s,
            ..
        } => (
            format!("Thin with {}", shown(ingredient)),
            Some(thinning(*by_g, *at_most_g, *wanted_s)),
        ),
        Doing::TakeOut {
            take_out_g,
            taken_g,
            ..
        } => (
            format!("Stir well, then take out {}", rough_grams(*take_out_g)),
            Some(format!("{} are out", rough_grams(*taken_g))),
        ),
        Doing::Decant {
            decant_g,
            decanted_g,
            into,
            ..
        } => decanting(*decant_g, *decanted_g, into),
        Doing::Note { text, .. } => (format!("Note: {}", shown(text)), None),
        Doing::JarGone => (
            "Set the jar back on the pan".to_owned(),
            Some("did you press the scale's own tare? say so: tarehand tared, or key t".to_owned()),
        ),
        Doing::Answer => {
            let text = view
                .question
                .as_ref()
                .map(|question| question.text.as_str());
            (
                shown(text.unwrap_or("Answer the question")).into_owned(),
                None,
            )
        }
        Doing::Paused => ("Paused".to_owned(), None),
        Doing::Complete => ("Complete".to_owned(), Some("the jar may go".to_owned())),
        Doing::Aborted => ("Given up".to_owned(), None),
    };
    let (call, more) = match bottle::told(view) {
        Some(told) => (told.call, told.more),
        None => (call, more),
    };
    let timing = view.timing_trail.then(|| TAP.to_owned());
    Told {
        call,
        more: timing.or(more).or_else(|| note_of(view)),
    }
}

fn change_jar(jar: &str, instead: Option<&str>) -> (String, Option<String>) {
    let more = instead.map(|instead| {
        format!(
            "{} may go; to go on with it instead: tarehand next",
            shown(instead)
        )
    });
    (format!("Put the jar of {} on the pan", shown(jar)), more)
}

/// What ends the timing of a trail.
const TAP: &str = "timing the trail; when the line has sunk back: tarehand trail stop, or key t";

fn trail(wanted_s: Option<f64>) -> String {
    match wanted_s {
        Some(wanted) if wanted <= 0.0 => "wanted: none is left".to_owned(),
        Some(wanted) => format!("wanted: {wanted} s until a line sinks back"),
        None => "seconds until a line drawn with the stick sinks back".to_owned(),
    }
}

fn thinning(by_g: f64, at_most_g: Option<f64>, wanted_s: Option<f64>) -> String {
    let mut text = format!("{} g at a time", short_grams(by_g));
    if let Some(at_most) = at_most_g {
        text.push_str(&format!(", {} g at most", short_grams(at_most)));
    }
    if let Some(wanted) = wanted_s {
        text.push_str(&format!(", until the trail is {wanted} s"));
    }
    text
}

fn decanting(decant_g: Option<f64>, decanted_g: f64, into: &str) -> (String, Option<String>) {
    let into = shown(into);
    let out = rough_grams(decanted_g);
    match decant_g {
        Some(grams) => (
            format!("Decant {} into {into}", rough_grams(grams)),
            Some(format!("{out} are out")),
        ),
        None => (
            format!("Decant all of it into {into}"),
            Some(format!(
                "{out} are out; when no more comes, with the jar back on the pan: tarehand next"
            )),
        ),
    }
}

fn note_of(view: &View) -> Option<String> {
    let number = step_of(&view.doing)?;
    let step = view.steps.iter().find(|step| step.step == number)?;
    step.note.as_deref().map(|note| shown(note).into_owned())
}

/// Returns the number of a step as people count: from one.
pub(crate) const fn step_number(step: u32) -> u32 {
    step.saturating_add(1)
}

/// Says an option in a line: its number, what it means, and what is in its way.
pub(crate) fn option_line(option: &OptionView) -> String {
    let mut line = format!("  {}  {}", option.option, shown(&option.text));
    if let Some(pours) = pours_unsaid(option) {
        line.push_str(&format!(": {pours}"));
    }
    if let Some(why_not) = option.why_not.as_ref().filter(|_| !option.feasible) {
        line.push_str(&format!(" (cannot be done: {})", shown(why_not)));
    }
    line
}

/// Says what an option still pours, where its own words do not say it already.
pub(crate) fn pours_unsaid(option: &OptionView) -> Option<String> {
    let said = |pour: &PourLine| option.text.contains(pour.ingredient.as_str());
    if option.pours.iter().all(said) {
        return None;
    }
    // A number stays with its unit where lines are broken.
    let pours = option.pours.iter().map(|pour| {
        let ingredient = shown(&pour.ingredient);
        format!("{}\u{a0}g {ingredient}", grams(pour.grams, 2))
    });
    Some(format!("pour {}", pours.collect::<Vec<_>>().join(", ")))
}

/// Returns the step that is being done.
pub(crate) const fn step_of(doing: &Doing) -> Option<u32> {
    match doing {
        Doing::Pour { step, .. }
        | Doing::Count { step, .. }
        | Doing::PourBetween { step, .. }
        | Doing::PourByEye { step, .. }
        | Doing::Stir { step, .. }
        | Doing::Rest { step, .. }
        | Doing::Strain { step, .. }
        | Doing::Look { step, .. }
        | Doing::Trail { step, .. }
        | Doing::Thin { step, .. }
        | Doing::TakeOut { step, .. }
        | Doing::Decant { step, .. }
        | Doing::Note { step, .. } => Some(*step),
        Doing::Nothing
        | Doing::ClearPan
        | Doing::PutJar
        | Doing::ChangeJar { .. }
        | Doing::ConfirmJar
        | Doing::JarGone
        | Doing::Answer
        | Doing::Paused
        | Doing::Complete
        | Doing::Aborted => None,
    }
}

/// What is advised, and a warning behind it.
fn warned(advice: &str, warning: Option<&str>) -> String {
    match warning {
        Some(warning) => format!("{}; mind: {}", shown(advice), shown(warning)),
        None => shown(advice).into_owned(),
    }
}

impl Told {
    /// Returns both in one line, with the time a stir or rest takes.
    pub(crate) fn line(&self, doing: &Doing) -> String {
        let mut line = self.call.clone();
        if let Doing::Stir { seconds, .. } | Doing::Rest { seconds, .. } = doing {
            let whole = std::time::Duration::try_from_secs_f64(*seconds).unwrap_or_default();
            line.push_str(&format!(" {}", time(whole.as_secs())));
        }
        if let Some(more) = &self.more {
            line.push_str(&format!(" ({more})"));
        }
        line
    }
}
