//! Changing what is still to be added so that the ratio holds.
//!
//! A rescue is a value: it is computed, compared, shown with its consequences, chosen, written down,
//! and can be taken back. One file holds one way out; [`options`] gathers them.

mod accept;
mod top_up;

use serde::{Deserialize, Serialize};
use tarehand_protocol::Mass;

use crate::ratio::Ratio;

/// A jar that may need a rescue: what is in it, and what the recipe wants.
///
/// Only what is inside the ratio; what is judged by eye stays outside.
#[derive(Clone, Debug, PartialEq)]
pub struct Situation {
    /// The total that was aimed at.
    pub planned: Mass,
    /// The ingredients of the ratio; their shares sum to one.
    pub parts: Vec<Part>,
    /// What the jar holds, in microlitres.
    pub jar_ul: Option<u64>,
    /// What is in the jar outside the ratio.
    pub outside: Mass,
    /// The smallest amount worth pouring on this scale: its uncertainty.
    pub least_pour: Mass,
}

/// One ingredient of a [`Situation`].
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its key.
    pub key: String,
    /// Its name for people.
    pub name: String,
    /// Its exact share of the recipe.
    pub share: Ratio,
    /// What is in the jar already.
    pub poured: Mass,
    /// What is still to be poured as planned.
    pub open: Mass,
    /// What is left on the shelf for it, where the shelf says it.
    pub stock: Option<Mass>,
    /// Its density in micrograms per millilitre, where the shelf knows it.
    pub density_ug_per_ml: Option<u64>,
}

/// One way out.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RescueOption {
    /// Which way.
    pub kind: RescueKind,
    /// The total of the ratio's ingredients at the end.
    pub total: Mass,
    /// What is still to be poured of each ingredient; ingredients that need nothing are left out.
    pub pours: Vec<Pour>,
    /// The shares that result, for every ingredient.
    pub shares: Vec<ShareLine>,
    /// Why it cannot be done, where it cannot.
    pub obstacle: Option<Obstacle>,
}

/// Which way out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RescueKind {
    /// Add more of everything else until the ratio holds exactly.
    TopUpExact,
    /// Go on as planned and live with the shares that result.
    Accept,
}

/// One pour of a rescue.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Pour {
    /// The ingredient's key.
    pub key: String,
    /// Its name for people.
    pub name: String,
    /// How much is still to be poured.
    pub mass: Mass,
}

/// The share of one ingredient, as planned and as it would be.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ShareLine {
    /// The ingredient's key.
    pub key: String,
    /// Its name for people.
    pub name: String,
    /// As the recipe wants it.
    pub planned: Ratio,
    /// As it would be.
    pub result: Ratio,
}

impl ShareLine {
    /// Returns by which fraction of itself the share is off, without its sign; an estimate for comparing and showing.
    #[must_use]
    pub fn deviation(&self) -> f64 {
        let planned = self.planned.to_f64();
        if 0.0 < planned {
            (self.result.to_f64() / planned - 1.0).abs()
        } else {
            0.0
        }
    }
}

/// Why an option cannot be done.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "what")]
pub enum Obstacle {
    /// The jar is too small.
    Jar {
        /// What it would have to hold, in microlitres.
        needs_ul: u64,
        /// What it holds.
        holds_ul: u64,
    },
    /// The shelf has too little of an ingredient.
    Stock {
        /// The ingredient's name.
        name: String,
        /// How much is still needed.
        needs: Mass,
        /// How much there is.
        has: Mass,
    },
}

impl std::fmt::Display for Obstacle {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Jar { needs_ul, holds_ul } => {
                write!(
                    f,
                    "the jar holds {} ml and this needs {} ml",
                    holds_ul / 1_000,
                    needs_ul.div_ceil(1_000)
                )
            }
            Self::Stock { name, needs, has } => {
                write!(
                    f,
                    "this needs {} g more {name} and the shelf has {} g",
                    needs.grams_text(1),
                    has.grams_text(1)
                )
            }
        }
    }
}

impl RescueOption {
    /// Returns by which fraction the batch grows over what was planned.
    #[must_use]
    pub fn growth(&self, planned: Mass) -> Ratio {
        let grown = Ratio::from_mass(self.total - planned);
        grown
            .checked_div(&Ratio::from_mass(planned))
            .unwrap_or_else(Ratio::zero)
    }
}

/// Returns the ways out, the one to be proposed first.
///
/// An option that cannot be done is listed behind those that can, with its obstacle.
#[must_use]
pub fn options(situation: &Situation) -> Vec<RescueOption> {
    let mut options = vec![top_up::option(situation), accept::option(situation)];
    options.sort_by_key(|option| option.obstacle.is_some());
    options
}

/// Returns what stands in the way of these pours.
fn obstacle(situation: &Situation, pours: &[Pour]) -> Option<Obstacle> {
    let of = |key: &str| {
        pours
            .iter()
            .filter(|pour| pour.key == key)
            .map(|pour| pour.mass)
            .sum::<Mass>()
    };
    let short = situation.parts.iter().find_map(|part| {
        let (needs, has) = (of(&part.key), part.stock?);
        (has < needs).then(|| Obstacle::Stock {
            name: part.name.clone(),
            needs,
            has,
        })
    });
    short.or_else(|| {
        let holds_ul = situation.jar_ul?;
        // What is outside the ratio, and what has no density, is taken as water: 1 g/ml.
        let inside = situation
            .parts
            .iter()
            .map(|part| volume_ul(part.poured + of(&part.key), part.density_ug_per_ml));
        let needs_ul = inside.sum::<u64>() + volume_ul(situation.outside, None);
        (holds_ul < needs_ul).then_some(Obstacle::Jar { needs_ul, holds_ul })
    })
}

fn volume_ul(mass: Mass, density_ug_per_ml: Option<u64>) -> u64 {
    let micrograms = u128::try_from(mass.micrograms()).unwrap_or(0);
    let density = u128::from(density_ug_per_ml.unwrap_or(1_000_000).max(1));
    u64::try_from((micrograms * 1_000).div_ceil(density)).unwrap_or(u64::MAX)
}

/// Returns the shares that result when `open` is still poured of each part.
fn shares(situation: &Situation, open: impl Fn(&Part) -> Mass) -> (Mass, Vec<ShareLine>) {
    let total: Mass = situation
        .parts
        .iter()
        .map(|part| part.poured + open(part))
        .sum();
    let line = |part: &Part| ShareLine {
        key: part.key.clone(),
        name: part.name.clone(),
        planned: part.share.clone(),
        result: Ratio::from_mass(part.poured + open(part))
            .checked_div(&Ratio::from_mass(total))
            .unwrap_or_else(Ratio::zero),
    };
    (total, situation.parts.iter().map(line).collect())
}

#[cfg(test)]
mod tests;
