//! Bottles and cups at the bench: what stands on the pan, and what really is in them.

use std::collections::BTreeMap;
use std::time::Duration;

use tarehand_protocol::Mass;

use super::bench::Bench;

/// What stands on the pan instead of the jar, or in the hand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Thing {
    /// The pack itself.
    Bottle(String),
    /// A small cup into which a portion is weighed.
    Cup(String),
}

/// The bottles and cups of a day.
#[derive(Clone, Debug, Default)]
pub(super) struct Vessels {
    /// What is used now, on the pan or in the hand, and what it weighs.
    pub(super) thing: Option<(Thing, Mass)>,
    /// What really is in the small cups, by ingredient.
    pub(super) cups: BTreeMap<String, Mass>,
    /// What really is in the vessels that the mix was decanted into, by name.
    pub(super) decanted: BTreeMap<String, Mass>,
    fetched: u32,
}

/// An empty cup.
const CUP: Mass = Mass::from_milligrams(3_300);

impl Bench {
    /// Returns whether the thing stands on the pan.
    pub(super) fn thing_is_on(&self) -> bool {
        !self.world.bottle.is_zero()
    }

    /// A bottle of what is wanted now, each of another weight than the one before.
    pub(super) fn fetch_bottle(&mut self) {
        let Some(key) = self.wanted_key() else { return };
        self.vessels.fetched += 1;
        let grams = 400 + i64::from(self.vessels.fetched % 7) * 113;
        // A full one: never lighter than the one that it takes the place of.
        let before = self
            .vessels
            .thing
            .as_ref()
            .map_or(Mass::ZERO, |thing| thing.1);
        let gross = Mass::from_grams(grams).max(before + Mass::from_grams(100));
        self.vessels.thing = Some((Thing::Bottle(key), gross));
        self.thing_on();
    }

    pub(super) fn fetch_cup(&mut self) {
        let Some(key) = self.wanted_key() else { return };
        self.vessels.thing = Some((Thing::Cup(key), CUP));
        self.thing_on();
    }

    pub(super) fn thing_on(&mut self) {
        self.world.bottle = self
            .vessels
            .thing
            .as_ref()
            .map_or(Mass::ZERO, |thing| thing.1);
    }

    pub(super) fn thing_off(&mut self) {
        self.world.bottle = Mass::ZERO;
    }

    /// Fills the cup on the pan out of the pack, in about two seconds.
    pub(super) fn fill(&mut self, mass: Mass) {
        let Some((Thing::Cup(key), _)) = self.vessels.thing.clone() else {
            return;
        };
        *self.packs.entry(key.clone()).or_default() += mass;
        *self.vessels.cups.entry(key).or_default() += mass;
        self.slowly(mass, |bench, drop| bench.weigh_more(drop));
    }

    /// Pours out of the thing into the jar: where it stands, or in the hand.
    pub(super) fn pour_out(&mut self, mass: Mass) {
        let Some((thing, _)) = self.vessels.thing.clone() else {
            return;
        };
        let key = match &thing {
            Thing::Bottle(key) => {
                *self.packs.entry(key.clone()).or_default() += mass;
                key
            }
            Thing::Cup(key) => {
                *self.vessels.cups.entry(key.clone()).or_default() -= mass;
                key
            }
        };
        *self.truth.entry(key.clone()).or_default() += mass;
        self.slowly(mass, |bench, drop| {
            bench.world.mix += drop;
            bench.weigh_more(-drop);
        });
    }

    /// What is still in the cup that is used.
    pub(super) fn in_cup(&self) -> Option<Mass> {
        match &self.vessels.thing {
            Some((Thing::Cup(_), gross)) => Some(*gross - CUP),
            Some((Thing::Bottle(_), _)) | None => None,
        }
    }

    fn weigh_more(&mut self, mass: Mass) {
        if let Some((_, gross)) = &mut self.vessels.thing {
            *gross += mass;
        }
        if self.thing_is_on() {
            self.thing_on();
        }
    }

    fn slowly(&mut self, mass: Mass, mut each: impl FnMut(&mut Self, Mass)) {
        const DROPS: i64 = 100;
        let drop = Mass::from_micrograms(mass.micrograms() / DROPS);
        for _ in 0..DROPS {
            each(self, drop);
            // The pan is not at rest while something runs.
            self.world.let_fall(Mass::ZERO);
            self.run(Duration::from_millis(20));
        }
        each(
            self,
            mass - Mass::from_micrograms(drop.micrograms() * DROPS),
        );
        self.run(Duration::from_millis(200));
    }

    /// The key of what is poured now, or of what is poured first.
    fn wanted_key(&self) -> Option<String> {
        let book = self.witness.book();
        let first = || book.tasks().find(|task| book.pours(task).is_some());
        let task = book.current().or_else(first)?;
        book.pours(task).map(|ingredient| ingredient.key.clone())
    }
}
