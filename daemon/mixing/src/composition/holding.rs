//! What one vessel holds.

use std::collections::BTreeMap;

use tarehand_protocol::Mass;

use super::source::Part;

/// What a vessel holds, by raw ingredient and the pack it came from.
///
/// A part may be below nothing: more was taken of it than is known to have gone in.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Holding {
    parts: BTreeMap<Part, Mass>,
}

impl Holding {
    /// Takes parts with their masses; what comes twice is summed.
    #[must_use]
    pub fn of(parts: impl IntoIterator<Item = (Part, Mass)>) -> Self {
        let mut holding = Self::default();
        for (part, mass) in parts {
            holding.change(part, mass);
        }
        holding
    }

    /// Returns every part with its mass, without those of which there is nothing.
    pub fn parts(&self) -> impl Iterator<Item = (&Part, Mass)> {
        self.parts.iter().map(|(part, mass)| (part, *mass))
    }

    /// Returns the mass of all parts together.
    #[must_use]
    pub fn total(&self) -> Mass {
        self.parts.values().copied().sum()
    }

    /// Returns the mass of an ingredient, from whichever packs.
    #[must_use]
    pub fn mass_of(&self, ingredient: &str) -> Mass {
        let of_it = self
            .parts()
            .filter(|(part, _)| part.ingredient == ingredient);
        of_it.map(|(_, mass)| mass).sum()
    }

    /// Returns the ingredients with the mass of each, from whichever packs.
    #[must_use]
    pub fn ingredients(&self) -> BTreeMap<&str, Mass> {
        let mut sums: BTreeMap<&str, Mass> = BTreeMap::new();
        for (part, mass) in self.parts() {
            *sums.entry(&part.ingredient).or_default() += mass;
        }
        sums
    }

    /// Returns whether there is nothing that could be poured out of it.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.there().is_zero()
    }

    /// Returns what can be poured out of it.
    pub(super) fn there(&self) -> Mass {
        let there = self.parts.values().filter(|mass| Mass::ZERO < **mass);
        there.copied().sum()
    }

    /// Returns so much in the proportions of what is there; nothing where nothing is.
    ///
    /// Each part is rounded down, and what is missing is given, a microgram each, to those that lost most by it.
    #[must_use]
    pub(super) fn portion(&self, mass: Mass) -> Self {
        let whole = i128::from(self.there().micrograms());
        if whole <= 0 || mass <= Mass::ZERO {
            return Self::default();
        }
        let wanted = i128::from(mass.micrograms());
        let there = self.parts.iter().filter(|(_, mass)| Mass::ZERO < **mass);
        let mut shares: Vec<(i128, i64, &Part)> = there
            .map(|(part, mass)| {
                let product = i128::from(mass.micrograms()) * wanted;
                let share = i64::try_from(product / whole).unwrap_or(i64::MAX);
                (product % whole, share, part)
            })
            .collect();
        let given: i64 = shares.iter().map(|(_, share, _)| share).sum();
        let missing = usize::try_from(mass.micrograms() - given).unwrap_or(0);
        shares.sort_by(|one, other| other.0.cmp(&one.0).then_with(|| one.2.cmp(other.2)));
        for (_, share, _) in shares.iter_mut().take(missing) {
            *share += 1;
        }
        Self::of(
            shares
                .into_iter()
                .map(|(_, share, part)| (part.clone(), Mass::from_micrograms(share))),
        )
    }

    pub(super) fn add(&mut self, other: &Self) {
        for (part, mass) in other.parts() {
            self.change(part.clone(), mass);
        }
    }

    pub(super) fn subtract(&mut self, other: &Self) {
        for (part, mass) in other.parts() {
            self.change(part.clone(), -mass);
        }
    }

    fn change(&mut self, part: Part, by: Mass) {
        let mass = self.parts.get(&part).copied().unwrap_or_default() + by;
        if mass.is_zero() {
            self.parts.remove(&part);
        } else {
            self.parts.insert(part, mass);
        }
    }
}
