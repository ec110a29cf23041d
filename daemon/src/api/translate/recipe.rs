//! Checked and sized recipes as the API shows them.

use tarehand_mixing::choice::Choice;
use tarehand_mixing::diagnostic::{Diagnostic, Severity};
use tarehand_mixing::procedure::{Amount, Decanted, Procedure, StepKind, Weigh};
use tarehand_mixing::sizing::{Changed, Sizing, count_text};
use tarehand_mixing::units::Measures;
use tarehand_protocol::Mass;
use tarehand_protocol::api::{
    ChangedLine, ChoiceLine, DiagnosticLine, MeasuresSaid, SizedProcedure, SizedStep,
};

/// Returns which measures are meant, in the words of the settings file.
#[must_use]
pub fn measures_said(measures: Measures) -> MeasuresSaid {
    let word = |value: Result<serde_json::Value, _>| match value {
        Ok(serde_json::Value::String(word)) => Some(word),
        Ok(_) | Err(serde_json::Error { .. }) => None,
    };
    MeasuresSaid {
        spoon: measures
            .spoon
            .and_then(|spoon| word(serde_json::to_value(spoon))),
        fluid_ounce: measures
            .fluid_ounce
            .and_then(|ounce| word(serde_json::to_value(ounce))),
    }
}

/// Returns a diagnostic as a line.
#[must_use]
pub fn diagnostic_line(diagnostic: &Diagnostic) -> DiagnosticLine {
    DiagnosticLine {
        severity: match diagnostic.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Note => "note",
        }
        .to_owned(),
        file: diagnostic.file.clone(),
        line: u32::try_from(diagnostic.line).unwrap_or(u32::MAX),
        column: u32::try_from(diagnostic.column).unwrap_or(u32::MAX),
        message: diagnostic.message.clone(),
        help: diagnostic.help.clone(),
    }
}

/// Returns a sized recipe with what the check had to say.
#[must_use]
pub fn sized_procedure(sizing: &Sizing, diagnostics: &[Diagnostic]) -> SizedProcedure {
    SizedProcedure {
        recipe: sizing.procedure.recipe.clone(),
        total_g: sizing.procedure.planned.grams(),
        choices: choice_lines(&sizing.procedure),
        steps: sizing
            .procedure
            .steps
            .iter()
            .map(|step| sized_step(&step.kind))
            .collect(),
        changed: changed_lines(sizing),
        diagnostics: diagnostics.iter().map(diagnostic_line).collect(),
    }
}

/// Returns the choices a procedure was made with.
#[must_use]
pub fn choice_lines(procedure: &Procedure) -> Vec<ChoiceLine> {
    procedure.choices.iter().map(choice_line).collect()
}

/// Returns a choice as a line.
#[must_use]
pub fn choice_line(choice: &Choice) -> ChoiceLine {
    ChoiceLine {
        name: choice.name.clone(),
        chosen: choice.chosen.clone(),
        others: choice.others.clone(),
    }
}

/// Returns what stand-ins changed of every ingredient.
#[must_use]
pub fn changed_lines(sizing: &Sizing) -> Vec<ChangedLine> {
    let line = |changed: &Changed| ChangedLine {
        ingredient: changed.key.clone(),
        name: changed.name.clone(),
        written_share: changed.before.0.to_f64(),
        written_g: changed.before.1.grams(),
        share: changed.after.0.to_f64(),
        grams: changed.after.1.grams(),
    };
    sizing.changed.iter().map(line).collect()
}

fn sized_step(kind: &StepKind) -> SizedStep {
    let plain = |word: &str, text: String| SizedStep {
        kind: word.to_owned(),
        text,
        ingredient: None,
        grams: None,
        share: None,
        count: None,
        within_g: None,
    };
    match kind {
        StepKind::Add(addition) => {
            let name = &addition.ingredient.name;
            let target = addition.amount.target();
            let (text, count, within) = match &addition.amount {
                Amount::Weighed { target, within, .. } => {
                    (format!("{target} {name}"), None, Some(within.of(*target)))
                }
                Amount::Counted {
                    unit,
                    each,
                    expected,
                    within,
                    ..
                } => {
                    let count = count_text(*expected, *unit, *each);
                    let within = within.as_ref().map(|within| within.of(*expected));
                    (format!("{count} {name}"), Some(count), within)
                }
                Amount::Range { low, high } => (format!("{low} to {high} {name}"), None, None),
                Amount::ByEye => (format!("some {name}"), None, None),
                Amount::Whole { vessel } => (format!("all of {vessel}"), None, None),
            };
            let text = match addition.weigh {
                Weigh::Jar => text,
                Weigh::Bottle | Weigh::Fine => format!("{text}, out of the bottle"),
            };
            SizedStep {
                ingredient: Some(addition.ingredient.key.clone()),
                grams: target.map(Mass::grams),
                share: addition
                    .amount
                    .share()
                    .map(tarehand_mixing::ratio::Ratio::to_f64),
                count,
                within_g: within.map(Mass::grams),
                ..plain("add", text)
            }
        }
        StepKind::Stir { time } => plain("stir", format!("stir {} s", time.as_secs_f64())),
        StepKind::Rest { time } => plain("rest", format!("rest {} s", time.as_secs_f64())),
        StepKind::Strain { through } => plain("strain", format!("strain through {through}")),
        StepKind::Look { expect } => plain("look", format!("look: {expect}")),
        StepKind::Trail { .. } => plain("trail", "measure the trail".to_owned()),
        StepKind::Thin { with, by, .. } => SizedStep {
            ingredient: Some(with.key.clone()),
            ..plain("thin", format!("thin with {} by {by}", with.name))
        },
        StepKind::TakeOut { mass } => plain("take-out", format!("take out {mass}")),
        StepKind::Decant { amount, into } => match amount {
            Decanted::All => plain("decant", format!("decant all of it into {into}")),
            Decanted::Weighed { target, within } => SizedStep {
                grams: Some(target.grams()),
                within_g: Some(within.of(*target).grams()),
                ..plain("decant", format!("decant {target} into {into}"))
            },
        },
        StepKind::Note { text } => plain("note", text.clone()),
    }
}
