//! What a person should know before the first jar is on the pan.

use std::fmt;

use tarehand_protocol::Mass;

use super::{Fit, PlannedJar, RawNeed};
use crate::procedure::StepKind;
use crate::ratio::Ratio;
use crate::recipe::percent;
use crate::set::Set;
use crate::shelf::{Form, Shelf};
use crate::trail::{OutOfOrder, Trail, WATER_BASIS, WaterWarning, out_of_order, water_warning};
use crate::units::Volume;

/// Something to know.
#[derive(Clone, Debug, PartialEq)]
pub struct Warning {
    /// What it is about: a recipe's stem or an ingredient's key.
    pub about: String,
    /// What is the matter.
    pub matter: Matter,
}

/// What is the matter. A `jar` and an `ingredient` are said by their names.
#[derive(Clone, Debug, PartialEq)]
pub enum Matter {
    /// A jar does not hold what goes into it.
    JarTooSmall {
        /// Which.
        jar: String,
        /// What goes in at most.
        most: Volume,
        /// What it holds.
        holds: Volume,
    },
    /// A jar, thinned as far as its recipe lets it, holds much added water.
    Watery {
        /// Which.
        jar: String,
        /// How much, and the limit.
        water: WaterWarning,
    },
    /// There is more pigment than the binder can fill the gaps of.
    Overloaded {
        /// In which jar.
        jar: String,
        /// Its pigment by volume when dry.
        pvc: Ratio,
        /// The most that its binder can fill.
        critical: Ratio,
    },
    /// A powder meets a jar that is more than half full.
    LatePowder {
        /// Which powder.
        ingredient: String,
        /// Which jar.
        jar: String,
    },
    /// A jar is wanted thicker than one before it.
    OutOfOrder {
        /// Which.
        jar: String,
        /// Its trail in seconds.
        trail_s: f64,
        /// The thinnest before it.
        behind: String,
        /// The trail of that one in seconds.
        thinner_s: f64,
    },
    /// There is too little on the shelf.
    Short {
        /// Of which ingredient.
        ingredient: String,
        /// How much is missing.
        by: Mass,
        /// How many packs to buy, of which size.
        packs: Option<(u64, Mass)>,
    },
}

impl Warning {
    /// Returns what it rests on: arithmetic, the shelf, or *common practice*.
    #[must_use]
    pub const fn basis(&self) -> &'static str {
        match self.matter {
            Matter::JarTooSmall { .. } => "volumes of the parts added",
            Matter::Watery { .. } => WATER_BASIS,
            Matter::Overloaded { .. } => "critical PVC from the oil absorption on the shelf",
            Matter::LatePowder { .. } | Matter::OutOfOrder { .. } => "common practice",
            Matter::Short { .. } => "stock on the shelf",
        }
    }
}

/// Says what is the matter, and what to do about it.
impl fmt::Display for Matter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::JarTooSmall { jar, most, holds } => write!(
                f,
                "{jar} comes to {most} at most and its jar holds {holds}: take a larger jar or make it in two"
            ),
            Self::Watery { jar, water } => {
                write!(f, "{jar}, thinned at most: {water}; the film may not hold")
            }
            Self::Overloaded { jar, pvc, critical } => write!(
                f,
                "{jar} holds {} pigment by volume when dry, more than the {} its binder can fill: expect a weak, matt film",
                percent(pvc),
                percent(critical)
            ),
            Self::LatePowder { ingredient, jar } => write!(
                f,
                "{ingredient} goes into {jar} when the jar is more than half full: wet it to a paste first"
            ),
            Self::OutOfOrder {
                jar,
                trail_s,
                behind,
                thinner_s,
            } => write!(
                f,
                "{jar} is wanted with a trail of {trail_s} s and stands after {behind} with {thinner_s} s: a set goes from thickest to thinnest"
            ),
            Self::Short {
                ingredient,
                by,
                packs,
            } => {
                write!(
                    f,
                    "{ingredient} on the shelf is short by {} g",
                    by.grams_text(2)
                )?;
                match packs {
                    Some((1, pack)) => write!(f, "; buy 1 pack of {pack}"),
                    Some((packs, pack)) => write!(f, "; buy {packs} packs of {pack}"),
                    None => Ok(()),
                }
            }
        }
    }
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
        matter: Matter::JarTooSmall {
            jar: jar.name.clone(),
            most: most.clone(),
            holds: holds.clone(),
        },
    })
}

fn watery(set: &Set, jar: &PlannedJar, shelf: &Shelf) -> Option<Warning> {
    let added = &jar.makeup.as_ref()?.added_water;
    let water = water_warning(&thinned(jar, added, shelf), &set.water_warning)?;
    Some(Warning {
        about: jar.stem.clone(),
        matter: Matter::Watery {
            jar: jar.name.clone(),
            water,
        },
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
        matter: Matter::Overloaded {
            jar: jar.name.clone(),
            pvc: load.pvc.clone(),
            critical: load.critical.clone(),
        },
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
                    matter: Matter::LatePowder {
                        ingredient: addition.ingredient.name.clone(),
                        jar: jar.name.clone(),
                    },
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
        matter: Matter::OutOfOrder {
            jar: name(wrong.jar),
            trail_s: wrong.trail.seconds(),
            behind: name(wrong.behind),
            thinner_s: wrong.thinner.seconds(),
        },
    };
    out_of_order(&with_trail).into_iter().map(told).collect()
}

fn short(need: &RawNeed) -> Option<Warning> {
    let shortage = need.shortage.as_ref()?;
    Some(Warning {
        about: need.ingredient.key.clone(),
        matter: Matter::Short {
            ingredient: need.ingredient.name.clone(),
            by: shortage.by,
            packs: shortage.packs,
        },
    })
}
