//! Grams of one thing in place of grams of another: what stand-ins and choices do to a recipe's shares.

use super::model::{Dose, Recipe, RecipeStepKind, Tolerance};
use crate::ratio::Ratio;

/// Takes so many grams for each gram of what a step pours; the shares no longer sum to one afterwards.
pub(super) fn times(kind: &mut RecipeStepKind, ratio: &Ratio) {
    match kind {
        RecipeStepKind::Add { dose, .. } => {
            *dose = scaled(std::mem::replace(dose, Dose::ByEye), ratio);
        }
        RecipeStepKind::Thin { by, at_most, .. } => {
            *by = &*by * ratio;
            *at_most = at_most.as_ref().map(|most| most * ratio);
        }
        RecipeStepKind::Stir(_)
        | RecipeStepKind::Rest(_)
        | RecipeStepKind::Strain(_)
        | RecipeStepKind::Look(_)
        | RecipeStepKind::Trail(_)
        | RecipeStepKind::Decant { .. }
        | RecipeStepKind::Note(_) => {}
    }
}

/// The tolerance of an addition that the recipe does not know: 2 % of it, as everywhere.
pub(super) fn usual() -> Tolerance {
    Tolerance::OfTarget(Ratio::new(2, 100))
}

pub(super) const fn share_of(dose: &Dose) -> Option<&Ratio> {
    match dose {
        Dose::Weighed { share, .. } | Dose::Counted { share, .. } => Some(share),
        Dose::Range { .. } | Dose::ByEye | Dose::Whole { .. } => None,
    }
}

pub(super) const fn share_mut(dose: &mut Dose) -> Option<&mut Ratio> {
    match dose {
        Dose::Weighed { share, .. } | Dose::Counted { share, .. } => Some(share),
        Dose::Range { .. } | Dose::ByEye | Dose::Whole { .. } => None,
    }
}

/// Scales a dose; what was counted in drops of the one is weighed of the other.
fn scaled(dose: Dose, ratio: &Ratio) -> Dose {
    match dose {
        Dose::Weighed { share, within } => Dose::Weighed {
            share: &share * ratio,
            within,
        },
        Dose::Counted { share, within, .. } => Dose::Weighed {
            share: &share * ratio,
            within: within.unwrap_or_else(usual),
        },
        Dose::Range { low, high, .. } => Dose::Range {
            low: &low * ratio,
            high: &high * ratio,
            counted: None,
        },
        dose @ (Dose::ByEye | Dose::Whole { .. }) => dose,
    }
}

/// Takes all shares of their new sum, and leaves out what became superfluous.
pub(super) fn normalise(recipe: &mut Recipe) {
    let sum: Ratio = recipe.shares().map(|(_, share)| share.clone()).sum();
    for step in &mut recipe.steps {
        if let RecipeStepKind::Add { dose, .. } = &mut step.kind
            && let Some(share) = share_mut(dose)
            && let Some(of_sum) = share.checked_div(&sum)
        {
            *share = of_sum.reduced();
        }
    }
    recipe.steps.retain(|step| match &step.kind {
        RecipeStepKind::Add { dose, .. } => share_of(dose).is_none_or(|share| !share.is_zero()),
        _ => true,
    });
}
