//! The record against what was true.

use std::collections::BTreeMap;

use tarehand_mixing::ledger::Vessel;
use tarehand_mixing::session::{Cause, Entry};
use tarehand_protocol::Mass;

use super::Day;

impl Day {
    /// What was true, with what was named afterwards as it was named: whoever says so is right.
    fn truth(&self) -> BTreeMap<String, Mass> {
        self.named_rightly(&self.bench.truth)
    }

    fn named_rightly(&self, truth: &BTreeMap<String, Mass>) -> BTreeMap<String, Mass> {
        let mut truth = truth.clone();
        let book = self.bench.witness.book();
        for record in &self.bench.witness.journal {
            let Entry::WasOther { from, to, mass, .. } = &record.entry else {
                continue;
            };
            for (task, mass) in [(from, -*mass), (to, *mass)] {
                let ingredient = book.task(*task).and_then(|task| book.pours(task)).unwrap();
                *truth.entry(ingredient.key.clone()).or_insert(Mass::ZERO) += mass;
            }
        }
        truth
    }

    /// The record against what was true.
    pub(super) fn check(&self) {
        self.bench.witness.check_whole();
        if self.unknown {
            return;
        }
        let foreign: Mass = self
            .bench
            .witness
            .journal
            .iter()
            .map(|record| match record.entry {
                Entry::Changed {
                    before,
                    after,
                    cause: Cause::Foreign,
                } => (after - before).abs(),
                _ => Mass::ZERO,
            })
            .sum();
        let count = i64::try_from(self.bench.bookings()).unwrap() + 2;
        let fuzz = Mass::from_micrograms(self.bench.world.fuzz().micrograms() * 2 * count);
        let allowed = fuzz + self.loose + foreign;
        let book = self.bench.witness.book();
        let all = self.truth();
        for (ingredient, booked) in book.contents() {
            let truth = all.get(&ingredient.key).copied().unwrap_or(Mass::ZERO);
            assert!(
                (booked - truth).abs() <= allowed,
                "{} of {} in the record, {truth} in the jar (within {allowed})\n{}",
                booked,
                ingredient.key,
                self.story(),
            );
        }
        self.check_vessels(allowed);
    }

    /// The ledger balances through every vessel: what each has gained is what really came into it.
    fn check_vessels(&self, allowed: Mass) {
        let mut truth: BTreeMap<Vessel, Mass> = BTreeMap::new();
        let of = |key: &str| match key {
            // All of a cup that is known by its name.
            "rest" => Vessel::Cup("the paste cup".to_owned()),
            key => Vessel::Shelf(key.to_owned()),
        };
        for (key, mass) in &self.named_rightly(&self.bench.packs) {
            *truth.entry(of(key)).or_default() -= *mass;
        }
        for (key, mass) in &self.bench.vessels.cups {
            *truth
                .entry(Vessel::Cup(format!("a cup of {key}")))
                .or_default() += *mass;
        }
        for (into, mass) in &self.bench.vessels.decanted {
            *truth.entry(Vessel::Cup(into.clone())).or_default() += *mass;
        }
        truth.insert(Vessel::Jar, self.bench.world.mix);
        let told = self.bench.witness.vessels();
        let known = |vessel: &&Vessel| !matches!(vessel, Vessel::Waste | Vessel::Unknown);
        for vessel in told.keys().chain(truth.keys()).filter(known) {
            let is = truth.get(vessel).copied().unwrap_or_default();
            let says = told.get(vessel).copied().unwrap_or_default();
            assert!(
                (is - says).abs() <= allowed,
                "{vessel:?} gained {is}, the ledger says {says} (within {allowed})\n{}",
                self.story(),
            );
        }
    }
}
