//! A recipe sized for one jar: steps in grams (the control recipe of ISA-88).

use std::collections::BTreeMap;
use std::time::Duration;

use serde::{Deserialize, Serialize};
use tarehand_protocol::Mass;

use crate::choice::Choice;
use crate::ratio::Ratio;
use crate::shelf::Price;

/// A recipe sized for one jar.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Procedure {
    /// The recipe's name, for people.
    pub recipe: String,
    /// The planned total of what is inside the ratio.
    pub planned: Mass,
    /// What the jar holds, in microlitres, where the recipe says it.
    pub jar_ul: Option<u64>,
    /// The wanted trail, in seconds; 0 = leaves none.
    pub trail_s: Option<f64>,
    /// How long the mix can be worked with once its parts have met, for mixes that harden.
    #[serde(default)]
    pub pot_life: Option<Duration>,
    /// The choices that the recipe and its premixes leave, as they were made.
    #[serde(default)]
    pub choices: Vec<Choice>,
    /// What to do, in order.
    pub steps: Vec<Step>,
    /// What the premixes are made of, those inside premixes too.
    #[serde(default)]
    pub premixes: Vec<Premix>,
    /// Its place among the jars that are mixed side by side, where it is one of several.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub of_set: Option<OfSet>,
    /// The finished jar that it goes into, where it makes no jar of its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub amends: Option<Box<Amends>>,
}

impl Procedure {
    /// Makes a procedure of steps alone: no premixes and no choices, a jar of its own of which nothing is said.
    #[must_use]
    pub fn of_steps(recipe: impl Into<String>, planned: Mass, steps: Vec<Step>) -> Self {
        Self {
            recipe: recipe.into(),
            planned,
            jar_ul: None,
            trail_s: None,
            pot_life: None,
            choices: Vec::new(),
            steps,
            premixes: Vec::new(),
            of_set: None,
            amends: None,
        }
    }
}

/// A finished jar that is opened again: what is done goes into it, or out of it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Amends {
    /// The batch that made it, by its mark.
    pub mark: String,
    /// The recipe's name of that batch, for people.
    pub recipe: String,
    /// What the empty jar weighs, as the record of that batch has it.
    pub tare: Mass,
    /// What the ledger says was in it when this was opened.
    pub holds: Mass,
    /// How far from both together a scale may show it.
    pub within: Mass,
    /// The finished jars that are poured out of: the mark of each one's batch, by its key.
    #[serde(default)]
    pub out_of: BTreeMap<String, String>,
}

impl Amends {
    /// Returns what the jar should weigh as it stands.
    #[must_use]
    pub fn gross(&self) -> Mass {
        self.tare + self.holds
    }
}

/// The place of a jar among those that are mixed side by side on one scale.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct OfSet {
    /// The set's name, for people.
    pub set: String,
    /// The run, the same for each of its jars and for no other.
    pub run: String,
    /// How many jars the run has, premixes too.
    pub jars: u32,
    /// The recipe's stem: what other jars call this mix when they pour it.
    pub key: String,
    /// When each step has its turn among the steps of all jars.
    pub turns: Vec<u32>,
    /// The premixes it pours that are made in this run: the mark of each one's batch, by its key.
    #[serde(default)]
    pub made: BTreeMap<String, String>,
    /// Its part of the surface, where it is a share of the pour.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub covers: Option<Box<Covers>>,
}

/// The part of a surface that one jar of a set is for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Covers {
    /// Its square millimetres.
    pub square_mm: Ratio,
    /// What they take by the set's yield, spare not included.
    pub takes: Mass,
}

/// What a premix is made of.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Premix {
    /// Its key, as ingredients are named.
    pub key: String,
    /// Its ingredients and their exact shares, which sum to one.
    pub parts: Vec<(Ingredient, Ratio)>,
}

/// One step of a [`Procedure`].
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Step {
    /// What is to be done.
    pub kind: StepKind,
    /// A remark of the recipe's author, shown with the step.
    pub note: Option<String>,
}

