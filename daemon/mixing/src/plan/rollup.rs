//! Rolls nested premixes up into one amount each.

use std::collections::{BTreeMap, BTreeSet};

use tarehand_protocol::Mass;

use super::PlanError;
use crate::procedure::{Ingredient, Procedure};
use crate::ratio::Ratio;
use crate::recipe::Recipe;
use crate::set::Set;
use crate::sizing::{Goal, size};

/// One premix of a plan: a single amount for all that use it.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedPremix {
    /// Its key.
    pub key: String,
    /// Its name for people.
    pub name: String,
    /// Exactly how much to mix, in micrograms: what is drawn from it, and the heel.
    pub exact: Ratio,
    /// The same, rounded once.
    pub mass: Mass,
    /// What stays in its vessel.
    pub heel: Mass,
    /// The recipe in grams.
    pub procedure: Procedure,
}

/// Into what something is poured.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Into {
    /// The jar of this place in the set, from 0.
    Jar(usize),
    /// The premix of this key.
    Premix(String),
}

/// One pour of a plan, exactly.
#[derive(Clone, Debug, PartialEq)]
pub struct Draw {
    /// What is poured.
    pub ingredient: Ingredient,
    /// Into what.
    pub into: Into,
    /// Exactly how much by the recipe's ratio, in micrograms.
    pub exact: Ratio,
    /// What ranges and thinning may add at most.
    pub extra: Ratio,
}

/// A set taken apart.
pub(super) struct RollUp {
    pub premixes: Vec<PlannedPremix>,
    pub draws: Vec<Draw>,
}

/// Takes a set apart, given the exact micrograms of its jars.
///
/// A premix is planned with ranges and thinning at their most: running out of it in the middle is worse than a rest.
pub(super) fn roll_up(set: &Set, masses: &[Ratio]) -> Result<RollUp, PlanError> {
    let order = premixes_first(set);
    let mut gathering = Gathering {
        premixes: order.iter().map(|premix| premix.stem()).collect(),
        wanted: BTreeMap::new(),
        draws: Vec::new(),
    };
    for (place, (jar, total)) in set.jars.iter().zip(masses).enumerate() {
        gathering.pour(&jar.recipe, &Into::Jar(place), total);
    }
    let mut premixes = Vec::with_capacity(order.len());
    // Whoever uses a premix comes before it here, so its amount is complete when its turn comes.
    for recipe in order.iter().rev() {
        let Some(drawn) = gathering.wanted.remove(recipe.stem()) else {
            continue;
        };
        let exact = &drawn + &Ratio::from_mass(set.heel);
        gathering.pour(recipe, &Into::Premix(recipe.stem().to_owned()), &exact);
        let mass = exact.to_mass();
        let sizing = size(recipe, &Goal::Make(mass)).map_err(|source| PlanError::Size {
            stem: recipe.stem().to_owned(),
            source,
        })?;
        premixes.push(PlannedPremix {
            key: recipe.stem().to_owned(),
            name: recipe.name().to_owned(),
            exact,
            mass,
            heel: set.heel,
            procedure: sizing.procedure,
        });
    }
    premixes.reverse();
    Ok(RollUp {
        premixes,
        draws: gathering.draws,
    })
}

/// What has been poured so far, and what that takes of the premixes.
struct Gathering<'s> {
    premixes: BTreeSet<&'s str>,
    wanted: BTreeMap<&'s str, Ratio>,
    draws: Vec<Draw>,
}

impl Gathering<'_> {
    fn pour(&mut self, recipe: &Recipe, into: &Into, total: &Ratio) {
        let none = Ratio::zero();
        let shares = recipe
            .shares()
            .map(|(ingredient, share)| (ingredient, share, &none));
        let extras = recipe
            .extras()
            .map(|(ingredient, extra)| (ingredient, &none, extra));
        for (ingredient, share, extra) in shares.chain(extras) {
            let (exact, extra) = ((share * total).reduced(), (extra * total).reduced());
            if recipe.premixes.contains_key(&ingredient.key)
                && let Some(key) = self.premixes.get(ingredient.key.as_str())
            {
                let sum = self.wanted.entry(key).or_insert_with(Ratio::zero);
                *sum = (&*sum + &(&exact + &extra)).reduced();
            }
            self.draws.push(Draw {
                ingredient: ingredient.clone(),
                into: into.clone(),
                exact,
                extra,
            });
        }
    }
}

/// Returns every premix once, each after those it is made of.
pub(super) fn premixes_first(set: &Set) -> Vec<&Recipe> {
    fn visit<'r>(recipe: &'r Recipe, seen: &mut BTreeSet<&'r str>, order: &mut Vec<&'r Recipe>) {
        for (key, premix) in recipe.premixes() {
            if seen.insert(key) {
                visit(premix, seen, order);
                order.push(premix);
            }
        }
    }
    let (mut seen, mut order) = (BTreeSet::new(), Vec::new());
    for jar in &set.jars {
        visit(&jar.recipe, &mut seen, &mut order);
    }
    order
}
