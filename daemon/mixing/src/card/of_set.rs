//! From a planned set to its card.

use super::of_recipe::one;
use super::set_card::{JarCard, PremixCard, SetCard, WorkLine};
use super::stand_ins;
use super::value::{Card, Caution, tidy};
use super::words::{decimal, estimate, percent, time};
use crate::plan::work::Stint;
use crate::plan::{Plan, PlannedJar};
use crate::procedure::Procedure;
use crate::ratio::Ratio;
use crate::set::{CoverBasis, Outline, Portion, Set, SetJar, Surface};
use crate::shelf::Shelf;
use crate::units::Length;

/// Returns the card of a set that was planned, for the surface of its file.
#[must_use]
pub fn of_set(key: &str, set: &Set, plan: &Plan, shelf: &Shelf) -> SetCard {
    let mut cautions = Vec::new();
    let premixes = plan
        .premixes
        .iter()
        .map(|premix| PremixCard {
            card: inner(&premix.key, &premix.procedure, shelf, &mut cautions),
            heel: premix.heel,
        })
        .collect();
    let jars: Vec<JarCard> = set
        .jars
        .iter()
        .zip(&plan.jars)
        .zip(1..)
        .map(|((written, planned), place)| jar(place, written, planned, shelf, &mut cautions))
        .collect();
    let warnings = plan.warnings.iter().map(|warning| {
        format!(
            "{} ({})",
            tidy(&warning.matter.to_string()),
            warning.basis()
        )
    });
    SetCard {
        key: key.to_owned(),
        name: tidy(&set.name),
        surface: surface(set, plan),
        basis: set.basis,
        thinning_out: thinning_out(&jars),
        jars,
        premixes,
        work: plan.work.stints.iter().map(stint).collect(),
        takes: plan.work.takes,
        one_after_another: plan.work.one_after_another,
        warnings: warnings.collect(),
        cautions,
    }
}

/// Returns the card of one jar or premix; its cautions are said once, on the card of the set.
fn inner(key: &str, procedure: &Procedure, shelf: &Shelf, cautions: &mut Vec<Caution>) -> Card {
    for ingredient in procedure
        .steps
        .iter()
        .filter_map(|step| step.kind.ingredient())
    {
        Caution::add(ingredient, cautions);
    }
    let mut card = one(key, procedure);
    card.cautions.clear();
    stand_ins::note(&mut card, shelf);
    card
}

fn jar(
    place: usize,
    written: &SetJar,
    planned: &PlannedJar,
    shelf: &Shelf,
    cautions: &mut Vec<Caution>,
) -> JarCard {
    // A recipe may be in two jars, or a premix of another too; no stem has a slash, so no key is there twice.
    let key = format!("jar/{place}");
    JarCard {
        card: Card {
            // Two jars of one recipe are told apart by what was chosen for them.
            name: tidy(&planned.name),
            ..inner(&key, &planned.procedure, shelf, cautions)
        },
        volume: planned.volume.clone(),
        share: match &written.portion {
            Portion::Share(share) => Some(share.clone()),
            Portion::Make(_) => None,
        },
    }
}

/// Returns the jars that say a trail, the longest first, equal ones as in the set.
fn thinning_out(jars: &[JarCard]) -> Vec<usize> {
    let mut trails: Vec<(usize, f64)> = jars
        .iter()
        .enumerate()
        .filter_map(|(place, jar)| Some((place, jar.card.trail_s?)))
        .collect();
    trails.sort_by(|(_, left), (_, right)| right.total_cmp(left));
    trails.into_iter().map(|(place, _)| place).collect()
}

/// Says what is poured on and what it takes.
fn surface(set: &Set, plan: &Plan) -> Vec<String> {
    if set.surfaces.is_empty() {
        return Vec::new();
    }
    let pieces: Vec<String> = set.surfaces.iter().map(piece).collect();
    let basis = match set.cover.basis {
        CoverBasis::CommonPractice => "common practice",
        CoverBasis::Written => "as the set says",
        CoverBasis::Measured => "measured in the studio that wrote the set",
    };
    vec![
        format!(
            "for {}: {} cm² together, edges included",
            pieces.join(" and "),
            whole(&(&plan.square_mm * &Ratio::new(1, 100)))
        ),
        format!(
            "yield: {} mm wet, run-off included ({basis}), which is {}",
            decimal(set.cover.thickness.mm()),
            plan.pour
        ),
        if set.spare.is_zero() {
            "no spare".to_owned()
        } else {
            format!(
                "spare: {} % more, in the grams of every jar that has a share",
                percent(&set.spare)
            )
        },
    ]
}

fn piece(surface: &Surface) -> String {
    let face = match &surface.outline {
        Outline::Rectangle { width, height } => {
            format!("{} × {}", centimetres(width), centimetres(height))
        }
        Outline::Round { diameter } => format!("a round {} across", centimetres(diameter)),
        Outline::Any { .. } => format!(
            "{} cm²",
            decimal(&(&surface.outline.face() * &Ratio::new(1, 100)))
        ),
    };
    let edge = surface
        .edge
        .as_ref()
        .map(|edge| format!(", edge {}", centimetres(edge)));
    format!("{} × {face}{}", surface.count, edge.unwrap_or_default())
}

fn centimetres(length: &Length) -> String {
    format!("{} cm", decimal(&(length.mm() * &Ratio::new(1, 10))))
}

/// Writes a number without decimals: an area is not known better.
fn whole(number: &Ratio) -> String {
    number.to_mass().micrograms().to_string()
}

fn stint(stint: &Stint) -> WorkLine {
    let (first, last) = (stint.steps.0 + 1, stint.steps.1 + 1);
    let steps = if first == last {
        format!("step {first}")
    } else {
        format!("steps {first} to {last}")
    };
    let rests = if stint.rests.is_zero() {
        String::new()
    } else {
        format!(", then it rests {}", time(stint.rests))
    };
    let takes = if stint.takes.is_zero() {
        String::new()
    } else {
        format!(", about {}", estimate(stint.takes))
    };
    WorkLine {
        text: format!(
            "after {}: {}, {steps}{takes}{rests}",
            estimate(stint.begins),
            tidy(&stint.name)
        ),
        takes: stint.takes,
    }
}
