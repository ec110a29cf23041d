//! Decanting: what may come before it, and what may no longer come after it.

use std::ops::Range;

use toml::Spanned;

use super::model::{DecantDose, Dose, Recipe, RecipeStepKind};
use super::written::{WrittenDecant, WrittenKind, WrittenStep};
use crate::document::Problems;
use crate::ratio::Ratio;

/// Returns where each step says how much is decanted, in order.
pub(super) fn places(steps: &[(WrittenStep, Option<usize>)]) -> Vec<Range<usize>> {
    let places = steps.iter().filter_map(|(step, _)| match &step.kind {
        WrittenKind::Decant { amount, .. } => Some(amount.span()),
        _ => None,
    });
    places.collect()
}

/// Reports what is decanted too early, and what would change the ratio after some of the mix is in another vessel.
pub(super) fn in_order(
    steps: &[(WrittenStep, Option<usize>)],
    problems: &mut Problems<'_>,
) -> bool {
    let mut filled = false;
    let mut decanted: Option<WrittenDecant> = None;
    let mut good = true;
    for (step, line) in steps {
        match &step.kind {
            WrittenKind::Decant { amount, .. } => {
                if let Some((message, help)) = refused(filled, decanted) {
                    problems.error(amount.span(), message).help = Some(help.to_owned());
                    good = false;
                }
                decanted = Some(*amount.get_ref());
            }
            WrittenKind::Add { name, .. } if line.is_some() && decanted.is_some() => {
                added_after(name, problems);
                filled = true;
                good = false;
            }
            WrittenKind::Add { .. } => filled = true,
            WrittenKind::Thin { .. }
            | WrittenKind::Stir(_)
            | WrittenKind::Rest(_)
            | WrittenKind::Strain(_)
            | WrittenKind::Look(_)
            | WrittenKind::Trail(_)
            | WrittenKind::Note(_) => {}
        }
    }
    good
}

/// Returns why nothing can be decanted here, and what to do.
const fn refused(
    filled: bool,
    before: Option<WrittenDecant>,
) -> Option<(&'static str, &'static str)> {
    match (filled, before) {
        (false, _) => Some((
            "nothing is in the jar yet that could be decanted",
            "move this step behind those that add",
        )),
        (true, Some(WrittenDecant::All)) => Some((
            "all of it was decanted before",
            "say in grams how much each vessel before the last one gets",
        )),
        (true, Some(WrittenDecant::Mass(_)) | None) => None,
    }
}

fn added_after(name: &Spanned<String>, problems: &mut Problems<'_>) {
    let message = format!(
        "`{}` is added after some of the mix was decanted: it would not be in that part",
        name.get_ref()
    );
    problems.error(name.span(), message).help = Some(
        "add it before the step that decants, or end the recipe there and make it a premix of another one, which adds this"
            .to_owned(),
    );
}

/// Reports what is decanted of more than there can be, where all that there can be is known.
pub(super) fn there_is_enough(
    recipe: &Recipe,
    places: &[Range<usize>],
    problems: &mut Problems<'_>,
) -> bool {
    if recipe.steps.iter().any(|step| is_open(&step.kind)) {
        return true;
    }
    let extras: Ratio = recipe.extras().map(|(_, extra)| extra.clone()).sum();
    let most = &Ratio::one() + &extras;
    let amounts = recipe.steps.iter().filter_map(|step| match &step.kind {
        RecipeStepKind::Decant { amount, .. } => Some(amount),
        _ => None,
    });
    let mut out = Ratio::zero();
    for (amount, at) in amounts.zip(places) {
        if let DecantDose::Weighed { part, .. } = amount {
            out = &out + part;
        }
        if most < out {
            problems
                .error(at.clone(), "more is decanted than the recipe makes")
                .help = Some("decant less, or write decant = \"all\"".to_owned());
            return false;
        }
    }
    true
}

/// Returns whether nobody knows how much a step adds.
const fn is_open(kind: &RecipeStepKind) -> bool {
    matches!(
        kind,
        RecipeStepKind::Add {
            dose: Dose::ByEye | Dose::Whole { .. },
            ..
        } | RecipeStepKind::Thin { at_most: None, .. }
    )
}
