//! Resolves a recipe with what there is: what is not to be had is replaced by its stand-in.
//!
//! A stand-in is used where the shelf counts an ingredient and has none of it. Every gram is replaced by the stand-in's
//! grams, others change as it says, and all shares are taken of the new sum: the batch keeps its size.

use std::collections::BTreeMap;

use super::exchange::{normalise, share_mut, share_of, times, usual};
use super::model::{Dose, Recipe, RecipeStep, RecipeStepKind};
use super::names::ingredient_of;
use crate::procedure::{Ingredient, Weigh};
use crate::ratio::Ratio;
use crate::shelf::{Shelf, ShelfItem, StandIn};
use tarehand_protocol::Mass;

/// What the shares were before something stood in.
#[derive(Clone, Debug, PartialEq)]
pub struct Replaced {
    /// What is not to be had.
    pub missing: Ingredient,
    /// What stands in for it.
    pub used: Ingredient,
    /// What comes out differently, in the shelf's own words.
    pub note: Option<String>,
}

/// Why a stand-in cannot be used in a recipe.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub(super) enum StandInError {
    /// It takes away more than there is.
    #[error("`{used}` in place of `{missing}` takes away more `{other}` than the recipe has")]
    TooLittle {
        missing: String,
        used: String,
        other: String,
    },
}

/// Returns the recipe with stand-ins, and what was replaced; the recipe as it is where everything is to be had.
pub(super) fn stand_in(mut recipe: Recipe, shelf: &Shelf) -> Result<Recipe, StandInError> {
    let missing: Vec<(Ingredient, &StandIn, &ShelfItem)> = poured(&recipe)
        .filter_map(|ingredient| {
            let item = shelf.get(&ingredient.key).filter(|_| is_gone(ingredient))?;
            let mut choices = item.stand_ins.iter();
            let choice = choices.find(|choice| {
                shelf
                    .get(&choice.uses)
                    .is_some_and(|item| item.stock != Some(Mass::ZERO))
            })?;
            Some((ingredient.clone(), choice, shelf.get(&choice.uses)?))
        })
        .collect();
    if missing.is_empty() {
        return Ok(recipe);
    }
    let before: Vec<(Ingredient, Ratio)> = recipe
        .shares()
        .map(|(ingredient, share)| (ingredient.clone(), share.clone()))
        .collect();
    for (gone, choice, item) in missing {
        let used = ingredient_of(&choice.uses, item);
        replace(&mut recipe, &gone, &used, choice, shelf)?;
        recipe.replaced.push(Replaced {
            missing: gone,
            used,
            note: choice.note.clone(),
        });
    }
    normalise(&mut recipe);
    recipe.as_written = before;
    Ok(recipe)
}

/// Returns whether the shelf counts it and has none.
fn is_gone(ingredient: &Ingredient) -> bool {
    ingredient.stock == Some(Mass::ZERO)
}

/// Returns everything a recipe pours, each once.
fn poured(recipe: &Recipe) -> impl Iterator<Item = &Ingredient> {
    let mut all: BTreeMap<&str, &Ingredient> = BTreeMap::new();
    for step in &recipe.steps {
        if let RecipeStepKind::Add { ingredient, .. }
        | RecipeStepKind::Thin {
            with: ingredient, ..
        } = &step.kind
        {
            all.insert(&ingredient.key, ingredient);
        }
    }
    all.into_values()
}

/// Replaces one ingredient; the shares no longer sum to one afterwards.
fn replace(
    recipe: &mut Recipe,
    gone: &Ingredient,
    used: &Ingredient,
    choice: &StandIn,
    shelf: &Shelf,
) -> Result<(), StandInError> {
    let mut share_gone = Ratio::zero();
    let mut last = 0;
    for (at, step) in recipe.steps.iter_mut().enumerate() {
        match &mut step.kind {
            RecipeStepKind::Add { ingredient, dose } if ingredient.key == gone.key => {
                if let Some(share) = share_of(dose) {
                    share_gone = &share_gone + share;
                }
                *ingredient = used.clone();
                last = at;
            }
            RecipeStepKind::Thin { with, .. } if with.key == gone.key => *with = used.clone(),
            _ => continue,
        }
        times(&mut step.kind, &choice.ratio);
    }
    // What comes along is weighed as what it comes along with.
    let weigh = recipe.steps.get(last).map_or(Weigh::Jar, |step| step.weigh);
    for (other, grams) in &choice.also {
        let change = grams * &share_gone;
        let step = recipe
            .steps
            .iter_mut()
            .find_map(|step| match &mut step.kind {
                RecipeStepKind::Add { ingredient, dose } if ingredient.key == *other => {
                    share_mut(dose)
                }
                _ => None,
            });
        match step {
            Some(share) => *share = &*share + &change,
            None => recipe
                .steps
                .insert(last + 1, added(other, change.clone(), weigh, shelf)),
        }
        let short = recipe
            .shares()
            .any(|(ingredient, share)| ingredient.key == *other && *share < Ratio::zero());
        if short {
            return Err(StandInError::TooLittle {
                missing: gone.key.clone(),
                used: used.key.clone(),
                other: other.clone(),
            });
        }
    }
    Ok(())
}

/// Makes a step of what a stand-in brings along.
fn added(key: &str, share: Ratio, weigh: Weigh, shelf: &Shelf) -> RecipeStep {
    let ingredient = match shelf.get(key) {
        Some(item) => ingredient_of(key, item),
        None => Ingredient::by_name(key),
    };
    RecipeStep {
        kind: RecipeStepKind::Add {
            ingredient,
            dose: Dose::Weighed {
                share,
                within: usual(),
            },
        },
        note: None,
        weigh,
    }
}

#[cfg(test)]
mod tests;
