//! What suits a rehearsal: a jar for each batch, a scale that carries the heaviest, and one slip.

use std::num::NonZeroU32;

use rand::seq::SliceRandom;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg32;
use tarehand_mixing::procedure::{Amount, CountUnit, Procedure, StepKind};
use tarehand_protocol::Mass;

use super::plan::{Habits, PanSpec, RehearsalPlan, Slip};

/// The lightest jar of a set, and how far the next ones are apart at least, in milligrams: our own choice, so that
/// empty jars are told apart at a glance.
const LIGHTEST_MG: i64 = 64_000;
const APART_MG: i64 = 19_000;

/// By how much a jar's weight strays from that, in milligrams.
const STRAYS_MG: std::ops::Range<i64> = 0..9_000;

/// Plans the rehearsal of one batch, or of the jars of a set.
///
/// The slip comes in the second pour, of a set in a jar that the seed chooses among those that no other is poured from.
#[must_use]
pub fn outfit(procedures: &[Procedure], seed: u64) -> RehearsalPlan {
    let plan = RehearsalPlan {
        seed,
        ..RehearsalPlan::default()
    };
    if procedures.len() < 2 {
        return plan;
    }
    let mut chance = Pcg32::seed_from_u64(seed);
    let jar_tares = tares(procedures.len(), &mut chance);
    let slips: Vec<Slip> = Habits::default()
        .slips
        .into_iter()
        .filter_map(|slip| {
            let jars = slipping(procedures, slip.pour);
            let last = jars.len().checked_sub(1)?;
            let jar = jars[chance.random_range(0..=last)];
            Some(Slip { jar, ..slip })
        })
        .collect();
    let heaviest = procedures.iter().zip(&jar_tares);
    let heaviest = heaviest.map(|(procedure, tare)| procedure.planned + procedure.planned + *tare);
    let usual = PanSpec::default();
    RehearsalPlan {
        // A rescue may make a jar grow, and a scale that nothing fits on teaches nothing.
        pan: PanSpec {
            capacity: heaviest.max().unwrap_or_default().max(usual.capacity),
            ..usual
        },
        habits: Habits {
            slips,
            ..Habits::default()
        },
        jar_tares,
        ..plan
    }
}

/// Draws weights for so many jars, in no order and none like another.
fn tares(jars: usize, chance: &mut Pcg32) -> Vec<Mass> {
    let steps = (0..).step_by(usize::try_from(APART_MG).unwrap_or(1));
    let mut tares: Vec<Mass> = steps
        .take(jars)
        .map(|step: i64| {
            let strays = chance.random_range(STRAYS_MG) / 100 * 100;
            Mass::from_milligrams(LIGHTEST_MG + step + strays)
        })
        .collect();
    tares.shuffle(chance);
    tares
}

/// Returns the jars whose pour of this number may slip: one that is judged, in a jar that no other waits for.
fn slipping(procedures: &[Procedure], pour: NonZeroU32) -> Vec<u32> {
    let place = usize::try_from(pour.get() - 1).unwrap_or(usize::MAX);
    let jars = (0..).zip(procedures);
    jars.filter(|(_, procedure)| {
        let mut pours = procedure.steps.iter().filter_map(|step| poured(&step.kind));
        let judged = matches!(pours.nth(place), Some(Amount::Weighed { .. }));
        judged && !is_premix(procedure, procedures)
    })
    .map(|(jar, _)| jar)
    .collect()
}

/// Returns how much a step pours; drops are counted, and none slips.
const fn poured(kind: &StepKind) -> Option<&Amount> {
    match kind {
        StepKind::Add(addition) => match &addition.amount {
            Amount::Counted {
                unit: CountUnit::Drop,
                ..
            } => None,
            amount => Some(amount),
        },
        _ => None,
    }
}

fn is_premix(procedure: &Procedure, procedures: &[Procedure]) -> bool {
    let Some(place) = &procedure.of_set else {
        return false;
    };
    let mut kinds = procedures.iter().flat_map(|other| &other.steps);
    kinds.any(|step| {
        step.kind
            .ingredient()
            .is_some_and(|poured| poured.key == place.key)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn empty_jars_of_a_set_are_told_apart_and_weigh_something_else_with_another_seed() {
        for seed in 0..40 {
            let drawn = tares(8, &mut Pcg32::seed_from_u64(seed));
            let mut sorted = drawn.clone();
            sorted.sort_unstable();
            let apart = sorted
                .windows(2)
                .all(|pair| Mass::from_grams(10) <= pair[1] - pair[0]);
            assert!(apart, "{drawn:?}");
            assert_ne!(drawn, tares(8, &mut Pcg32::seed_from_u64(seed + 1)));
        }
    }
}
