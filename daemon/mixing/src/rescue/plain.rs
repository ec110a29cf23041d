//! Closed forms and breakpoints, exact: what a jar can become when every raw ingredient can be poured by itself.
//!
//! `m` is what is in the jar, `f` the shares, `T` the total. The figures of its tests say where they come
//! from; the sharing out is the continuous knapsack with a bound on every item.

use crate::ratio::Ratio;

use super::situation::{Component, Situation};

/// Returns the smallest total at which every ingredient can have its exact share: `T = max(planned, max mᵢ/fᵢ)`.
pub(super) fn exact_total(situation: &Situation) -> Ratio {
    let planned = Ratio::from_mass(situation.planned);
    made_by_the_jar(situation).map_or(planned.clone(), |(_, made)| made.max(planned))
}

/// Returns the smallest total at which what is in the jar has its exact share, `max mᵢ/fᵢ`, and what forces it.
pub(super) fn made_by_the_jar(situation: &Situation) -> Option<(&Component, Ratio)> {
    let totals = situation.components.iter().filter_map(|component| {
        let total = component.in_jar.checked_div(&component.share)?;
        (!total.is_zero()).then_some((component, total))
    });
    totals
        .max_by(|(_, one), (_, other)| one.cmp(other))
        .map(|(component, total)| (component, total.reduced()))
}

/// Returns every ingredient at its exact share of a total.
pub(super) fn at_ratio(situation: &Situation, total: &Ratio) -> Vec<Ratio> {
    situation
        .components
        .iter()
        .map(|component| &component.share * total)
        .collect()
}

/// Returns the smallest total at which every share is within its tolerance.
///
/// `T ≥ mᵢ/highᵢ` for each, and `T ≥ Σ max(mᵢ, lowᵢ·T)`. The second is a convex line with a corner where
/// `mᵢ = lowᵢ·T`; from the left, the total at which the present piece of it would be met never goes too far, and
/// each turn leaves at least one corner behind.
pub(super) fn least_total(situation: &Situation) -> Ratio {
    let components = &situation.components;
    let needed = components
        .iter()
        .filter_map(|component| component.in_jar.checked_div(&component.high));
    let mut total = needed
        .fold(Ratio::from_mass(situation.planned), Ord::max)
        .reduced();
    for _ in 0..=components.len() {
        let mut too_much = Ratio::zero();
        let mut rest = Ratio::one();
        let mut least = Ratio::zero();
        for component in components {
            let low = &component.low * &total;
            if low < component.in_jar {
                too_much = &too_much + &component.in_jar;
                least = &least + &component.in_jar;
            } else {
                rest = &rest - &component.low;
                least = &least + &low;
            }
        }
        if least <= total {
            break;
        }
        match too_much.checked_div(&rest) {
            Some(next) if total < next => total = next.reduced(),
            Some(_) | None => break,
        }
    }
    total
}

/// Shares a total out so that the worst relative deviation is least, within what is in, the tolerances and the
/// stock; `None` where that cannot be.
///
/// Every ingredient gets the same multiple of its share, or the bound that this runs into: were another mix nearer
/// to the ratio, all its ingredients would lie above that multiple (or below it), and so would their sum.
pub(super) fn nearest_mix(
    situation: &Situation,
    total: &Ratio,
    most: &[Option<Ratio>],
) -> Option<Vec<Ratio>> {
    let bounds: Vec<(Ratio, Ratio)> = situation
        .components
        .iter()
        .zip(most)
        .map(|(component, most)| {
            let low = (&component.low * total).max(component.in_jar.clone());
            let high = &component.high * total;
            let high = match most {
                Some(most) if *most < high => most.clone(),
                Some(_) | None => high,
            };
            (low, high)
        })
        .collect();
    let mut fixed: Vec<Option<Ratio>> = vec![None; bounds.len()];
    if bounds.iter().any(|(low, high)| high < low) {
        return None;
    }
    let (mut rest, mut weight) = (total.clone(), Ratio::one());
    loop {
        let Some(level) = rest.checked_div(&weight).map(|level| level.reduced()) else {
            // Everything ran into a bound: only right when that leaves nothing over.
            return rest
                .is_zero()
                .then(|| fixed.into_iter().flatten().collect());
        };
        let (mut below, mut above) = (Ratio::zero(), Ratio::zero());
        let free = |at: &usize| fixed[*at].is_none();
        let at_level = |at: usize| &situation.components[at].share * &level;
        for at in (0..bounds.len()).filter(free) {
            let (low, high) = &bounds[at];
            let mass = at_level(at);
            if mass < *low {
                below = &below + &(low - &mass);
            } else if *high < mass {
                above = &above + &(&mass - high);
            }
        }
        let fix_low = above <= below;
        let hits: Vec<(usize, Ratio)> = (0..bounds.len())
            .filter(free)
            .filter_map(|at| {
                let (low, high) = &bounds[at];
                let mass = at_level(at);
                match fix_low {
                    true if mass < *low => Some((at, low.clone())),
                    false if *high < mass => Some((at, high.clone())),
                    _ => None,
                }
            })
            .collect();
        if hits.is_empty() {
            let mix = fixed.into_iter().enumerate().map(|(at, fixed)| {
                fixed.unwrap_or_else(|| &situation.components[at].share * &level)
            });
            return Some(mix.collect());
        }
        for (at, bound) in hits {
            rest = &rest - &bound;
            weight = &weight - &situation.components[at].share;
            fixed[at] = Some(bound);
        }
    }
}
