//! What a plan takes from the shelf, what is missing there, and what it costs.

use std::collections::BTreeMap;

use tarehand_protocol::Mass;

use super::rollup::RollUp;
use crate::procedure::Ingredient;
use crate::ratio::Ratio;

/// What a plan takes of one ingredient.
#[derive(Clone, Debug, PartialEq)]
pub struct RawNeed {
    /// The ingredient.
    pub ingredient: Ingredient,
    /// Exactly how much by the ratios of jars and premixes, heels included, in micrograms.
    pub exact: Ratio,
    /// The same, rounded once.
    pub mass: Mass,
    /// The most that may be needed, ranges and thinning at their most.
    pub most: Mass,
    /// What the shelf lacks; `None` when there is enough, or nobody counts.
    pub shortage: Option<Shortage>,
    /// What is needed costs so much, where the shelf says a price.
    pub price: Option<Ratio>,
}

/// What the shelf lacks of one ingredient.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shortage {
    /// By how much.
    pub by: Mass,
    /// How many packs that is and what one holds, where the shelf says how it is sold.
    pub packs: Option<(u64, Mass)>,
}

/// What a plan costs.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cost {
    /// The money by currency; no currency where the shelf says none.
    pub money: BTreeMap<Option<String>, Ratio>,
    /// Names of what the shelf says no price of.
    pub unpriced: Vec<String>,
}

/// Sums up what comes from the shelf.
pub(super) fn needs(rollup: &RollUp) -> Vec<RawNeed> {
    let premixes: std::collections::BTreeSet<&str> = rollup
        .premixes
        .iter()
        .map(|premix| premix.key.as_str())
        .collect();
    let mut sums: BTreeMap<&str, (&Ingredient, Ratio, Ratio)> = BTreeMap::new();
    for draw in &rollup.draws {
        if premixes.contains(draw.ingredient.key.as_str()) {
            continue;
        }
        let sum = sums
            .entry(&draw.ingredient.key)
            .or_insert_with(|| (&draw.ingredient, Ratio::zero(), Ratio::zero()));
        sum.1 = (&sum.1 + &draw.exact).reduced();
        sum.2 = (&sum.2 + &draw.extra).reduced();
    }
    let need = |(ingredient, exact, extra): (&Ingredient, Ratio, Ratio)| {
        let most = (&exact + &extra).to_mass();
        RawNeed {
            ingredient: ingredient.clone(),
            mass: exact.to_mass(),
            most,
            shortage: shortage(ingredient, most),
            price: ingredient
                .price
                .as_ref()
                .map(|price| price.rate().of(&exact)),
            exact,
        }
    };
    sums.into_values().map(need).collect()
}

fn shortage(ingredient: &Ingredient, most: Mass) -> Option<Shortage> {
    let by = most - ingredient.stock?;
    if by <= Mass::ZERO {
        return None;
    }
    let packs = ingredient.price.as_ref().and_then(|price| {
        let (by_ug, per) = (by.micrograms(), price.per.micrograms());
        let packs = by_ug.checked_add(per - 1)? / per;
        Some((u64::try_from(packs).ok()?, price.per))
    });
    Some(Shortage { by, packs })
}

impl Cost {
    pub(super) fn of(raw: &[RawNeed]) -> Self {
        let mut cost = Self::default();
        for need in raw {
            match (&need.price, &need.ingredient.price) {
                (Some(money), Some(price)) => {
                    let sum = cost
                        .money
                        .entry(price.currency.clone())
                        .or_insert_with(Ratio::zero);
                    *sum = &*sum + money;
                }
                _ => cost.unpriced.push(need.ingredient.name.clone()),
            }
        }
        cost
    }
}
