//! What a batch draws from the shelf, premixes taken apart.

use std::collections::BTreeMap;

use tarehand_protocol::Mass;

use crate::procedure::Ingredient;
use crate::ratio::Ratio;
use crate::recipe::Recipe;

/// What a batch needs of one ingredient.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Need {
    /// The ingredient.
    pub ingredient: Ingredient,
    /// Its exact share of the planned total, premixes taken apart; nothing for what lies outside the ratio.
    pub share: Ratio,
    /// The most that may be needed, ranges and thinning at their most.
    pub most: Mass,
    /// What is on the shelf, where the shelf says it.
    pub stock: Option<Mass>,
}

/// Returns what so much of a recipe needs, premixes taken apart into their own ingredients.
///
/// A premix that stands on the shelf is an ingredient like any other.
#[must_use]
pub fn needs(recipe: &Recipe, planned: Mass) -> Vec<Need> {
    let mut sums: BTreeMap<String, Sum> = BTreeMap::new();
    take_apart(recipe, &Ratio::one(), &mut sums);
    let planned = Ratio::from_mass(planned);
    sums.into_values()
        .map(|sum| Need {
            most: (&(&sum.share + &sum.extra) * &planned).to_mass(),
            stock: sum.ingredient.stock,
            ingredient: sum.ingredient,
            share: sum.share,
        })
        .collect()
}

struct Sum {
    ingredient: Ingredient,
    share: Ratio,
    extra: Ratio,
}

fn take_apart(recipe: &Recipe, of: &Ratio, sums: &mut BTreeMap<String, Sum>) {
    let inside = recipe
        .shares()
        .map(|(ingredient, share)| (ingredient, share, true));
    let outside = recipe
        .extras()
        .map(|(ingredient, share)| (ingredient, share, false));
    for (ingredient, share, is_inside) in inside.chain(outside) {
        let part = of * share;
        if let Some(premix) = recipe.premixes.get(&ingredient.key) {
            take_apart(premix, &part, sums);
            continue;
        }
        let sum = sums.entry(ingredient.key.clone()).or_insert_with(|| Sum {
            ingredient: ingredient.clone(),
            share: Ratio::zero(),
            extra: Ratio::zero(),
        });
        if is_inside {
            sum.share = &sum.share + &part;
        } else {
            sum.extra = &sum.extra + &part;
        }
    }
}
