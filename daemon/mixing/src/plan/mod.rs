//! What a set takes: grams of every jar, premixes rolled up, the shelf, the cost, and the order of work.
//!
//! Everything is exact until it is rounded once for the person, and linear in the surface but for the heels.
//!
//! | file | idea |
//! |---|---|
//! | `jar`, `rollup` | one jar, and premixes rolled up into one amount each |
//! | `stock` | what the shelf gives, what is missing, what it costs |
//! | `walk`, `work` | the order of the pours, and of one pair of hands |
//! | `run` | a plan as it is mixed |
//! | `warning` | what a person should know before |

mod jar;
mod rollup;
mod run;
mod stock;
pub mod walk;
mod warning;
pub mod work;

use std::collections::BTreeSet;

pub use jar::{Fit, PlannedJar};
pub use rollup::{Draw, Into, PlannedPremix};
pub use run::Way;
pub use stock::{Cost, RawNeed, Shortage};
pub use warning::{Matter, Warning};

use crate::procedure::Covers;
use crate::ratio::Ratio;
use crate::set::{Basis, Portion, Set, SetJar};
use crate::shelf::Shelf;
use crate::sizing::{SizeError, TakenApart};
use crate::units::Volume;
use walk::Walks;
use work::Work;

/// What a set takes.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The square millimetres of all pieces, edges included.
    pub square_mm: Ratio,
    /// What they take, run-off included and spare not.
    pub pour: Volume,
    /// The jars, in the order of the set.
    pub jars: Vec<PlannedJar>,
    /// The premixes, each after those it is made of.
    pub premixes: Vec<PlannedPremix>,
    /// Every pour, into premixes and into jars, exactly.
    pub draws: Vec<Draw>,
    /// What comes from the shelf, by key.
    pub raw: Vec<RawNeed>,
    /// What it costs.
    pub cost: Cost,
    /// Cautions of everything that is used, each once.
    pub cautions: Vec<String>,
    /// What the person should know before beginning, with its basis.
    pub warnings: Vec<Warning>,
    /// The two ways to walk the jars.
    pub walks: Walks,
    /// The order of work, rests overlapping.
    pub work: Work,
}

/// Why a set cannot be planned.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PlanError {
    /// A jar or premix cannot be sized.
    #[error("`{stem}` cannot be made so: {source}")]
    Size {
        /// Whose recipe.
        stem: String,
        /// Why.
        source: SizeError,
    },
}

/// Plans a set.
///
/// # Errors
/// When a jar would be nothing, or more than a thousand tonnes.
pub fn plan(set: &Set, shelf: &Shelf) -> Result<Plan, PlanError> {
    let square_mm: Ratio = set.surfaces.iter().map(|surface| surface.all()).sum();
    let pour = set.cover.of(&square_mm);
    let masses = masses(set, &pour);
    let mut jars = Vec::with_capacity(set.jars.len());
    let mut apart = TakenApart::default();
    for (jar, exact) in set.jars.iter().zip(&masses) {
        let mut planned = jar::planned(jar, exact, shelf, &mut apart)?;
        planned.covers = covers(set, jar, exact, &square_mm, &pour);
        jars.push(planned);
    }
    let rollup = rollup::roll_up(set, &masses)?;
    let raw = stock::needs(&rollup);
    let cautions: BTreeSet<&String> = raw
        .iter()
        .flat_map(|need| &need.ingredient.cautions)
        .collect();
    Ok(Plan {
        warnings: warning::warnings(set, &jars, &raw, shelf),
        cost: Cost::of(&raw),
        cautions: cautions.into_iter().cloned().collect(),
        walks: Walks::of(&jars),
        work: work::order(&rollup.premixes, &jars, shelf),
        premixes: rollup.premixes,
        draws: rollup.draws,
        raw,
        jars,
        square_mm,
        pour,
    })
}

/// Returns the part of the surface that a jar is for: as much of it as the jar is of the pour's volume.
fn covers(
    set: &Set,
    jar: &SetJar,
    exact: &Ratio,
    square_mm: &Ratio,
    pour: &Volume,
) -> Option<Covers> {
    let (Portion::Share(_), Some(density)) = (&jar.portion, jar.density) else {
        return None;
    };
    let takes = exact.checked_div(&(&Ratio::one() + &set.spare))?;
    let volume = density.volume_of(&takes);
    let part = volume.microlitres().checked_div(pour.microlitres())?;
    Some(Covers {
        square_mm: (&part * square_mm).reduced(),
        takes: takes.to_mass(),
    })
}

/// Returns the exact micrograms of every jar, spare included.
///
/// The shares fill the pour's volume: by volume V·sᵢ·ρᵢ, by weight sᵢ·V / Σ(sⱼ/ρⱼ).
fn masses(set: &Set, pour: &Volume) -> Vec<Ratio> {
    let volume = pour.microlitres() * &(&Ratio::one() + &set.spare);
    let shared = |jar: &SetJar| match (&jar.portion, jar.density) {
        (Portion::Share(share), Some(density)) => Some((share.clone(), density)),
        _ => None,
    };
    // Microlitres of one microgram of the whole pour.
    let per_microgram: Ratio = set
        .jars
        .iter()
        .filter_map(shared)
        .map(|(share, density)| density.volume_of(&share).microlitres().clone())
        .sum();
    let by_weight = volume.checked_div(&per_microgram);
    set.jars
        .iter()
        .map(|jar| match (&jar.portion, shared(jar)) {
            (Portion::Make(mass), _) => Ratio::from_mass(*mass),
            (Portion::Share(_), Some((share, density))) => match set.basis {
                Basis::Volume => density.weight_of(&Volume::from_microlitres(&volume * &share)),
                Basis::Weight => &share * by_weight.as_ref().unwrap_or(&Ratio::zero()),
            },
            // The check lets no share pass without a density.
            (Portion::Share(_), None) => Ratio::zero(),
        })
        .collect()
}

#[cfg(test)]
mod tests;
