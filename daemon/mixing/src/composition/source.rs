//! What comes from the shelf: out of which pack, and of what it is made.

use std::collections::BTreeMap;

use tarehand_protocol::Mass;

use super::holding::Holding;
use crate::procedure::{Ingredient, Procedure};
use crate::ratio::Ratio;
use crate::shelf::stock::{self, Origin};
use crate::shelf::{Draw, Price, Shelf};

/// Premixes inside premixes are followed so far; deeper ones stay as they are (recipes refuse circles themselves).
const DEEPEST: u32 = 16;

/// A raw ingredient out of one pack.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Part {
    /// Its key.
    pub ingredient: String,
    /// What is known of where it came from: a place in [`Packs`].
    pub pack: Option<usize>,
}

impl Part {
    /// Returns something of which nothing but its name is known.
    #[must_use]
    pub fn by_name(key: &str) -> Self {
        Self {
            ingredient: key.to_owned(),
            pack: None,
        }
    }
}

/// What is known of the pack that something came from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PackFacts {
    /// The key of what was drawn: the ingredient, or the premix that it is in.
    pub drawn: String,
    /// The maker's lot.
    pub lot: Option<String>,
    /// What it cost.
    pub price: Option<Price>,
}

/// The packs that anything came from; the same facts have the same place.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Packs {
    facts: Vec<PackFacts>,
}

impl Packs {
    /// Returns what is known of the pack that a part came from.
    #[must_use]
    pub fn of(&self, part: &Part) -> Option<&PackFacts> {
        part.pack.and_then(|place| self.facts.get(place))
    }

    fn place(&mut self, facts: PackFacts) -> Option<usize> {
        if facts.lot.is_none() && facts.price.is_none() {
            return None;
        }
        let known = self.facts.iter().position(|known| *known == facts);
        Some(known.unwrap_or_else(|| {
            self.facts.push(facts);
            self.facts.len() - 1
        }))
    }
}

/// What one batch draws from the shelf as it was when the batch was opened.
#[derive(Debug)]
pub struct Sources<'s> {
    mark: &'s str,
    procedure: &'s Procedure,
    shelf: &'s Shelf,
    drawn: &'s BTreeMap<String, Vec<Draw>>,
    packs: &'s mut Packs,
    /// Out of which packs the batch drew each ingredient, once it was asked for.
    known: BTreeMap<String, Vec<(Option<usize>, Mass)>>,
}

impl<'s> Sources<'s> {
    /// Takes what a batch of this mark had at hand, and what all batches drew by ingredient.
    #[must_use]
    pub const fn new(
        mark: &'s str,
        procedure: &'s Procedure,
        shelf: &'s Shelf,
        drawn: &'s BTreeMap<String, Vec<Draw>>,
        packs: &'s mut Packs,
    ) -> Self {
        Self {
            mark,
            procedure,
            shelf,
            drawn,
            packs,
            known: BTreeMap::new(),
        }
    }

    /// Returns so much of an ingredient or premix as raw ingredients, each out of its pack.
    ///
    /// Of a premix that no batch made, the shares are the recipe's or the shelf's; where neither says them it stays
    /// as it is.
    pub fn drawn(&mut self, key: &str, mass: Mass) -> Holding {
        let packs = match self.known.get(key) {
            Some(packs) => packs.clone(),
            None => {
                let packs = self.packs_of(key);
                self.known.insert(key.to_owned(), packs.clone());
                packs
            }
        };
        let by_pack = Holding::of(packs.into_iter().map(|(pack, mass)| {
            let ingredient = key.to_owned();
            (Part { ingredient, pack }, mass)
        }));
        let mut raw = Holding::default();
        for (part, mass) in by_pack.portion(mass).parts() {
            raw.add(&self.taken_apart(&part.clone(), mass, DEEPEST));
        }
        raw
    }

