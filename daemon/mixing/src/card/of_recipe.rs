//! From a sized recipe to its card.

use tarehand_protocol::Mass;

use super::value::{Card, Caution, Counted, Line, Made, Portion, tidy};
use super::{stand_ins, steps};
use crate::procedure::{Amount, Procedure, StepKind};
use crate::ratio::Ratio;
use crate::recipe::Recipe;
use crate::shelf::Shelf;
use crate::sizing::{Goal, size};
use crate::units::Volume;

/// Returns the card of a recipe, for the size of a procedure made of it.
///
/// What may stand in for what is said as the shelf says it. A premix has its card in the size of its own file, or of the same total where that says none.
#[must_use]
pub fn of_recipe(recipe: &Recipe, procedure: &Procedure, shelf: &Shelf) -> Card {
    let mut card = one(recipe.stem(), procedure);
    let mut waiting: Vec<&Recipe> = premixes_of(recipe);
    while let Some(premix) = waiting.pop() {
        if card.premix(premix.stem()).is_some() {
            continue;
        }
        let goal = Goal::Make(premix.makes().unwrap_or(procedure.planned));
        if let Ok(sizing) = size(premix, &goal) {
            let mut inner = one(premix.stem(), &sizing.procedure);
            // Cautions are said once, on the card that is handed on.
            for step in &sizing.procedure.steps {
                if let Some(ingredient) = step.kind.ingredient() {
                    Caution::add(ingredient, &mut card.cautions);
                }
            }
            inner.cautions.clear();
            card.premixes.push(inner);
        }
        waiting.extend(premixes_of(premix));
    }
    stand_ins::note(&mut card, shelf);
    card
}

/// Returns the premixes of a recipe, the one that is used first last: it is taken from the end.
fn premixes_of(recipe: &Recipe) -> Vec<&Recipe> {
    let used = recipe
        .steps
        .iter()
        .rev()
        .filter_map(|step| match &step.kind {
            crate::recipe::RecipeStepKind::Add { ingredient, .. }
            | crate::recipe::RecipeStepKind::Thin {
                with: ingredient, ..
            } => recipe.premixes.get(&ingredient.key),
            _ => None,
        });
    used.map(AsRef::as_ref).collect()
}

/// Returns the card of a procedure alone, without the cards of its premixes.
pub(super) fn one(key: &str, procedure: &Procedure) -> Card {
    let jar = procedure
        .jar_ul
        .and_then(|microlitres| i64::try_from(microlitres).ok())
        .map(|microlitres| Volume::from_microlitres(Ratio::new(microlitres, 1)));
    let mut cautions = Vec::new();
    for step in &procedure.steps {
        if let Some(ingredient) = step.kind.ingredient() {
            Caution::add(ingredient, &mut cautions);
        }
    }
    Card {
        key: key.to_owned(),
        name: tidy(&procedure.recipe),
        made: Made::Recipe,
        total: procedure.planned,
        trail_s: procedure.trail_s,
        pot_life: procedure.pot_life,
        choices: procedure.choices.clone(),
        tools: steps::tools(procedure.steps.iter().map(|step| &step.kind), jar.as_ref()),
        jar,
        lines: lines(procedure.steps.iter().map(|step| &step.kind)),
        steps: procedure.steps.iter().map(steps::planned).collect(),
        happened: Vec::new(),
        premixes: Vec::new(),
        cautions,
    }
}

/// Returns what goes in, as planned: what is added twice inside the ratio is one line.
pub(super) fn lines<'s>(kinds: impl Iterator<Item = &'s StepKind>) -> Vec<Line> {
    let mut inside: Vec<Line> = Vec::new();
    let mut outside: Vec<Line> = Vec::new();
    for kind in kinds {
        let (ingredient, portion) = match kind {
            StepKind::Add(addition) => (&addition.ingredient, planned(&addition.amount)),
            StepKind::Thin {
                with, by, at_most, ..
            } => (
                with,
                Portion::Thinning {
                    by: *by,
                    at_most: *at_most,
                },
            ),
            _ => continue,
        };
        let mut line = Line::of(ingredient, portion);
        if let StepKind::Add(addition) = kind {
            line.counted = counted(&addition.amount);
        }
        match &line.portion {
            Portion::Share { mass, share } => {
                let known = inside.iter_mut().find(|known| known.key == line.key);
                match known {
                    Some(known) => add(known, *mass, share),
                    None => inside.push(line),
                }
            }
            _ => outside.push(line),
        }
    }
    inside.append(&mut outside);
    inside
}

/// Adds more of the same; a count is said only where all of it is counted.
fn add(line: &mut Line, more: Mass, more_share: &Ratio) {
    if let Portion::Share { mass, share } = &mut line.portion {
        *mass += more;
        *share = &*share + more_share;
    }
    line.counted = None;
}

/// Returns what is planned of an ingredient.
pub(super) fn planned(amount: &Amount) -> Portion {
    match amount {
        Amount::Weighed { share, target, .. }
        | Amount::Counted {
            share,
            expected: target,
            ..
        } => Portion::Share {
            mass: *target,
            share: share.clone(),
        },
        Amount::Range { low, high } => Portion::Range {
            low: *low,
            high: *high,
        },
        Amount::ByEye => Portion::ByEye,
        Amount::Whole { vessel } => Portion::Whole {
            vessel: tidy(vessel),
        },
    }
}

/// Returns what the author counts it in.
pub(super) const fn counted(amount: &Amount) -> Option<Counted> {
    match amount {
        Amount::Counted { unit, each, .. } => Some(Counted {
            unit: *unit,
            each: *each,
        }),
        Amount::Weighed { .. } | Amount::Range { .. } | Amount::ByEye | Amount::Whole { .. } => {
            None
        }
    }
}
