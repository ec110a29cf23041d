//! Two ways to walk several jars: jar by jar, or bottle by bottle.
//!
//! What costs a person time is taking up bottles and setting down jars. Neither way changes the order of the pours
//! within a jar: a recipe's order matters.

mod by_bottle;
mod by_jar;

use std::collections::BTreeMap;

use tarehand_protocol::Mass;

use super::{PlannedJar, Way};
use crate::procedure::Ingredient;

/// The pours of one jar, in the recipe's order, each as a number of its ingredient.
pub type Route = Vec<usize>;

/// One pour of a walk.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Visit {
    /// Which jar, from 0.
    pub jar: usize,
    /// Which of its pours, from 0.
    pub pour: usize,
}

/// A way to walk the jars.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Walk {
    /// Every pour of every jar once, in order.
    pub visits: Vec<Visit>,
    /// How many times a bottle is taken up.
    pub bottles: usize,
    /// How many times a jar is set on the pan.
    pub jars: usize,
    /// Whether nothing shorter exists.
    pub proof: Proof,
}

/// Whether a walk is the shortest of its kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proof {
    /// No walk of its kind takes up fewer bottles.
    Fewest,
    /// There are too many ways to try them all: this is the best one found.
    BestFound,
}

impl Walk {
    /// Counts what a walk costs.
    fn of(visits: Vec<Visit>, routes: &[Route], proof: Proof) -> Self {
        let mut walk = Self {
            visits: Vec::new(),
            bottles: 0,
            jars: 0,
            proof,
        };
        let mut last: Option<(usize, usize)> = None;
        for visit in &visits {
            let bottle = routes[visit.jar][visit.pour];
            let (same_bottle, same_jar) = last.map_or((false, false), |(before, jar)| {
                (before == bottle, jar == visit.jar)
            });
            walk.bottles += usize::from(!same_bottle);
            walk.jars += usize::from(!same_jar);
            last = Some((bottle, visit.jar));
        }
        walk.visits = visits;
        walk
    }

    /// Returns how often the hands change: bottles taken up and jars set down.
    #[must_use]
    pub const fn changes(&self) -> usize {
        self.bottles + self.jars
    }
}

/// Walks jar by jar, in the order that takes up the fewest bottles.
#[must_use]
pub fn jar_by_jar(routes: &[Route]) -> Walk {
    Walk::of(by_jar::visits(routes), routes, Proof::Fewest)
}

/// Walks bottle by bottle: each bottle taken up is poured into every jar that waits for it.
///
/// Takes up the fewest bottles, and among those walks sets down the fewest jars, as long as the ways can all be tried.
#[must_use]
pub fn bottle_by_bottle(routes: &[Route]) -> Walk {
    let (visits, proof) = by_bottle::visits(routes);
    Walk::of(visits, routes, proof)
}

/// A pour of a plan, for people.
#[derive(Clone, Debug, PartialEq)]
pub struct Pour {
    /// What.
    pub ingredient: Ingredient,
    /// How much; `None` where the amount is judged.
    pub target: Option<Mass>,
    /// Which step of the jar's procedure it is, from 0.
    pub step: usize,
}

/// Both ways to walk the jars of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Walks {
    /// The pours of each jar.
    pub pours: Vec<Vec<Pour>>,
    /// Jar by jar.
    pub by_jar: Walk,
    /// Bottle by bottle.
    pub by_bottle: Walk,
}

impl Walks {
    /// Returns the way that changes bottles and jars less often; jar by jar where both do as often.
    #[must_use]
    pub const fn shorter(&self) -> Way {
        if self.by_bottle.changes() < self.by_jar.changes() {
            Way::BottleByBottle
        } else {
            Way::JarByJar
        }
    }

    pub(super) fn of(jars: &[PlannedJar]) -> Self {
        let pours: Vec<Vec<Pour>> = jars
            .iter()
            .map(|jar| {
                let steps = jar.procedure.steps.iter().enumerate();
                let pour = |(step, of): (usize, &crate::procedure::Step)| {
                    Some(Pour {
                        ingredient: of.kind.ingredient()?.clone(),
                        target: of.kind.target(),
                        step,
                    })
                };
                steps.filter_map(pour).collect()
            })
            .collect();
        let mut numbers: BTreeMap<&str, usize> = BTreeMap::new();
        let mut routes: Vec<Route> = Vec::with_capacity(pours.len());
        for jar in &pours {
            let mut route = Route::with_capacity(jar.len());
            for pour in jar {
                let next = numbers.len();
                route.push(*numbers.entry(&pour.ingredient.key).or_insert(next));
            }
            routes.push(route);
        }
        let (by_jar, by_bottle) = (jar_by_jar(&routes), bottle_by_bottle(&routes));
        Self {
            pours,
            by_jar,
            by_bottle,
        }
    }
}

#[cfg(test)]
mod tests;
