//! A recipe that has been checked: every share exact, every name known.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;

use tarehand_protocol::Mass;

use super::Replaced;
use crate::choice::Choice;
use crate::procedure::{CountUnit, Ingredient, Weigh};
use crate::ratio::Ratio;
use crate::units::{Density, Volume};

/// A recipe that has been checked; any size can be made of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Recipe {
    pub(crate) stem: String,
    pub(crate) name: String,
    pub(crate) makes: Option<Mass>,
    pub(crate) trail: Option<Duration>,
    pub(crate) jar: Option<Volume>,
    pub(crate) pot_life: Option<Duration>,
    pub(crate) steps: Vec<RecipeStep>,
    /// The choices that it and its premixes leave, as they were made.
    pub(crate) choices: Vec<Choice>,
    /// Keys of what its own other options use.
    pub(crate) otherwise: Vec<String>,
    /// The recipes of the premixes it uses, by key.
    pub(crate) premixes: BTreeMap<String, Arc<Self>>,
    /// What is not to be had and was replaced.
    pub(crate) replaced: Vec<Replaced>,
    /// The shares as written, where something was replaced.
    pub(crate) as_written: Vec<(Ingredient, Ratio)>,
}

/// One step of a [`Recipe`].
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct RecipeStep {
    pub kind: RecipeStepKind,
    pub note: Option<String>,
    /// How what it pours is weighed.
    pub weigh: Weigh,
}

/// What one step does; amounts are fractions of the planned total.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum RecipeStepKind {
    Add {
        ingredient: Ingredient,
        dose: Dose,
    },
    Stir(Duration),
    Rest(Duration),
    Strain(String),
    Look(String),
    Trail(Option<Duration>),
    Thin {
        with: Ingredient,
        by: Ratio,
        at_most: Option<Ratio>,
        wanted: Option<Duration>,
    },
    Decant {
        amount: DecantDose,
        into: String,
    },
    Note(String),
}

/// How much is decanted; fractions of the planned total.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum DecantDose {
    All,
    Weighed { part: Ratio, within: Tolerance },
}

/// How much is added; fractions of the planned total.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Dose {
    Weighed {
        share: Ratio,
        within: Tolerance,
    },
    Counted {
        share: Ratio,
        unit: CountUnit,
        /// Exact micrograms of one.
        each: Ratio,
        within: Option<Tolerance>,
    },
    Range {
        low: Ratio,
        high: Ratio,
        /// What is counted and the exact micrograms of one, where the range was written as a count.
        counted: Option<(CountUnit, Ratio)>,
    },
    ByEye,
    Whole {
        vessel: String,
    },
}

/// A tolerance that scales with the batch.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Tolerance {
    /// A fraction of the step's own target.
    OfTarget(Ratio),
    /// A fraction of the planned total: grams in the file.
    OfTotal(Ratio),
}

impl Recipe {
    /// Returns the stem of its file, the key it is used by as a premix.
    #[must_use]
    pub fn stem(&self) -> &str {
        &self.stem
    }

    /// Returns its name for people.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Returns how much it makes when nobody says otherwise; `None` for a recipe of shares only.
    #[must_use]
    pub const fn makes(&self) -> Option<Mass> {
        self.makes
    }

    /// Returns what its jar holds.
    #[must_use]
    pub const fn jar(&self) -> Option<&Volume> {
        self.jar.as_ref()
    }

    /// Returns the recipes of the premixes it uses, by key.
    pub fn premixes(&self) -> impl Iterator<Item = (&str, &Self)> {
        self.premixes
            .iter()
            .map(|(key, recipe)| (key.as_str(), recipe.as_ref()))
    }

    /// Returns the choices that it and its premixes leave, as they were made.
    #[must_use]
    pub fn choices(&self) -> &[Choice] {
        &self.choices
    }

    /// Returns the keys of what its other options use: they belong to its text, but not to the mix.
    #[must_use]
    pub fn otherwise(&self) -> &[String] {
        &self.otherwise
    }

    /// Returns what is not to be had and was replaced by a stand-in.
    #[must_use]
    pub fn replaced(&self) -> &[Replaced] {
        &self.replaced
    }

    /// Returns the shares as written, where something was replaced; nothing elsewhere.
    #[must_use]
    pub fn as_written(&self) -> &[(Ingredient, Ratio)] {
        &self.as_written
    }

    /// Returns each addition inside the ratio with its exact share; they sum to exactly one.
    pub fn shares(&self) -> impl Iterator<Item = (&Ingredient, &Ratio)> {
        self.steps.iter().filter_map(|step| match &step.kind {
            RecipeStepKind::Add {
                ingredient,
                dose: Dose::Weighed { share, .. } | Dose::Counted { share, .. },
            } => Some((ingredient, share)),
            _ => None,
        })
    }

    /// Returns what may come on top of the ratio: ranges at their most, and thinning.
    pub(crate) fn extras(&self) -> impl Iterator<Item = (&Ingredient, &Ratio)> {
        self.steps.iter().filter_map(|step| match &step.kind {
            RecipeStepKind::Add {
                ingredient,
                dose: Dose::Range { high, .. },
            } => Some((ingredient, high)),
            RecipeStepKind::Thin {
                with,
                at_most: Some(at_most),
                ..
            } => Some((with, at_most)),
            _ => None,
        })
    }

    /// Returns the density of what is inside the ratio, from the densities of its parts.
    ///
    /// Ideal mixing, ρ = Σm / Σ(m/ρ): an approximation, since some liquids shrink when mixed. `None`
    /// while the density of one part is not known.
    #[must_use]
    pub fn density(&self) -> Option<Density> {
        let mut volume = Ratio::zero();
        for (ingredient, share) in self.shares() {
            let density = Density::from_ug_per_ml(ingredient.density_ug_per_ml?)?;
            volume = &volume + density.volume_of(share).microlitres();
        }
        // Microlitres of one microgram, so a thousandth of the inverse of µg/ml.
        let ug_per_ml = Ratio::new(1_000, 1).checked_div(&volume)?.to_mass();
        Density::from_ug_per_ml(u64::try_from(ug_per_ml.micrograms()).ok()?)
    }
}