/// What is to be done in one step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum StepKind {
    /// Add an ingredient by weight, by count or by eye.
    Add(Addition),
    /// Stir for a time.
    Stir {
        /// How long.
        time: Duration,
    },
    /// Let it rest for a time.
    Rest {
        /// How long.
        time: Duration,
    },
    /// Strain through something.
    Strain {
        /// Through what, in the author's words.
        through: String,
    },
    /// Look at it and confirm.
    Look {
        /// What should be seen.
        expect: String,
    },
    /// Measure the trail and write it down.
    Trail {
        /// The wanted trail in seconds, where the recipe says it; 0 = leaves none.
        wanted_s: Option<f64>,
    },
    /// Add small amounts until the trail is right.
    Thin {
        /// With what.
        with: Ingredient,
        /// One splash.
        by: Mass,
        /// All splashes together.
        at_most: Option<Mass>,
        /// The wanted trail in seconds; 0 = leaves none.
        wanted_s: Option<f64>,
        /// How it is weighed.
        #[serde(default)]
        weigh: Weigh,
    },
    /// Take some of the well-stirred mix out of the jar.
    TakeOut {
        /// How much.
        mass: Mass,
    },
    /// Let the finished mix out of the jar into another vessel.
    Decant {
        /// How much.
        amount: Decanted,
        /// Into what, in the author's words.
        into: String,
    },
    /// Only a remark to read.
    Note {
        /// The remark.
        text: String,
    },
}

impl StepKind {
    /// Returns what is poured in this step, if anything is.
    #[must_use]
    pub const fn ingredient(&self) -> Option<&Ingredient> {
        match self {
            Self::Add(addition) => Some(&addition.ingredient),
            Self::Thin { with, .. } => Some(with),
            Self::Stir { .. }
            | Self::Rest { .. }
            | Self::Strain { .. }
            | Self::Look { .. }
            | Self::Trail { .. }
            | Self::TakeOut { .. }
            | Self::Decant { .. }
            | Self::Note { .. } => None,
        }
    }

    /// Returns how the recipe wants it weighed; where nothing is poured, in the jar.
    #[must_use]
    pub const fn weigh(&self) -> Weigh {
        match self {
            Self::Add(addition) => addition.weigh,
            Self::Thin { weigh, .. } => *weigh,
            Self::Stir { .. }
            | Self::Rest { .. }
            | Self::Strain { .. }
            | Self::Look { .. }
            | Self::Trail { .. }
            | Self::TakeOut { .. }
            | Self::Decant { .. }
            | Self::Note { .. } => Weigh::Jar,
        }
    }

    /// Returns the target of an addition inside the ratio.
    #[must_use]
    pub const fn target(&self) -> Option<Mass> {
        match self {
            Self::Add(Addition {
                amount:
                    Amount::Weighed { target, .. }
                    | Amount::Counted {
                        expected: target, ..
                    },
                ..
            }) => Some(*target),
            _ => None,
        }
    }

    /// Returns whether mix leaves the jar in this step, so that the jar grows lighter.
    #[must_use]
    pub const fn lets_out(&self) -> bool {
        matches!(self, Self::TakeOut { .. } | Self::Decant { .. })
    }

    /// Returns how much of the mix is to leave the jar, where that is said in grams.
    #[must_use]
    pub const fn out(&self) -> Option<Mass> {
        match self {
            Self::TakeOut { mass }
            | Self::Decant {
                amount: Decanted::Weighed { target: mass, .. },
                ..
            } => Some(*mass),
            _ => None,
        }
    }
}

/// How much of the finished mix is decanted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Decanted {
    /// As much as comes out; what stays is the heel.
    All,
    /// So much, or more.
    Weighed {
        /// The grams for this jar.
        target: Mass,
        /// How much less is enough.
        within: Within,
    },
}

/// One addition of an ingredient.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Addition {
    /// What is added.
    pub ingredient: Ingredient,
    /// How much.
    pub amount: Amount,
    /// How it is weighed.
    #[serde(default)]
    pub weigh: Weigh,
}

/// How an addition is weighed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Weigh {
    /// The jar stands on the scale and grows heavier.
    #[default]
    Jar,
    /// The bottle, or a small cup, stands on the scale and grows lighter; the jar stands beside it.
    Bottle,
    /// A small cup or the bottle stands on a second, finer scale and grows lighter; the jar stays where it is. No
    /// recipe asks for it: it follows from what the scales of the bench can tell apart.
    Fine,
}

