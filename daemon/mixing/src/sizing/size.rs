//! From a recipe and a goal to a procedure in grams.

use std::collections::BTreeMap;
use std::time::Duration;

use tarehand_protocol::Mass;

use super::{contents, count_text, needs};
use crate::diagnostic::{Finding, nearest};
use crate::procedure::{
    Addition, Amount, Decanted, Premix, Procedure, Step, StepKind, Weigh, Within,
};
use crate::ratio::Ratio;
use crate::recipe::{DecantDose, Dose, Recipe, RecipeStepKind, Tolerance};
use crate::units::Volume;

/// How much is to be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Goal {
    /// So much, inside the ratio.
    Make(Mass),
    /// As much as what there is of one ingredient allows, also inside premixes.
    From {
        /// The ingredient's key.
        ingredient: String,
        /// What there is of it.
        have: Mass,
    },
    /// As much as fits into a jar, ranges and thinning at their most.
    Jar(Volume),
}

/// A sized recipe and what is worth saying about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Sizing {
    /// The recipe in grams.
    pub procedure: Procedure,
    /// The sum of the rounded targets; at most half a microgram a step from what was planned.
    pub sum: Mass,
    /// Ingredients whose density was needed but not known, taken as 1 g/ml.
    pub assumed: Vec<String>,
    /// What stand-ins changed.
    pub changed: Vec<Changed>,
}

/// What a stand-in changed of one ingredient.
#[derive(Clone, Debug, PartialEq)]
pub struct Changed {
    /// Its key.
    pub key: String,
    /// Its name.
    pub name: String,
    /// Its share and grams as the recipe is written.
    pub before: (Ratio, Mass),
    /// The same with the stand-ins.
    pub after: (Ratio, Mass),
}

impl Sizing {
    /// Says what a person should know about the sizes.
    #[must_use]
    pub fn notes(&self) -> Vec<Finding> {
        let planned = self.procedure.planned;
        let rounded = (self.sum != planned).then_some(Finding::Rounded {
            sum: self.sum,
            planned,
        });
        let assumed = (!self.assumed.is_empty()).then(|| Finding::Assumed {
            ingredients: self.assumed.clone(),
        });
        let changed = self.changed.iter().map(|changed| Finding::Changed {
            name: changed.name.clone(),
            before: changed.before.clone(),
            after: changed.after.clone(),
        });
        rounded.into_iter().chain(assumed).chain(changed).collect()
    }
}

/// Compares the shares as written with those that stand in.
fn changed(recipe: &Recipe, total: &Ratio) -> Vec<Changed> {
    if recipe.as_written().is_empty() {
        return Vec::new();
    }
    let mut sums: BTreeMap<&str, (&str, Ratio, Ratio)> = BTreeMap::new();
    for (ingredient, share) in recipe.as_written() {
        let sum = sums
            .entry(&ingredient.key)
            .or_insert_with(|| (&ingredient.name, Ratio::zero(), Ratio::zero()));
        sum.1 = &sum.1 + share;
    }
    for (ingredient, share) in recipe.shares() {
        let sum = sums
            .entry(&ingredient.key)
            .or_insert_with(|| (&ingredient.name, Ratio::zero(), Ratio::zero()));
        sum.2 = &sum.2 + share;
    }
    let with_mass = |share: Ratio| {
        let mass = (&share * total).to_mass();
        (share, mass)
    };
    sums.into_iter()
        .filter(|(_, (_, before, after))| before != after)
        .map(|(key, (name, before, after))| Changed {
            key: key.to_owned(),
            name: name.to_owned(),
            before: with_mass(before),
            after: with_mass(after),
        })
        .collect()
}

/// Why a recipe cannot be sized so.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SizeError {
    /// Nothing, less than nothing, or too little to weigh a microgram of everything.
    #[error("a batch of {0} is too small: some step would be nothing")]
    TooSmall(Mass),
    /// More than [`Mass::LIMIT`].
    #[error("the batch would be more than a thousand tonnes")]
    TooLarge,
    /// The ingredient is not in it.
    #[error("`{ingredient}` has no share in `{recipe}`{}", meant_text(meant.as_deref()))]
    NotInIt {
        /// What was asked for.
        ingredient: String,
        /// The recipe's stem.
        recipe: String,
        /// What it may have meant.
        meant: Option<String>,
    },
}

