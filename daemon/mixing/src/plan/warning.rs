//! What a person should know before the first jar is on the pan.

use tarehand_protocol::Mass;

use super::{Fit, PlannedJar, RawNeed};
use crate::procedure::StepKind;
use crate::ratio::Ratio;
use crate::recipe::percent;
use crate::set::Set;
use crate::shelf::{Form, Shelf};

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
        warnings.extend(watery(set, jar));
        warnings.extend(overloaded(jar));
        warnings.extend(late_powder(jar, shelf));
    }
    warnings.extend(out_of_order(jars));
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

fn watery(set: &Set, jar: &PlannedJar) -> Option<Warning> {
    let added = &jar.makeup.as_ref()?.added_water;
    if added <= &set.water_warning {
        return None;
    }
    Some(Warning {
        about: jar.stem.clone(),
        text: format!(
            "{} of {} is plain water by weight, that inside premixes too; above {} the film may not hold",
            percent(added),
            jar.name,
            percent(&set.water_warning)
        ),
        basis: "common practice, and not agreed on: 30 %, 50 % and 1 : 1 are said, and tests disagree",
    })
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
fn out_of_order(jars: &[PlannedJar]) -> Vec<Warning> {
    let mut thinnest: Option<(&PlannedJar, f64)> = None;
    let mut warnings = Vec::new();
    for jar in jars {
        let Some(trail) = jar.trail_s else { continue };
        match thinnest {
            Some((before, least)) if least < trail => warnings.push(Warning {
                about: jar.stem.clone(),
                text: format!(
                    "{} is wanted with a trail of {trail} s and stands after {} with {least} s: a set goes from thickest to thinnest",
                    jar.name, before.name
                ),
                basis: "common practice",
            }),
            _ => thinnest = Some((jar, trail)),
        }
    }
    warnings
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
