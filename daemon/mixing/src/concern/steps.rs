//! What speaks against single steps: a scale too coarse, a count that does not come out even.

use tarehand_protocol::Mass;

use super::{Concern, Way, in_force, smallest_worth_weighing};
use crate::procedure::{Addition, Amount, CountUnit, Ingredient, Within};
use crate::ratio::Ratio;
use crate::sizing::Count;
use crate::weighing;

/// One step of a procedure on one scale.
pub(super) struct Place {
    pub step: usize,
    pub planned: Mass,
    pub division: Option<Mass>,
}

impl Place {
    pub(super) fn addition(&self, addition: &Addition) -> Option<Concern> {
        let ingredient = &addition.ingredient;
        match &addition.amount {
            Amount::Weighed { target, within, .. } => {
                let is_small = *target <= WORTH_COUNTING;
                let ways = is_small.then_some(Way::CountDrops);
                self.weighed(ingredient, *target, within, ways)
            }
            Amount::Counted {
                unit,
                each,
                expected,
                within,
                ..
            } => {
                let judged = within.as_ref();
                let coarse =
                    judged.and_then(|within| self.weighed(ingredient, *expected, within, None));
                coarse.or_else(|| self.uneven(ingredient, *expected, *unit, *each))
            }
            Amount::Range { low, high } => self.unseen(ingredient, *high - *low),
            Amount::ByEye | Amount::Whole { .. } => None,
        }
    }

    fn weighed(
        &self,
        ingredient: &Ingredient,
        target: Mass,
        within: &Within,
        by_count: Option<Way>,
    ) -> Option<Concern> {
        let division = self.division?;
        let asked = within.of(target);
        let uncertainty = weighing::uncertainty(division);
        if uncertainty <= asked {
            return None;
        }
        // How many times as much must be weighed until the scale is fine enough.
        let times = Ratio::from_mass(uncertainty).checked_div(&Ratio::from_mass(asked))?;
        let planned = rounded_up(&(&times * &Ratio::from_mass(self.planned)));
        let mut ways = vec![Way::BiggerBatch { planned }];
        ways.extend(by_count);
        if target.micrograms() <= self.planned.micrograms() / MINOR {
            ways.push(Way::DiluteFirst {
                times: whole_above(&times),
            });
        }
        if let Some(division) = finer_division(asked) {
            ways.push(Way::FinerScale { division });
        }
        let ingredient = ingredient.name.clone();
        if target <= uncertainty {
            return Some(Concern::Unweighable {
                step: self.step,
                ingredient,
                target,
                uncertainty,
                ways,
            });
        }
        let accuracy = Ratio::from_mass(asked).checked_div(&Ratio::from_mass(target))?;
        Some(Concern::Widened {
            step: self.step,
            ingredient,
            target,
            asked,
            in_force: in_force(asked, division),
            smallest: smallest_worth_weighing(division, &accuracy)?,
            ways,
        })
    }

    fn uneven(
        &self,
        ingredient: &Ingredient,
        expected: Mass,
        unit: CountUnit,
        each: Mass,
    ) -> Option<Concern> {
        let exact = Ratio::from_mass(expected).checked_div(&Ratio::from_mass(each))?;
        let count = Count::nearest(expected, unit, each)?;
        let off = (&count.number() - &exact).checked_div(&exact)?.to_f64();
        if off.abs() < UNEVEN {
            return None;
        }
        let whole = i64::try_from(whole_above(&exact)).ok()?;
        let times = Ratio::new(whole, 1).checked_div(&exact)?;
        let planned = (&times * &Ratio::from_mass(self.planned)).to_mass();
        Some(Concern::UnevenCount {
            step: self.step,
            ingredient: ingredient.name.clone(),
            count,
            off,
            ways: vec![Way::EvenBatch {
                planned: planned.rounded_to(Mass::from_milligrams(100)),
            }],
        })
    }

    pub(super) fn unseen(&self, ingredient: &Ingredient, amount: Mass) -> Option<Concern> {
        let division = self.division.filter(|division| amount < *division)?;
        Some(Concern::Unseen {
            step: self.step,
            ingredient: ingredient.name.clone(),
            amount,
            division,
        })
    }
}

/// Counting fifty drops of 50 mg (USP 1101) is patience enough.
const WORTH_COUNTING: Mass = Mass::from_milligrams(2_500);

/// What is at most this part of a batch can be diluted with the rest of it.
const MINOR: i64 = 10;

/// A count this far from its share, as a fraction, is worth a word.
const UNEVEN: f64 = 0.05;

/// Returns the coarsest usual division (1, 2 or 5 times a power of ten) that weighs within this.
fn finer_division(asked: Mass) -> Option<Mass> {
    let usual = [1_000, 500, 200, 100, 50, 20, 10, 5, 2, 1].map(Mass::from_milligrams);
    usual
        .into_iter()
        .find(|division| weighing::uncertainty(*division) <= asked)
}

/// Rounds up to whole grams, so that the advice holds and reads well.
fn rounded_up(micrograms: &Ratio) -> Mass {
    let micrograms = micrograms.to_mass().micrograms();
    Mass::from_grams(micrograms / 1_000_000 + i64::from(micrograms % 1_000_000 != 0))
}

fn whole_above(number: &Ratio) -> u64 {
    let nearest = number.to_mass().micrograms();
    let below = Ratio::new(nearest, 1) < *number;
    u64::try_from(nearest).unwrap_or(0) + u64::from(below)
}
