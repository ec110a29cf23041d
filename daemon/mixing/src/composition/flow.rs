//! One movement after another: what every vessel holds then.

use std::collections::{BTreeMap, BTreeSet};

use tarehand_protocol::Mass;

use super::holding::Holding;
use super::movement::{Moved, Movement, Place, mixture};
use super::source::{Part, Sources};

/// What every vessel holds.
///
/// What came from the shelf is below nothing there: over all vessels each part sums to nothing.
#[derive(Clone, Debug, Default)]
pub struct Holdings {
    vessels: BTreeMap<Place, Holding>,
    /// What was moved last from one vessel to another, of each name: it goes back as it came.
    last: BTreeMap<(Place, Place, Moved), Holding>,
    /// What stands in or on each vessel and is no part of a mix.
    foreign: BTreeMap<Place, Mass>,
    /// The places of the shelf that mixes were put on: what comes from there is what was put there.
    kept: BTreeSet<Place>,
}

impl Holdings {
    /// Returns what a vessel holds.
    #[must_use]
    pub fn in_vessel(&self, place: &Place) -> Holding {
        self.vessels.get(place).cloned().unwrap_or_default()
    }

    /// Returns every vessel that was spoken of, and what it holds.
    pub fn vessels(&self) -> impl Iterator<Item = (&Place, &Holding)> {
        self.vessels.iter()
    }

    /// Returns what stands in or on a vessel and is no part of a mix.
    #[must_use]
    pub fn foreign(&self, place: &Place) -> Mass {
        self.foreign.get(place).copied().unwrap_or_default()
    }

    /// Takes one movement in; `sources` says what its batch draws from the shelf.
    pub fn take_in(&mut self, movement: &Movement, sources: &mut Sources<'_>) {
        let Movement {
            from,
            to,
            what,
            mass,
            ..
        } = movement;
        if *what == Moved::Foreign {
            *self.foreign.entry(from.clone()).or_default() -= *mass;
            *self.foreign.entry(to.clone()).or_default() += *mass;
            return;
        }
        if *what == Moved::Mixture && matches!(to, Place::Shelf(_)) {
            self.kept.insert(to.clone());
        }
        let content = if movement.is_taken_back() {
            self.taken_back(movement, sources)
        } else {
            let content = self.poured(movement, sources);
            let way = (from.clone(), to.clone(), what.clone());
            self.last.insert(way, content.clone());
            content
        };
        self.vessels
            .entry(from.clone())
            .or_default()
            .subtract(&content);
        self.vessels.entry(to.clone()).or_default().add(&content);
    }

    /// Returns what is poured: of a vessel, or of a mix that was put on the shelf, what is in it; of the shelf what its packs are.
    fn poured(&self, movement: &Movement, sources: &mut Sources<'_>) -> Holding {
        let Movement {
            from, what, mass, ..
        } = movement;
        let mut content = match from {
            Place::Jar(_) | Place::Cup(_) => self.portion_of(from, *mass),
            Place::Shelf(_) if self.kept.contains(from) => self.portion_of(from, *mass),
            Place::Shelf(_) | Place::Waste | Place::Unknown => Holding::default(),
        };
        // What nobody saw go into the vessel is what it is called.
        let missing = *mass - content.total();
        if Mass::ZERO < missing {
            content.add(&named(what, missing, sources));
        }
        content
    }

    /// Returns what goes back to where it came from, as it came.
    fn taken_back(&self, movement: &Movement, sources: &mut Sources<'_>) -> Holding {
        let Movement {
            from,
            to,
            what,
            mass,
            ..
        } = movement;
        let came = self.last.get(&(to.clone(), from.clone(), what.clone()));
        let came = came
            .map(|came| came.portion(*mass))
            .filter(|came| !came.is_empty());
        match (came, what) {
            (Some(came), _) => came,
            // A stick that comes back to the jar carries what the jar holds.
            (None, Moved::Mixture) => {
                let mut content = self.portion_of_any(&[from, to], *mass);
                let missing = *mass - content.total();
                if Mass::ZERO < missing {
                    content.add(&named(what, missing, sources));
                }
                content
            }
            (None, Moved::Ingredient(_) | Moved::Foreign) => named(what, *mass, sources),
        }
    }

    /// Returns at most so much of a vessel, no more than is in it.
    fn portion_of(&self, place: &Place, mass: Mass) -> Holding {
        let held = self.vessels.get(place);
        held.map(|held| held.portion(mass.min(held.there())))
            .unwrap_or_default()
    }

    /// Returns so much in the proportions of the first of these vessels, lost mass aside, that holds anything.
    fn portion_of_any(&self, places: &[&Place], mass: Mass) -> Holding {
        let vessels = places
            .iter()
            .filter(|place| !matches!(place, Place::Waste | Place::Unknown));
        let held = vessels
            .filter_map(|place| self.vessels.get(place))
            .find(|held| !held.is_empty());
        held.map(|held| held.portion(mass)).unwrap_or_default()
    }
}

/// Returns what something is by its name alone.
fn named(what: &Moved, mass: Mass, sources: &mut Sources<'_>) -> Holding {
    match what {
        Moved::Ingredient(key) => sources.drawn(key, mass),
        Moved::Mixture | Moved::Foreign => Holding::of([(Part::by_name(mixture()), mass)]),
    }
}