fn meant_text(meant: Option<&str>) -> String {
    meant.map_or_else(String::new, |meant| format!("; did you mean `{meant}`?"))
}

/// Sizes a recipe: every step in grams, rounded once to whole micrograms, half to even.
///
/// Tolerances in grams, ranges, `by`, `at_most` and what is decanted scale with the batch.
///
/// # Errors
/// When the goal names an ingredient without a share, or leads to nothing or to too much.
pub fn size(recipe: &Recipe, goal: &Goal) -> Result<Sizing, SizeError> {
    let (planned, assumed) = planned(recipe, goal)?;
    if planned <= Mass::ZERO {
        return Err(SizeError::TooSmall(planned));
    }
    if Mass::LIMIT < planned {
        return Err(SizeError::TooLarge);
    }
    let total = Ratio::from_mass(planned);
    let mut steps = Vec::with_capacity(recipe.steps.len());
    let mut sum = Mass::ZERO;
    for step in &recipe.steps {
        let (kind, counted) = sized(&step.kind, step.weigh, &total);
        match kind.target() {
            Some(Mass::ZERO) => return Err(SizeError::TooSmall(planned)),
            Some(target) => sum += target,
            None => {}
        }
        let note = match (counted, &step.note) {
            (Some(counted), Some(note)) => Some(format!("{counted}; {note}")),
            (counted, note) => counted.or_else(|| note.clone()),
        };
        steps.push(Step { kind, note });
    }
    Ok(Sizing {
        procedure: Procedure {
            jar_ul: recipe.jar.as_ref().map(Volume::whole_microlitres),
            trail_s: recipe.trail.map(|trail| trail.as_secs_f64()),
            pot_life: recipe.pot_life,
            choices: recipe.choices.clone(),
            premixes: premixes(recipe),
            ..Procedure::of_steps(recipe.name.clone(), planned, steps)
        },
        sum,
        assumed,
        changed: changed(recipe, &total),
    })
}

/// Returns what every premix is made of, those inside premixes too; each once.
fn premixes(recipe: &Recipe) -> Vec<Premix> {
    let mut found: Vec<Premix> = Vec::new();
    let mut waiting: Vec<&Recipe> = vec![recipe];
    while let Some(recipe) = waiting.pop() {
        for (key, premix) in recipe.premixes() {
            if found.iter().any(|known| known.key == key) {
                continue;
            }
            let parts = premix
                .shares()
                .map(|(part, share)| (part.clone(), share.clone()));
            found.push(Premix {
                key: key.to_owned(),
                parts: parts.collect(),
            });
            waiting.push(premix);
        }
    }
    found
}

fn planned(recipe: &Recipe, goal: &Goal) -> Result<(Mass, Vec<String>), SizeError> {
    match goal {
        Goal::Make(planned) => Ok((*planned, Vec::new())),
        Goal::From { ingredient, have } => {
            let share =
                share_of(recipe, ingredient).ok_or_else(|| not_in_it(recipe, ingredient))?;
            let exact = Ratio::from_mass(*have).checked_div(&share);
            let exact = exact.ok_or_else(|| not_in_it(recipe, ingredient))?;
            Ok((floor(&exact), Vec::new()))
        }
        Goal::Jar(volume) => {
            // The volume is linear in the batch, so one gram tells about all of them.
            let gram = contents(recipe, Mass::from_grams(1));
            let grams = volume.microlitres().checked_div(gram.volume.microlitres());
            let grams = grams.expect("a gram of a recipe takes up room");
            let exact = &grams * &Ratio::from_mass(Mass::from_grams(1));
            Ok((floor(&exact), gram.assumed))
        }
    }
}

/// Returns the share of an ingredient or premix; one that is only inside premixes counts too.
fn share_of(recipe: &Recipe, key: &str) -> Option<Ratio> {
    let direct = recipe
        .shares()
        .filter(|(ingredient, _)| ingredient.key == key);
    if recipe.premixes.contains_key(key) {
        return Some(direct.map(|(_, share)| share.clone()).sum());
    }
    let needs = needs(recipe, Mass::ZERO).into_iter();
    let mut found = needs.filter(|need| need.ingredient.key == key);
    found.next().map(|need| need.share)
}

