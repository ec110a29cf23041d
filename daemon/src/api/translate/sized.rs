//! A recipe sized for one jar.

use tarehand_mixing::card;
use tarehand_mixing::procedure::{Amount, Decanted, Step, StepKind, Weigh};
use tarehand_mixing::sizing::{Count, Sizing, count_text};
use tarehand_protocol::Mass;
use tarehand_protocol::api::{DiagnosticLine, SizedProcedure, SizedStep};

use super::action::{count_said, planned};
use super::recipe::{changed_lines, choice_lines};

/// Returns a sized recipe with what the check had to say.
#[must_use]
pub fn sized_procedure(sizing: &Sizing, diagnostics: Vec<DiagnosticLine>) -> SizedProcedure {
    let procedure = &sizing.procedure;
    SizedProcedure {
        recipe: procedure.recipe.clone(),
        total_g: procedure.planned.grams(),
        choices: choice_lines(procedure),
        steps: procedure.steps.iter().map(sized_step).collect(),
        changed: changed_lines(sizing),
        diagnostics,
    }
}

fn sized_step(step: &Step) -> SizedStep {
    let (kind, text) = kind_and_text(&step.kind);
    let ingredient = step.kind.ingredient();
    let mut sized = SizedStep {
        kind: kind.to_owned(),
        text,
        ingredient: ingredient.map(|ingredient| ingredient.key.clone()),
        name: ingredient.map(|ingredient| ingredient.name.clone()),
        grams: None,
        share: None,
        count: None,
        within_g: None,
        action: Some(planned(&step.kind)),
        counted: None,
        least_g: None,
        most_g: None,
        wanted_s: None,
        by_eye: false,
        from_bottle: step.kind.weigh() == Weigh::Bottle,
    };
    match &step.kind {
        StepKind::Add(addition) => fill(&mut sized, &addition.amount),
        StepKind::Thin {
            by,
            at_most,
            wanted_s,
            ..
        } => {
            sized.grams = Some(by.grams());
            sized.most_g = at_most.map(Mass::grams);
            sized.wanted_s = *wanted_s;
        }
        StepKind::Trail { wanted_s } => sized.wanted_s = *wanted_s,
        StepKind::Stir { .. }
        | StepKind::Rest { .. }
        | StepKind::Strain { .. }
        | StepKind::Look { .. }
        | StepKind::TakeOut { .. }
        | StepKind::Note { .. } => {}
        StepKind::Decant { amount, .. } => {
            if let Decanted::Weighed { target, within } = amount {
                sized.grams = Some(target.grams());
                sized.within_g = Some(within.of(*target).grams());
            }
        }
    }
    if sized.from_bottle {
        sized.text.push_str(", out of the bottle");
    }
    sized
}

fn kind_and_text(kind: &StepKind) -> (&'static str, String) {
    match kind {
        StepKind::Add(addition) => ("add", addition.ingredient.name.clone()),
        StepKind::Stir { time } => ("stir", format!("stir {}", card::time(*time))),
        StepKind::Rest { time } => ("rest", format!("rest {}", card::time(*time))),
        StepKind::Strain { through } => ("strain", format!("strain {through}")),
        StepKind::Look { expect } => ("look", format!("look: {expect}")),
        StepKind::Trail { wanted_s } => (
            "trail",
            wanted_s.map_or_else(
                || "measure the trail".to_owned(),
                |wanted| format!("measure the trail: {wanted} s wanted"),
            ),
        ),
        StepKind::Thin { with, at_most, .. } => (
            "thin",
            at_most.map_or_else(
                || format!("thin with {}, splash by splash", with.name),
                |most| format!("thin with {}, {most} at most", with.name),
            ),
        ),
        StepKind::TakeOut { mass } => ("take-out", format!("take out {mass}")),
        StepKind::Decant { amount, into } => (
            "decant",
            match amount {
                Decanted::All => format!("decant all of it into {into}"),
                Decanted::Weighed { target, .. } => format!("decant {target} into {into}"),
            },
        ),
        StepKind::Note { text } => ("note", format!("note: {text}")),
    }
}

fn fill(sized: &mut SizedStep, amount: &Amount) {
    match amount {
        Amount::Weighed {
            share,
            target,
            within,
        } => {
            sized.grams = Some(target.grams());
            sized.share = Some(share.to_f64());
            sized.within_g = Some(within.of(*target).grams());
        }
        Amount::Counted {
            share,
            unit,
            each,
            expected,
            within,
        } => {
            sized.grams = Some(expected.grams());
            sized.share = Some(share.to_f64());
            let count = Count::nearest(*expected, *unit, *each);
            sized.count = Some(count_text(*expected, *unit, *each));
            sized.counted = count.as_ref().map(count_said);
            sized.within_g = within.as_ref().map(|within| within.of(*expected).grams());
        }
        Amount::Range { low, high } => {
            sized.text.push_str(&format!(", {low} to {high}"));
            sized.least_g = Some(low.grams());
            sized.most_g = Some(high.grams());
        }
        Amount::ByEye => {
            sized.text.push_str(", by eye");
            sized.by_eye = true;
        }
        Amount::Whole { vessel } => sized.text.push_str(&format!(", all of {vessel}")),
    }
}
