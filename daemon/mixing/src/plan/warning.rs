//! What a person should know before the first jar is on the pan.

use tarehand_protocol::Mass;

use super::{Fit, PlannedJar, RawNeed};
use crate::procedure::StepKind;
use crate::ratio::Ratio;
use crate::recipe::percent;
use crate::set::Set;
use crate::shelf::{Form, Shelf};
use crate::trail::{OutOfOrder, Trail, WATER_BASIS, out_of_order, water_warning};

/// Something to know, and what it rests on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Warning {
    /// What it is about: a recipe's stem or an ingredient's key.
    pub about: String,
    /// What is the matter, and what to do about it.
    pub text: String,
    /// What it rests on: arithmetic, the shelf, or *common practice*.
    pub basis: &'static str,
}

pub(super) fn warnings(
    set: &Set,
    jars: &[PlannedJar],
    raw: &[RawNeed],
    shelf: &Shelf,
) -> Vec<Warning> {
    let mut warnings = Vec::new();
    for jar in jars {
        warnings.extend(too_small(jar));
        warnings.extend(watery(set, jar, shelf));
        warnings.extend(overloaded(jar));
        warnings.extend(late_powder(jar, shelf));
    }
    warnings.extend(thicker_than_before(jars));
    warnings.extend(raw.iter().filter_map(short));
    warnings
}

fn too_small(jar: &PlannedJar) -> Option<Warning> {
    let Fit::TooSmall { holds, most } = &jar.fit else {
        return None;
    };
    Some(Warning {
        about: jar.stem.clone(),
        text: format!(
            "{} comes to {most} at most and its jar holds {holds}: take a larger jar or make it in two",
            jar.name
        ),
        basis: "volumes of the parts added",
    })
}

fn watery(set: &Set, jar: &PlannedJar, shelf: &Shelf) -> Option<Warning> {
    let added = &jar.makeup.as_ref()?.added_water;
    let warning = water_warning(&thinned(jar, added, shelf), &set.water_warning)?;
    Some(Warning {
        about: jar.stem.clone(),
        text: format!(
            "{}, thinned at most: {warning}; the film may not hold",
            jar.name
        ),
        basis: WATER_BASIS,
    })
}

/// Returns the fraction of added water when thinning with plain water goes as far as the recipe lets it.
fn thinned(jar: &PlannedJar, added: &Ratio, shelf: &Shelf) -> Ratio {
    let is_water = |key: &str| {
        shelf
            .get(key)
            .is_some_and(|item| item.film.is_plain_water())
    };
    let splashes = jar
        .procedure
        .steps
        .iter()
        .filter_map(|step| match &step.kind {
            StepKind::Thin {
                with,
                at_most: Some(most),
                ..
            } if is_water(&with.key) => Some(Ratio::from_mass(*most)),
            _ => None,
        });
    let thinner: Ratio = splashes.sum();
    let water = &(added * &jar.exact) + &thinner;
    water
        .checked_div(&(&jar.exact + &thinner))
        .unwrap_or_else(Ratio::zero)
}

fn overloaded(jar: &PlannedJar) -> Option<Warning> {
    let load = jar.makeup.as_ref()?.pigment.as_ref()?.as_ref().ok()?;
    if load.pvc <= load.critical {
        return None;
    }
    Some(Warning {
        about: jar.stem.clone(),
        text: format!(
            "{} holds {} pigment by volume when dry, more than the {} its binder can fill: expect a weak, matt film",
            jar.name,
            percent(&load.pvc),
            percent(&load.critical)
        ),
        basis: "critical PVC from the oil absorption on the shelf",
    })
}

/// Warns of a powder that meets a jar already more than half full.
fn late_powder(jar: &PlannedJar, shelf: &Shelf) -> Option<Warning> {
    let half = &Ratio::from_mass(jar.mass) * &Ratio::new(1, 2);
    let mut inside = Mass::ZERO;
    for step in &jar.procedure.steps {
        if let StepKind::Add(addition) = &step.kind {
            let key = &addition.ingredient.key;
            let powder = shelf.get(key).and_then(|item| item.form) == Some(Form::Powder);
            if powder && half < Ratio::from_mass(inside) {
                return Some(Warning {
                    about: jar.stem.clone(),
                    text: format!(
                        "{} goes into {} when the jar is more than half full: wet it to a paste first",
                        addition.ingredient.name, jar.name
                    ),
                    basis: "common practice",
                });
            }
            inside += step.kind.target().unwrap_or(Mass::ZERO);
        }
    }
    None
}

/// Names each jar that is wanted thicker than one before it.
fn thicker_than_before(jars: &[PlannedJar]) -> Vec<Warning> {
    let wanted = |jar: &PlannedJar| Trail::from_seconds(jar.trail_s?).ok();
    let with_trail: Vec<(&str, Trail)> = jars
        .iter()
        .filter_map(|jar| Some((jar.stem.as_str(), wanted(jar)?)))
        .collect();
    let name = |stem: &str| {
        let jar = jars.iter().find(|jar| jar.stem == stem);
        jar.map_or_else(|| stem.to_owned(), |jar| jar.name.clone())
    };
    let told = |wrong: OutOfOrder<'_>| Warning {
        about: wrong.jar.to_owned(),
        text: format!(
            "{} is wanted with a trail of {} s and stands after {} with {} s: a set goes from thickest to thinnest",
            name(wrong.jar),
            wrong.trail.seconds(),
            name(wrong.behind),
            wrong.thinner.seconds()
        ),
        basis: "common practice",
    };
    out_of_order(&with_trail).into_iter().map(told).collect()
}

fn short(need: &RawNeed) -> Option<Warning> {
    let shortage = need.shortage.as_ref()?;
    let buy = match shortage.packs {
        Some((1, pack)) => format!("; buy 1 pack of {pack}"),
        Some((packs, pack)) => format!("; buy {packs} packs of {pack}"),
        None => String::new(),
    };
    Some(Warning {
        about: need.ingredient.key.clone(),
        text: format!(
            "{} on the shelf is short by {} g{buy}",
            need.ingredient.name,
            shortage.by.grams_text(2)
        ),
        basis: "stock on the shelf",
    })
}
