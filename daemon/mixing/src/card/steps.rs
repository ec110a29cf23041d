//! Steps of a procedure in words.

use crate::procedure::{Amount, Decanted, Step, StepKind};
use crate::sizing::count_text;

use super::value::{CardStep, tidy};
use super::words::{grams, rough, time, trail};

/// Returns a step as a card says it.
pub(super) fn planned(step: &Step) -> CardStep {
    CardStep {
        text: text(&step.kind),
        note: step.note.as_deref().map(tidy),
        time: match &step.kind {
            StepKind::Stir { time } | StepKind::Rest { time } => Some(*time),
            _ => None,
        },
    }
}

fn text(kind: &StepKind) -> String {
    match kind {
        StepKind::Add(addition) => {
            let name = tidy(&addition.ingredient.name);
            match &addition.amount {
                Amount::Weighed { target, within, .. } => {
                    let within = within.of(*target);
                    format!("add {} {name} (± {})", grams(*target), rough(within))
                }
                Amount::Counted {
                    unit,
                    each,
                    expected,
                    ..
                } => format!(
                    "add {} {name} ({})",
                    count_text(*expected, *unit, *each),
                    grams(*expected)
                ),
                Amount::Range { low, high } => {
                    format!("add {} to {} {name}, by eye", grams(*low), grams(*high))
                }
                Amount::ByEye => format!("add some {name}, by eye"),
                Amount::Whole { vessel } => format!("add all of {} ({name})", tidy(vessel)),
            }
        }
        StepKind::Stir { time: long } => format!("stir {}", time(*long)),
        StepKind::Rest { time: long } => format!("let it rest {}", time(*long)),
        StepKind::Strain { through } => format!("strain {}", through_what(through)),
        StepKind::Look { expect } => format!("look: {}", tidy(expect)),
        StepKind::Trail { wanted_s } => match wanted_s {
            Some(wanted) => format!("measure the trail, wanted: {}", trail(*wanted)),
            None => "measure the trail".to_owned(),
        },
        StepKind::Thin {
            with,
            by,
            at_most,
            wanted_s,
            ..
        } => {
            let most = at_most.map(|most| format!(", at most {}", grams(most)));
            let wanted = wanted_s.map(|wanted| format!(", until the trail is {}", trail(wanted)));
            format!(
                "thin with {}: {} at a time{}{}",
                tidy(&with.name),
                grams(*by),
                most.unwrap_or_default(),
                wanted.unwrap_or_default()
            )
        }
        StepKind::TakeOut { mass } => format!("take out {}", grams(*mass)),
        StepKind::Decant { amount, into } => match amount {
            Decanted::All => format!("decant all of it into {}", tidy(into)),
            Decanted::Weighed { target, .. } => {
                format!("decant {} into {}", grams(*target), tidy(into))
            }
        },
        StepKind::Note { text } => tidy(text),
    }
}

/// Authors write `through a sieve` or `a sieve`; a sentence wants it once.
fn through_what(through: &str) -> String {
    let through = tidy(through);
    if through.starts_with("through ") {
        through
    } else {
        format!("through {through}")
    }
}

/// Returns what the steps are done with, beside what goes in; each once.
pub(super) fn tools<'s>(
    kinds: impl Iterator<Item = &'s StepKind>,
    jar: Option<&crate::units::Volume>,
) -> Vec<String> {
    let mut tools = vec![
        "scale".to_owned(),
        jar.map_or_else(|| "jar".to_owned(), |jar| format!("jar of {jar}")),
    ];
    for kind in kinds {
        let tool = match kind {
            StepKind::Stir { .. } | StepKind::Trail { .. } | StepKind::Thin { .. } => {
                "stick".to_owned()
            }
            StepKind::Strain { through } => {
                let through = tidy(through);
                through
                    .strip_prefix("through ")
                    .unwrap_or(&through)
                    .to_owned()
            }
            StepKind::Decant { into, .. } => tidy(into),
            _ => continue,
        };
        if !tools.contains(&tool) {
            tools.push(tool);
        }
    }
    tools
}