/// Something that is poured: from the shelf, a premix, or known by name alone.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Ingredient {
    /// Its key in recipe and shelf, `chalk-white`.
    pub key: String,
    /// Its name for people, `Chalk white, matt`; the key where the shelf knows none.
    pub name: String,
    /// Where the name was found.
    pub origin: Origin,
    /// Its density in whole micrograms per millilitre, where the shelf knows it.
    pub density_ug_per_ml: Option<u64>,
    /// What is on the shelf, where the shelf says it.
    pub stock: Option<Mass>,
    /// What it costs, where the shelf says it.
    #[serde(default)]
    pub price: Option<Price>,
    /// Cautions to show, in the shelf's words.
    pub cautions: Vec<String>,
    /// Whether the shelf knows it as water and nothing else.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub plain_water: bool,
}

impl Ingredient {
    /// Returns something that is known by its name alone.
    #[must_use]
    pub fn by_name(key: &str) -> Self {
        Self {
            key: key.to_owned(),
            name: key.to_owned(),
            origin: Origin::Name,
            density_ug_per_ml: None,
            stock: None,
            price: None,
            cautions: Vec::new(),
            plain_water: false,
        }
    }
}

/// Where the name of an ingredient was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Origin {
    /// An ingredient of the shelf.
    Shelf,
    /// A recipe of that name beside this one.
    Premix,
    /// Known by its name alone.
    Name,
}

/// How much of an ingredient is to be added.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Amount {
    /// To a weight; inside the ratio.
    Weighed {
        /// The exact share of the planned total.
        share: Ratio,
        /// The share in grams for this jar.
        target: Mass,
        /// The tolerance the recipe asks for.
        within: Within,
    },
    /// By count, drops or spoons; the scale records; inside the ratio.
    Counted {
        /// The exact share of the planned total, through drop or spoon mass.
        share: Ratio,
        /// What is counted.
        unit: CountUnit,
        /// What one of them weighs.
        each: Mass,
        /// What all of them should weigh together for this jar.
        expected: Mass,
        /// Judged only where the recipe says a tolerance.
        within: Option<Within>,
    },
    /// Anything between two weights; outside the ratio.
    Range {
        /// The least.
        low: Mass,
        /// The most.
        high: Mass,
    },
    /// As much as looks right; outside the ratio.
    ByEye,
    /// A whole vessel is emptied into the jar; outside the ratio.
    Whole {
        /// The vessel, in the author's words.
        vessel: String,
    },
}

impl Amount {
    /// Returns the exact share of the planned total, for what is inside the ratio.
    #[must_use]
    pub const fn share(&self) -> Option<&Ratio> {
        match self {
            Self::Weighed { share, .. } | Self::Counted { share, .. } => Some(share),
            Self::Range { .. } | Self::ByEye | Self::Whole { .. } => None,
        }
    }

    /// Returns the grams to reach, where there is one number: a range has two and by eye has none.
    #[must_use]
    pub const fn target(&self) -> Option<Mass> {
        match self {
            Self::Weighed { target, .. } => Some(*target),
            Self::Counted { expected, .. } => Some(*expected),
            Self::Range { .. } | Self::ByEye | Self::Whole { .. } => None,
        }
    }
}

/// What is counted instead of weighed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CountUnit {
    /// Drops.
    Drop,
    /// Teaspoons.
    Teaspoon,
    /// Tablespoons.
    Tablespoon,
}

/// A tolerance, the same to both sides.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Within {
    /// This fraction of the step's own target (2 % is 1/50).
    Fraction(Ratio),
    /// This mass.
    Mass(Mass),
}

impl Within {
    /// Returns the tolerance of what a way out pours and the recipe does not: 2 % (our own choice).
    #[must_use]
    pub fn beside_the_recipe() -> Self {
        Self::Fraction(Ratio::new(2, 100))
    }

    /// Returns the tolerance in grams for a target.
    #[must_use]
    pub fn of(&self, target: Mass) -> Mass {
        match self {
            Self::Fraction(fraction) => (fraction * &Ratio::from_mass(target.abs())).to_mass(),
            Self::Mass(mass) => *mass,
        }
    }
}