fn not_in_it(recipe: &Recipe, ingredient: &str) -> SizeError {
    let known = recipe
        .shares()
        .map(|(ingredient, _)| ingredient.key.as_str());
    SizeError::NotInIt {
        ingredient: ingredient.to_owned(),
        recipe: recipe.stem.clone(),
        meant: nearest(ingredient, known).map(str::to_owned),
    }
}

/// Rounds down, so that what there is suffices and the jar does not run over.
fn floor(micrograms: &Ratio) -> Mass {
    let nearest = micrograms.to_mass();
    if micrograms < &Ratio::from_mass(nearest) {
        nearest - Mass::from_micrograms(1)
    } else {
        nearest
    }
}

/// Returns a step for this total, and the count of a range that was written as one.
fn sized(kind: &RecipeStepKind, weigh: Weigh, total: &Ratio) -> (StepKind, Option<String>) {
    let seconds = |time: &Option<Duration>| time.map(|time| time.as_secs_f64());
    let kind = match kind {
        RecipeStepKind::Add { ingredient, dose } => {
            let (amount, counted) = sized_dose(dose, total);
            let ingredient = ingredient.clone();
            let addition = Addition {
                ingredient,
                amount,
                weigh,
            };
            return (StepKind::Add(addition), counted);
        }
        RecipeStepKind::Stir(time) => StepKind::Stir { time: *time },
        RecipeStepKind::Rest(time) => StepKind::Rest { time: *time },
        RecipeStepKind::Strain(through) => StepKind::Strain {
            through: through.clone(),
        },
        RecipeStepKind::Look(expect) => StepKind::Look {
            expect: expect.clone(),
        },
        RecipeStepKind::Trail(wanted) => StepKind::Trail {
            wanted_s: seconds(wanted),
        },
        RecipeStepKind::Thin {
            with,
            by,
            at_most,
            wanted,
        } => StepKind::Thin {
            with: with.clone(),
            by: (by * total).to_mass(),
            at_most: at_most.as_ref().map(|at_most| (at_most * total).to_mass()),
            wanted_s: seconds(wanted),
            weigh,
        },
        RecipeStepKind::Decant { amount, into } => StepKind::Decant {
            amount: match amount {
                DecantDose::All => Decanted::All,
                DecantDose::Weighed { part, within } => Decanted::Weighed {
                    target: (part * total).to_mass(),
                    within: sized_within(within, total),
                },
            },
            into: into.clone(),
        },
        RecipeStepKind::Note(text) => StepKind::Note { text: text.clone() },
    };
    (kind, None)
}

fn sized_dose(dose: &Dose, total: &Ratio) -> (Amount, Option<String>) {
    let amount = match dose {
        Dose::Weighed { share, within } => Amount::Weighed {
            share: share.clone(),
            target: (share * total).to_mass(),
            within: sized_within(within, total),
        },
        Dose::Counted {
            share,
            unit,
            each,
            within,
        } => Amount::Counted {
            share: share.clone(),
            unit: *unit,
            each: each.to_mass(),
            expected: (share * total).to_mass(),
            within: within.as_ref().map(|within| sized_within(within, total)),
        },
        Dose::Range { low, high, counted } => {
            let (low, high) = ((low * total).to_mass(), (high * total).to_mass());
            let text = counted.as_ref().map(|(unit, each)| {
                let count = |mass| count_text(mass, *unit, each.to_mass());
                format!("from {} to {}", count(low), count(high))
            });
            return (Amount::Range { low, high }, text);
        }
        Dose::ByEye => Amount::ByEye,
        Dose::Whole { vessel } => Amount::Whole {
            vessel: vessel.clone(),
        },
    };
    (amount, None)
}

fn sized_within(within: &Tolerance, total: &Ratio) -> Within {
    match within {
        Tolerance::OfTarget(fraction) => Within::Fraction(fraction.clone()),
        Tolerance::OfTotal(fraction) => Within::Mass((fraction * total).to_mass()),
    }
}
