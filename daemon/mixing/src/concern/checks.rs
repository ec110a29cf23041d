//! Looks through a procedure for what will not go well.

use std::collections::BTreeMap;

use tarehand_protocol::Mass;

use super::steps::Place;
use super::{Concern, Outfit, Way};
use crate::procedure::{Addition, Amount, Ingredient, Procedure, Step, StepKind, Weigh};
use crate::ratio::Ratio;
use crate::sizing::{Need, volume_of};
use crate::weighing::SMALL_CUP;

/// Returns everything that speaks against a procedure as it stands, gravest first.
///
/// What is not known (division, capacity, tare, jar, stock) is not judged. Stock is that of the
/// ingredients poured in this procedure; for premixes taken apart see [`stock`].
#[must_use]
pub fn concerns(procedure: &Procedure, outfit: &Outfit) -> Vec<Concern> {
    let mut concerns = Vec::new();
    for (index, step) in procedure.steps.iter().enumerate() {
        let place = Place {
            step: index + 1,
            planned: procedure.planned,
            division: division_for(&step.kind, outfit),
        };
        match &step.kind {
            StepKind::Add(addition) => concerns.extend(place.addition(addition)),
            StepKind::Thin { with, by, .. } => concerns.extend(place.unseen(with, *by)),
            StepKind::Stir { .. }
            | StepKind::Rest { .. }
            | StepKind::Strain { .. }
            | StepKind::Look { .. }
            | StepKind::Trail { .. }
            | StepKind::TakeOut { .. }
            | StepKind::Decant { .. }
            | StepKind::Note { .. } => {}
        }
    }
    concerns.extend(capacity(procedure, outfit));
    concerns.extend(jar(procedure));
    concerns.extend(stock_of_steps(procedure));
    concerns.sort_by_key(Concern::gravity);
    concerns
}

/// Returns the division of the scale that a step is weighed on: a small addition that the jar's own scale is too coarse
/// for goes to the finer one, where that carries it with a small cup.
fn division_for(step: &StepKind, outfit: &Outfit) -> Option<Mass> {
    let fine = outfit.fine.filter(|fine| {
        let in_jar = step.ingredient().is_some() && step.weigh() == Weigh::Jar;
        let carries = |target: Mass| fine.capacity.is_none_or(|most| target + SMALL_CUP <= most);
        in_jar && step.target().is_some_and(carries)
    });
    match (fine.and_then(|fine| fine.division), outfit.division) {
        (Some(fine), Some(coarse)) => Some(fine.min(coarse)),
        (_, coarse) => coarse,
    }
}

/// Returns what there is too little of, for needs with premixes taken apart.
#[must_use]
pub fn stock(needs: &[Need], planned: Mass) -> Vec<Concern> {
    let short = needs.iter().filter_map(|need| {
        let stock = need.stock.filter(|stock| *stock < need.most)?;
        Some(short_of(&need.ingredient.name, need.most, stock, planned))
    });
    short.collect()
}

/// The most that may be in the jar, by ingredient.
fn most(procedure: &Procedure) -> impl Iterator<Item = (&Ingredient, Mass)> {
    most_of(&procedure.steps)
}

/// The steps until the jar stands on the scale for the last time: what comes after them is weighed out of bottles.
fn with_jar_on_scale(procedure: &Procedure) -> &[Step] {
    let in_jar = |step: &Step| {
        let pours = step.kind.ingredient().is_some() && step.kind.weigh() == Weigh::Jar;
        pours || step.kind.lets_out()
    };
    let last = procedure.steps.iter().rposition(in_jar);
    last.map_or(&[], |last| &procedure.steps[..=last])
}

fn most_of(steps: &[Step]) -> impl Iterator<Item = (&Ingredient, Mass)> {
    steps.iter().filter_map(|step| match &step.kind {
        StepKind::Add(Addition {
            ingredient, amount, ..
        }) => match amount {
            Amount::Weighed { target, .. } => Some((ingredient, *target)),
            Amount::Counted { expected, .. } => Some((ingredient, *expected)),
            Amount::Range { high, .. } => Some((ingredient, *high)),
            Amount::ByEye | Amount::Whole { .. } => None,
        },
        StepKind::Thin { with, at_most, .. } => at_most.map(|at_most| (with, at_most)),
        StepKind::Stir { .. }
        | StepKind::Rest { .. }
        | StepKind::Strain { .. }
        | StepKind::Look { .. }
        | StepKind::Trail { .. }
        | StepKind::TakeOut { .. }
        | StepKind::Decant { .. }
        | StepKind::Note { .. } => None,
    })
}

