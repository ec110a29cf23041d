//! The vessels of a rehearsal, and what is really in them.

use std::collections::BTreeMap;

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg32;
use tarehand_protocol::Mass;

use super::wish::Vessel;

/// What an empty bottle weighs, in grams: our own choice.
const BOTTLE_G: std::ops::Range<f64> = 28.0..66.0;

/// What a full bottle holds, in grams: our own choice.
const FULL_G: std::ops::Range<f64> = 260.0..620.0;

/// What clings to the wall of a jar when all that comes out is poured out: our own choice.
const CLINGS: Mass = Mass::from_milligrams(1_800);

/// One vessel.
#[derive(Clone, Copy, Debug)]
struct Held {
    tare: Mass,
    inside: Mass,
}

/// Jars and bottles, on the pan or beside it.
#[derive(Clone, Debug)]
pub(super) struct Table {
    vessels: BTreeMap<Vessel, Held>,
    chance: Pcg32,
}

impl Table {
    /// Sets empty jars of these weights out.
    pub(super) fn new(jar_tares: &[Mass], seed: u64) -> Self {
        let empty = |tare| Held {
            tare,
            inside: Mass::ZERO,
        };
        let jars = (0..).map(Vessel::Jar);
        Self {
            vessels: jars.zip(jar_tares.iter().copied().map(empty)).collect(),
            chance: Pcg32::seed_from_u64(seed),
        }
    }

    /// Fetches a full bottle in place of the one of this name, if it was there before.
    pub(super) fn fetch_full(&mut self, bottle: Vessel) {
        let tare = self.draw(BOTTLE_G);
        let inside = self.draw(FULL_G);
        self.vessels.insert(bottle, Held { tare, inside });
    }

    /// Makes sure that a bottle is there; a jar that was never set out is none.
    pub(super) fn fetch(&mut self, vessel: Vessel) {
        if matches!(vessel, Vessel::Bottle(_)) && !self.vessels.contains_key(&vessel) {
            self.fetch_full(vessel);
        }
    }

    /// Returns what a vessel weighs with what is in it.
    pub(super) fn weighs(&self, vessel: Vessel) -> Mass {
        let held = self.vessels.get(&vessel);
        held.map_or(Mass::ZERO, |held| held.tare + held.inside)
    }

    /// Lets this much come into a jar.
    pub(super) fn add(&mut self, jar: u32, mass: Mass) {
        if let Some(held) = self.vessels.get_mut(&Vessel::Jar(jar)) {
            held.inside += mass;
        }
    }

    /// Pours this much out of a vessel and returns what came: less where there is no more of it.
    pub(super) fn take(&mut self, vessel: Vessel, wanted: Mass) -> Mass {
        let Some(held) = self.vessels.get_mut(&vessel) else {
            return Mass::ZERO;
        };
        let comes = wanted.min(held.inside - CLINGS).max(Mass::ZERO);
        held.inside -= comes;
        comes
    }

    /// Returns what is in each jar.
    pub(super) fn in_jars(&self) -> Vec<Mass> {
        let jars = self
            .vessels
            .iter()
            .filter(|(vessel, _)| matches!(vessel, Vessel::Jar(_)));
        jars.map(|(_, held)| held.inside).collect()
    }

    fn draw(&mut self, grams: std::ops::Range<f64>) -> Mass {
        Mass::from_estimated_grams(self.chance.random_range(grams))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_more_comes_out_of_a_vessel_than_does_not_cling_to_it() {
        let mut table = Table::new(&[Mass::from_grams(60)], 1);
        table.add(0, Mass::from_grams(10));
        let jar = Vessel::Jar(0);
        assert_eq!(table.take(jar, Mass::from_grams(4)), Mass::from_grams(4));
        let rest = table.take(jar, Mass::from_grams(40));
        assert_eq!(rest, Mass::from_milligrams(4_200));
        assert_eq!(table.take(jar, Mass::from_grams(1)), Mass::ZERO);
        assert_eq!(table.weighs(jar), Mass::from_milligrams(61_800));
    }

    #[test]
    fn a_bottle_is_fetched_once_and_full_again_when_it_is_asked_for() {
        let mut table = Table::new(&[], 1);
        let bottle = Vessel::Bottle(3);
        table.fetch(bottle);
        let full = table.weighs(bottle);
        assert!(Mass::from_grams(280) < full);
        let _poured = table.take(bottle, Mass::from_grams(100));
        table.fetch(bottle);
        assert_eq!(table.weighs(bottle), full - Mass::from_grams(100));
        table.fetch_full(bottle);
        assert!(Mass::from_grams(280) < table.weighs(bottle));
    }
}
