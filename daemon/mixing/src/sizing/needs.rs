//! What a batch draws from the shelf, premixes taken apart.

use std::collections::BTreeMap;
use std::marker::PhantomData;
use std::rc::Rc;

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
    TakenApart::default().needs(recipe, planned)
}

/// Recipes taken apart: a premix that several use is worked out once.
#[derive(Default)]
pub(crate) struct TakenApart<'r> {
    /// By which recipe in memory: one that is chosen one way and the other is two.
    done: BTreeMap<*const Recipe, Sums>,
    of: PhantomData<&'r Recipe>,
}

impl<'r> TakenApart<'r> {
    /// Returns what so much of a recipe needs.
    pub(crate) fn needs(&mut self, recipe: &'r Recipe, planned: Mass) -> Vec<Need> {
        needs_of(&take_apart(recipe, &mut self.done), planned)
    }
}

fn needs_of(sums: &Sums, planned: Mass) -> Vec<Need> {
    let planned = Ratio::from_mass(planned);
    sums.values()
        .map(|sum| Need {
            most: (&(&sum.share + &sum.extra) * &planned).to_mass(),
            stock: sum.ingredient.stock,
            ingredient: sum.ingredient.clone(),
            share: sum.share.clone(),
        })
        .collect()
}

struct Sum {
    ingredient: Ingredient,
    share: Ratio,
    extra: Ratio,
}

/// The sums of one recipe's ingredients, by key, for a total of one.
type Sums = Rc<BTreeMap<String, Sum>>;

/// Takes a recipe apart; every premix only once, however many recipes use it.
fn take_apart(recipe: &Recipe, done: &mut BTreeMap<*const Recipe, Sums>) -> Sums {
    if let Some(sums) = done.get(&std::ptr::from_ref(recipe)) {
        return Rc::clone(sums);
    }
    let mut sums = BTreeMap::new();
    for (ingredient, share) in recipe.shares() {
        match recipe.premixes.get(&ingredient.key) {
            None => add(&mut sums, ingredient, share, &Ratio::zero()),
            Some(premix) => {
                for part in take_apart(premix, done).values() {
                    add(
                        &mut sums,
                        &part.ingredient,
                        &(share * &part.share),
                        &(share * &part.extra),
                    );
                }
            }
        }
    }
    for (ingredient, extra) in recipe.extras() {
        match recipe.premixes.get(&ingredient.key) {
            None => add(&mut sums, ingredient, &Ratio::zero(), extra),
            Some(premix) => {
                for part in take_apart(premix, done).values() {
                    let whole = &part.share + &part.extra;
                    add(
                        &mut sums,
                        &part.ingredient,
                        &Ratio::zero(),
                        &(extra * &whole),
                    );
                }
            }
        }
    }
    let sums = Rc::new(sums);
    done.insert(std::ptr::from_ref(recipe), Rc::clone(&sums));
    sums
}

fn add(sums: &mut BTreeMap<String, Sum>, ingredient: &Ingredient, share: &Ratio, extra: &Ratio) {
    let sum = sums.entry(ingredient.key.clone()).or_insert_with(|| Sum {
        ingredient: ingredient.clone(),
        share: Ratio::zero(),
        extra: Ratio::zero(),
    });
    // Lowest terms keep what is worked out of them small.
    sum.share = (&sum.share + share).reduced();
    sum.extra = (&sum.extra + extra).reduced();
}
