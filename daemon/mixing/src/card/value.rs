//! The card as a value: everything a form may show, nothing of how it looks.

use std::time::Duration;

use tarehand_protocol::Mass;

use crate::choice::Choice;
use crate::later::Later;
use crate::procedure::{CountUnit, Ingredient, Origin};
use crate::provenance::Run;
use crate::ratio::Ratio;
use crate::units::{Density, Volume};

/// A recipe or a batch as a card to hand on.
#[derive(Clone, Debug, PartialEq)]
pub struct Card {
    /// Its key among the cards handed on with it: the recipe's stem.
    pub key: String,
    /// Its name for people.
    pub name: String,
    /// What it tells of.
    pub made: Made,
    /// The total of what is inside the ratio.
    pub total: Mass,
    /// What the jar holds.
    pub jar: Option<Volume>,
    /// The wanted trail, in seconds; 0 = leaves none.
    pub trail_s: Option<f64>,
    /// How long the mix can be worked with once its parts have met.
    pub pot_life: Option<Duration>,
    /// The choices that the recipe leaves, as they were made.
    pub choices: Vec<Choice>,
    /// What is used, beside what goes in.
    pub tools: Vec<String>,
    /// What goes in: first what is inside the ratio, then what lies outside.
    pub lines: Vec<Line>,
    /// What to do, or what was done, in order.
    pub steps: Vec<CardStep>,
    /// What came otherwise than planned, one sentence each.
    pub happened: Vec<String>,
    /// The premixes, those inside premixes too; each once.
    pub premixes: Vec<Self>,
    /// The cautions of everything that goes in, premixes too; each once.
    pub cautions: Vec<Caution>,
}

/// What a card tells of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Made {
    /// A recipe, for anybody to make.
    Recipe,
    /// A batch as it was really made.
    Batch {
        /// The mark on its jar.
        mark: String,
        /// The day it was opened, UTC.
        day: String,
        /// Whether anything was really poured.
        run: Run,
        /// What was planned, inside the ratio.
        planned: Mass,
    },
    /// What a premix in a batch is made of; its steps are not in the batch's record.
    Composition,
}

/// One ingredient of a card.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Its key.
    pub key: String,
    /// Its name for people.
    pub name: String,
    /// Where its name was found.
    pub origin: Origin,
    /// How much.
    pub portion: Portion,
    /// What was planned, where the card tells of a batch.
    pub planned: Option<Portion>,
    /// What it weighs by volume, where the shelf knows it.
    pub density: Option<Density>,
    /// What the recipe's author counts it in.
    pub counted: Option<Counted>,
    /// What may stand in for it, ready to read, the best first.
    pub stand_ins: Vec<String>,
    /// The day it was added, UTC, where the jar was finished before.
    pub later: Option<String>,
}

/// How much of an ingredient.
#[derive(Clone, Debug, PartialEq)]
pub enum Portion {
    /// So much, inside the ratio.
    Share {
        /// How much.
        mass: Mass,
        /// Its exact share of the total.
        share: Ratio,
    },
    /// So much, outside the ratio.
    Beside(Mass),
    /// Anything between two weights, outside the ratio.
    Range {
        /// The least.
        low: Mass,
        /// The most.
        high: Mass,
    },
    /// Small additions until the trail is right, outside the ratio.
    Thinning {
        /// One splash.
        by: Mass,
        /// All splashes together.
        at_most: Option<Mass>,
    },
    /// As much as looks right, outside the ratio.
    ByEye,
    /// A whole vessel, outside the ratio.
    Whole {
        /// Which, in the author's words.
        vessel: String,
    },
}

impl Portion {
    /// Returns the mass, where it is one number.
    #[must_use]
    pub const fn mass(&self) -> Option<Mass> {
        match self {
            Self::Share { mass, .. } | Self::Beside(mass) => Some(*mass),
            Self::Range { .. } | Self::Thinning { .. } | Self::ByEye | Self::Whole { .. } => None,
        }
    }

    /// Returns the exact share of the total, for what is inside the ratio.
    #[must_use]
    pub const fn share(&self) -> Option<&Ratio> {
        match self {
            Self::Share { share, .. } => Some(share),
            Self::Beside(_)
            | Self::Range { .. }
            | Self::Thinning { .. }
            | Self::ByEye
            | Self::Whole { .. } => None,
        }
    }
}

/// What an ingredient is counted in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Counted {
    /// What is counted.
    pub unit: CountUnit,
    /// What one of them weighs.
    pub each: Mass,
}

/// One step of a card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CardStep {
    /// What to do, ready to read.
    pub text: String,
    /// A remark of the recipe's author.
    pub note: Option<String>,
    /// How long it takes, where the recipe says it.
    pub time: Option<Duration>,
}

/// Something to be careful of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Caution {
    /// The shelf's words.
    pub text: String,
    /// The names of the ingredients it is about.
    pub about: Vec<String>,
}

impl Card {
    /// Returns the card with what became of its jar later: what was added stands beside the ratio with its day, and what was poured
    /// over or taken out is told.
    #[must_use]
    pub fn with_later(mut self, later: &Later) -> Self {
        for (change, ingredient) in later.added() {
            let line = Line::of(ingredient, Portion::Beside(change.mass));
            self.lines.push(Line {
                later: Some(change.day.clone()),
                ..line
            });
        }
        self.happened.extend(later.moved());
        for ingredient in &later.may_hold {
            Caution::add(ingredient, &mut self.cautions);
        }
        self
    }

    /// Returns the lines inside the ratio.
    pub fn inside(&self) -> impl Iterator<Item = &Line> {
        self.lines
            .iter()
            .filter(|line| line.portion.share().is_some())
    }

    /// Returns the lines outside the ratio.
    pub fn outside(&self) -> impl Iterator<Item = &Line> {
        self.lines
            .iter()
            .filter(|line| line.portion.share().is_none())
    }

    /// Returns the time its steps say, stirring and resting.
    #[must_use]
    pub fn time(&self) -> Duration {
        self.steps.iter().filter_map(|step| step.time).sum()
    }

    /// Returns the card of a premix, if it is handed on with this one.
    #[must_use]
    pub fn premix(&self, key: &str) -> Option<&Self> {
        self.premixes.iter().find(|premix| premix.key == key)
    }
}

impl Line {
    /// Makes a line of an ingredient.
    pub(super) fn of(ingredient: &Ingredient, portion: Portion) -> Self {
        Self {
            key: ingredient.key.clone(),
            name: tidy(&ingredient.name),
            origin: ingredient.origin,
            portion,
            planned: None,
            density: ingredient
                .density_ug_per_ml
                .and_then(Density::from_ug_per_ml),
            counted: None,
            stand_ins: Vec::new(),
            later: None,
        }
    }
}

impl Caution {
    /// Adds the cautions of an ingredient to a list that says each once.
    pub(crate) fn add(ingredient: &Ingredient, to: &mut Vec<Self>) {
        // A premix carries the cautions of its parts, and those are said of the parts themselves.
        if ingredient.origin == Origin::Premix {
            return;
        }
        let name = tidy(&ingredient.name);
        for text in &ingredient.cautions {
            let text = tidy(text);
            match to.iter_mut().find(|known| known.text == text) {
                Some(known) if known.about.contains(&name) => {}
                Some(known) => known.about.push(name.clone()),
                None => to.push(Self {
                    text,
                    about: vec![name.clone()],
                }),
            }
        }
    }
}

/// Makes a text harmless and one line long: a name from a file must not steer a terminal or a page.
pub(crate) fn tidy(text: &str) -> String {
    text.chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect()
}