fn capacity(procedure: &Procedure, outfit: &Outfit) -> Option<Concern> {
    let capacity = outfit.capacity?;
    let on_scale = with_jar_on_scale(procedure);
    if on_scale.is_empty() {
        return None;
    }
    let contents: Mass = most_of(on_scale).map(|(_, mass)| mass).sum();
    let left = capacity - outfit.tare.unwrap_or(Mass::ZERO);
    if left < contents {
        let mut ways = Vec::new();
        if Mass::ZERO < left {
            let planned = scaled_down(procedure.planned, left, contents);
            ways.push(Way::SmallerBatch { planned });
        }
        if outfit.tare.is_some() && contents < capacity {
            let tare = capacity - contents;
            ways.push(Way::LighterJar { tare });
        }
        ways.push(Way::OutOfBottle);
        return Some(Concern::OverCapacity {
            contents,
            tare: outfit.tare,
            capacity,
            ways,
        });
    }
    // A glass jar weighs about as much as what it holds (common practice).
    let tight = outfit.tare.is_none() && left - contents < contents;
    tight.then_some(Concern::LittleLeftForJar { contents, capacity })
}

fn jar(procedure: &Procedure) -> Option<Concern> {
    let jar_ul = procedure.jar_ul?;
    let weights = most(procedure).map(|(ingredient, mass)| (ingredient, Ratio::from_mass(mass)));
    let contents = volume_of(weights);
    let contents_ul = contents.volume.whole_microlitres();
    if contents_ul <= jar_ul {
        return None;
    }
    let signed = |ul: u64| Mass::from_micrograms(i64::try_from(ul).unwrap_or(i64::MAX));
    Some(Concern::JarTooSmall {
        contents_ul,
        jar_ul,
        assumed: contents.assumed,
        ways: vec![
            Way::SmallerBatch {
                planned: scaled_down(procedure.planned, signed(jar_ul), signed(contents_ul)),
            },
            Way::LargerJar {
                holds_ul: contents_ul,
            },
        ],
    })
}

fn stock_of_steps(procedure: &Procedure) -> Vec<Concern> {
    let mut sums: BTreeMap<&str, (Mass, &Ingredient)> = BTreeMap::new();
    for (ingredient, mass) in most(procedure) {
        let sum = sums
            .entry(&ingredient.key)
            .or_insert((Mass::ZERO, ingredient));
        sum.0 += mass;
    }
    let short = sums.into_values().filter_map(|(needed, ingredient)| {
        let stock = ingredient.stock.filter(|stock| *stock < needed)?;
        Some(short_of(&ingredient.name, needed, stock, procedure.planned))
    });
    short.collect()
}

fn short_of(ingredient: &str, needed: Mass, stock: Mass, planned: Mass) -> Concern {
    let mut ways = vec![Way::GetMore {
        missing: needed - stock,
    }];
    if Mass::ZERO < stock {
        let planned = scaled_down(planned, stock, needed);
        ways.push(Way::SmallerBatch { planned });
    }
    Concern::StockShort {
        ingredient: ingredient.to_owned(),
        needed,
        stock,
        ways,
    }
}

/// Returns `planned · have / need`, rounded down to a tenth of a gram where that leaves anything.
fn scaled_down(planned: Mass, have: Mass, need: Mass) -> Mass {
    let exact = Ratio::from_mass(planned) * Ratio::from_mass(have);
    let exact = exact.checked_div(&Ratio::from_mass(need));
    let exact = exact.map_or(Mass::ZERO, |exact| exact.to_mass());
    let tenths = exact.micrograms() / 100_000;
    if 0 < tenths {
        Mass::from_milligrams(tenths * 100)
    } else {
        exact
    }
}
