//! One jar of a plan.

use tarehand_protocol::Mass;

use super::PlanError;
use crate::film::{FilmData, Makeup, Part};
use crate::procedure::{Covers, Procedure};
use crate::ratio::Ratio;
use crate::recipe::Recipe;
use crate::set::SetJar;
use crate::shelf::Shelf;
use crate::sizing::{Goal, TakenApart, contents, size};
use crate::units::{Density, Volume};

/// One jar of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedJar {
    /// The recipe's stem.
    pub stem: String,
    /// Its name for people, with what was chosen of what the recipe leaves.
    pub name: String,
    /// Exactly how much, in micrograms.
    pub exact: Ratio,
    /// How much, rounded once.
    pub mass: Mass,
    /// Its volume, where the density is known.
    pub volume: Option<Volume>,
    /// Whether its jar holds it.
    pub fit: Fit,
    /// The wanted trail in seconds, where the recipe says it; 0 = leaves none.
    pub trail_s: Option<f64>,
    /// The recipe in grams.
    pub procedure: Procedure,
    /// Water, solids and pigment, premixes taken apart.
    pub makeup: Option<Makeup>,
    /// Its part of the surface, where it is a share of the pour.
    pub covers: Option<Covers>,
}

/// Whether a jar holds what it is planned for, ranges and thinning at their most.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fit {
    /// Nobody said what the jar holds.
    Unknown,
    /// It does.
    Fits,
    /// It does not.
    TooSmall {
        /// What it holds.
        holds: Volume,
        /// What is to go in at most.
        most: Volume,
    },
}

/// Plans one jar.
pub(super) fn planned<'s>(
    jar: &'s SetJar,
    exact: &Ratio,
    shelf: &Shelf,
    apart: &mut TakenApart<'s>,
) -> Result<PlannedJar, PlanError> {
    let recipe = jar.recipe.as_ref();
    let mass = exact.to_mass();
    let sizing = size(recipe, &Goal::Make(mass)).map_err(|source| PlanError::Size {
        stem: recipe.stem().to_owned(),
        source,
    })?;
    let fit = match &jar.jar {
        None => Fit::Unknown,
        Some(holds) => {
            let most = contents(recipe, mass).volume;
            if holds < &most {
                let holds = holds.clone();
                Fit::TooSmall { holds, most }
            } else {
                Fit::Fits
            }
        }
    };
    Ok(PlannedJar {
        stem: recipe.stem().to_owned(),
        name: named(recipe),
        exact: exact.clone(),
        mass,
        volume: jar.density.map(|density| density.volume_of(exact)),
        fit,
        trail_s: sizing.procedure.trail_s,
        procedure: sizing.procedure,
        makeup: makeup(jar, shelf, apart),
        covers: None,
    })
}

/// Returns the recipe's name, with what was chosen: a set may have it twice, chosen one way and the other.
fn named(recipe: &Recipe) -> String {
    let chosen: Vec<&str> = recipe
        .choices()
        .iter()
        .map(|choice| choice.chosen.as_str())
        .collect();
    match chosen.as_slice() {
        [] => recipe.name().to_owned(),
        chosen => format!("{} ({})", recipe.name(), chosen.join(", ")),
    }
}

/// Works out what the mix is as a film, from what is inside the ratio.
fn makeup<'s>(jar: &'s SetJar, shelf: &Shelf, apart: &mut TakenApart<'s>) -> Option<Makeup> {
    let unsaid = FilmData::default();
    let needs = apart.needs(&jar.recipe, Mass::ZERO);
    let parts: Vec<Part<'_>> = needs
        .iter()
        .filter(|need| !need.share.is_zero())
        .map(|need| Part {
            key: &need.ingredient.key,
            mass: &need.share,
            density: need
                .ingredient
                .density_ug_per_ml
                .and_then(Density::from_ug_per_ml),
            film: shelf
                .get(&need.ingredient.key)
                .map_or(&unsaid, |item| &item.film),
        })
        .collect();
    Makeup::of(&parts)
}