    /// Returns how much the batch drew out of each pack; one microgram of what is known where it drew nothing.
    fn packs_of(&mut self, key: &str) -> Vec<(Option<usize>, Mass)> {
        let item = self.shelf.get(key);
        let packs = item.map(|item| item.packs.as_slice()).unwrap_or_default();
        let drawn = self.drawn.get(key).map(Vec::as_slice).unwrap_or_default();
        let mut by_pack: Vec<(Option<usize>, Mass)> = Vec::new();
        for taken in stock::left(packs, drawn).taken {
            if taken.batch != self.mark || taken.mass.is_zero() {
                continue;
            }
            let facts = match taken.origin {
                Origin::Pack(place) => packs.get(place).map(|pack| PackFacts {
                    drawn: key.to_owned(),
                    lot: pack.lot.clone(),
                    price: pack.price.clone(),
                }),
                Origin::Beyond | Origin::Weighed => None,
            };
            by_pack.push((facts.and_then(|facts| self.packs.place(facts)), taken.mass));
        }
        if by_pack.is_empty() {
            let price = self.price(key);
            let facts = PackFacts {
                drawn: key.to_owned(),
                lot: None,
                price,
            };
            by_pack.push((self.packs.place(facts), Mass::from_micrograms(1)));
        }
        by_pack
    }

    /// Returns the shelf's price of an ingredient, where no pack is known that it came from.
    fn price(&self, key: &str) -> Option<Price> {
        let shelf = self.shelf.get(key).and_then(|item| item.price.clone());
        shelf.or_else(|| self.ingredient(key)?.price.clone())
    }

    fn ingredient(&self, key: &str) -> Option<&Ingredient> {
        let poured = self.procedure.steps.iter();
        let poured = poured.filter_map(|step| step.kind.ingredient());
        let inside = self
            .procedure
            .premixes
            .iter()
            .flat_map(|premix| &premix.parts);
        poured
            .chain(inside.map(|(part, _)| part))
            .find(|ingredient| ingredient.key == key)
    }

    /// Takes a premix apart into what it is made of; a pack that has a lot or a price lends it to all its parts.
    fn taken_apart(&mut self, part: &Part, mass: Mass, deeper: u32) -> Holding {
        let made_of = self.made_of(&part.ingredient);
        let (Some(made_of), Some(deeper)) = (made_of, deeper.checked_sub(1)) else {
            return Holding::of([(part.clone(), mass)]);
        };
        let inside = made_of.into_iter().map(|(ingredient, share)| {
            let pack = part.pack;
            (Part { ingredient, pack }, share)
        });
        let mut raw = Holding::default();
        for (mut inner, mass) in Holding::of(inside).portion(mass).parts().map(owned) {
            if inner.pack.is_none() && self.made_of(&inner.ingredient).is_none() {
                let facts = PackFacts {
                    drawn: inner.ingredient.clone(),
                    lot: None,
                    price: self.price(&inner.ingredient),
                };
                inner.pack = self.packs.place(facts);
            }
            raw.add(&self.taken_apart(&inner, mass, deeper));
        }
        raw
    }

    /// Returns what a premix is made of, in whole parts of a tonne: fine enough for any jar.
    fn made_of(&self, key: &str) -> Option<Vec<(String, Mass)>> {
        let tonne = Ratio::from_mass(Mass::from_grams(1_000_000));
        let whole = |share: &Ratio| (share * &tonne).to_mass();
        let recipe = self
            .procedure
            .premixes
            .iter()
            .find(|premix| premix.key == key);
        if let Some(premix) = recipe {
            let parts = premix.parts.iter();
            return Some(
                parts
                    .map(|(part, share)| (part.key.clone(), whole(share)))
                    .collect(),
            );
        }
        let made_of = self.shelf.get(key)?.made_of.as_ref()?;
        let parts = made_of.iter();
        Some(
            parts
                .map(|(part, share)| (part.clone(), whole(share)))
                .collect(),
        )
    }
}

fn owned((part, mass): (&Part, Mass)) -> (Part, Mass) {
    (part.clone(), mass)
}
