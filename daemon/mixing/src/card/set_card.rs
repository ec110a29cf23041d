//! The card of a set as a value: what every jar of one pour takes, and how the work goes.

use tarehand_protocol::Mass;

use super::value::{Card, Caution};
use crate::ratio::Ratio;
use crate::set::Basis;
use crate::units::Volume;

/// A whole set as a card to hand on.
#[derive(Clone, Debug, PartialEq)]
pub struct SetCard {
    /// Its key among the cards handed on with it: the set's stem.
    pub key: String,
    /// Its name for people.
    pub name: String,
    /// What is poured on and what that takes, one sentence each; none where no jar follows a surface.
    pub surface: Vec<String>,
    /// What the shares are shares of.
    pub basis: Basis,
    /// The jars, in the order of the set.
    pub jars: Vec<JarCard>,
    /// The premixes, each after those it is made of.
    pub premixes: Vec<PremixCard>,
    /// The places in `jars`, from 0, from the longest trail to the shortest; jars that say none are left out.
    pub thinning_out: Vec<usize>,
    /// The order of work.
    pub work: Vec<WorkLine>,
    /// How long it takes by estimate, rests overlapping.
    pub takes: std::time::Duration,
    /// The same if nothing were done while something rests.
    pub one_after_another: std::time::Duration,
    /// What to know before beginning, each with what it rests on.
    pub warnings: Vec<String>,
    /// The cautions of everything that goes in; each once.
    pub cautions: Vec<Caution>,
}

/// One jar of a set.
#[derive(Clone, Debug, PartialEq)]
pub struct JarCard {
    /// Its own card, in the planned size.
    pub card: Card,
    /// Its volume, where the density is known.
    pub volume: Option<Volume>,
    /// Its share of the pour; `None` where the set says its grams.
    pub share: Option<Ratio>,
}

/// One premix of a set: a single amount for all that use it.
#[derive(Clone, Debug, PartialEq)]
pub struct PremixCard {
    /// Its own card, in the planned size.
    pub card: Card,
    /// What stays in its vessel.
    pub heel: Mass,
}

/// A stretch of work.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WorkLine {
    /// What to do, ready to read.
    pub text: String,
    /// How long the hands are at it, by estimate.
    pub takes: std::time::Duration,
}

impl SetCard {
    /// Returns the total of all jars.
    #[must_use]
    pub fn total(&self) -> Mass {
        self.jars
            .iter()
            .fold(Mass::ZERO, |sum, jar| sum + jar.card.total)
    }
}
