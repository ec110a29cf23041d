//! Numbers and sentences that every form of a card shares.

use std::time::Duration;

use tarehand_protocol::Mass;

use super::Country;
use super::parts::Parts;
use super::value::{Card, Line, Made, Portion, tidy};
use crate::provenance::Run;
use crate::ratio::Ratio;

/// What comes before everything a card says.
pub(super) const SAFETY: &str =
    "The maker's safety sheet of everything used, and local rules, come first.";

/// What the list of stand-ins is headed with.
pub(super) const STAND_INS: &str = "What may stand in, where something is not to be had";

/// What the shares are shares of.
pub(super) const BASIS: &str = "percent by weight of what is inside the ratio";

/// Writes grams as a person reads them: two decimals, three below one gram, no needless zeros.
pub(super) fn number(mass: Mass) -> String {
    let decimals = if mass.abs() < Mass::from_grams(1) {
        3
    } else {
        2
    };
    short(&mass.grams_text(decimals))
}

/// Writes grams with their unit.
pub(crate) fn grams(mass: Mass) -> String {
    format!("{} g", number(mass))
}

/// Writes a tolerance to two figures.
pub(super) fn rough(mass: Mass) -> String {
    let decimals = match mass.abs() {
        tiny if tiny < Mass::from_milligrams(10) => 4,
        small if small < Mass::from_milligrams(95) => 3,
        medium if medium < Mass::from_milligrams(950) => 2,
        _ => 1,
    };
    format!("{} g", short(&mass.grams_text(decimals)))
}

/// Writes a share in percent, without the sign: two decimals, more where two would say nothing.
pub(crate) fn percent(share: &Ratio) -> String {
    decimal(&(share * &Ratio::new(100, 1)))
}

/// Writes shares in parts, one text each.
pub(super) fn parts(parts: &Parts) -> Vec<String> {
    match parts {
        Parts::Whole(numbers) => numbers.iter().map(ToString::to_string).collect(),
        Parts::OfHundred(numbers) => numbers.iter().map(decimal).collect(),
    }
}

/// Says what the parts and percentages are of.
pub(super) fn basis(parts: &Parts) -> String {
    let parts = match parts {
        Parts::Whole(_) => "parts are by weight",
        Parts::OfHundred(_) => "parts are by weight, the largest is 100",
    };
    format!("{parts}; % is {BASIS}")
}

/// Writes a number: two decimals, more where two would say nothing.
pub(super) fn decimal(number: &Ratio) -> String {
    let millionths = (number * &Ratio::new(1_000_000, 1)).to_mass();
    // Millionths of a number are written as micrograms of a gram are.
    let decimals = match millionths.abs() {
        tiny if tiny < Mass::from_milligrams(10) => 6,
        small if small < Mass::from_grams(1) => 3,
        _ => 2,
    };
    short(&millionths.grams_text(decimals))
}

fn short(text: &str) -> String {
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text.to_owned()
    }
}

/// Writes a portion as it stands in a sentence.
pub(super) fn portion(portion: &Portion) -> String {
    match portion {
        Portion::Share { mass, .. } | Portion::Beside(mass) => grams(*mass),
        Portion::Range { low, high } => format!("{} to {}", number(*low), grams(*high)),
        Portion::Thinning { by, at_most } => {
            let most = at_most.map(|most| format!(", at most {}", grams(most)));
            format!(
                "{} at a time{}, until the trail is right",
                grams(*by),
                most.unwrap_or_default()
            )
        }
        Portion::ByEye => "some, by eye".to_owned(),
        Portion::Whole { vessel } => format!("all of {vessel}"),
    }
}

/// Writes a line outside the ratio as one sentence.
pub(super) fn beside(line: &Line) -> String {
    let planned = line
        .planned
        .as_ref()
        .map(|planned| format!(" (planned: {})", portion(planned)));
    let later = line.later.as_ref().map(|day| format!(", {}", later(day)));
    format!(
        "{}: {}{}{}",
        line.name,
        portion(&line.portion),
        planned.unwrap_or_default(),
        later.unwrap_or_default()
    )
}

/// Says of something that it came into the finished jar.
pub(super) fn later(day: &str) -> String {
    format!("added later, {day}")
}

/// Writes a time as a person says it: `90 s`, `2 min`, `2 min 5 s`, `8 h`.
#[must_use]
pub fn time(time: Duration) -> String {
    let seconds = time.as_secs();
    match seconds {
        whole if whole < 120 => format!("{} s", short(&format!("{:.3}", time.as_secs_f64()))),
        whole if whole % 3_600 == 0 => format!("{} h", whole / 3_600),
        whole if whole % 60 == 0 => format!("{} min", whole / 60),
        whole => format!("{} min {} s", whole / 60, whole % 60),
    }
}

/// Writes a time that is only estimated: from an hour on in whole minutes.
pub(super) fn estimate(about: Duration) -> String {
    let minutes = about.as_secs().saturating_add(30) / 60;
    if about.as_secs() < 3_600 {
        time(about)
    } else if minutes.is_multiple_of(60) {
        format!("{} h", minutes / 60)
    } else {
        format!("{} h {} min", minutes / 60, minutes % 60)
    }
}

/// Writes a trail.
pub(crate) fn trail(seconds: f64) -> String {
    if seconds <= 0.0 {
        "none".to_owned()
    } else {
        format!("{seconds} s")
    }
}

/// Says what the card tells of, in one line.
pub(super) fn head(card: &Card) -> Vec<String> {
    let mut words = match &card.made {
        Made::Recipe => vec![format!("makes {}", grams(card.total))],
        Made::Batch {
            mark,
            day,
            run,
            planned,
        } => vec![
            match run {
                Run::Real => format!("batch {mark} of {day}, as really poured"),
                Run::Rehearsal => {
                    format!("rehearsal {mark} of {day}: nothing was really poured")
                }
            },
            format!(
                "{} inside the ratio, planned {}",
                grams(card.total),
                grams(*planned)
            ),
        ],
        Made::Composition => vec![format!("{} of it in this jar", grams(card.total))],
    };
    words.extend(
        card.trail_s
            .map(|seconds| format!("wanted trail {}", trail(seconds))),
    );
    words.extend(
        card.pot_life
            .map(|life| format!("to be used within {} of mixing", time(life))),
    );
    words.extend(card.choices.iter().map(|choice| tidy(&choice.to_string())));
    words
}

/// Says what the measures rest on.
pub(super) fn measures_basis(country: Country) -> String {
    format!(
        "{}; volumes are worked out from the densities on the shelf, and loose powder takes up more room",
        country.measures()
    )
}

/// Says where the steps of a composition are.
pub(super) const NO_STEPS: &str =
    "The record keeps what it is made of, not its steps; its own recipe has them.";
