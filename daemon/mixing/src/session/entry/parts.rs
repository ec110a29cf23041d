//! What entries are made of: who, why, how it came out.

use serde::{Deserialize, Serialize};
use tarehand_protocol::Mass;

use super::TaskId;
use crate::ledger::Vessel;

/// A stop cue, and what it was given for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct StopSaid {
    /// What the task should have received when the pour ended.
    pub aim: Mass,
    /// What flowed in a second at that moment, as far as the scale told; an estimate.
    pub flow_per_s: Mass,
    /// By how much earlier than by the flow alone it was given; below zero it was later.
    pub lead: Mass,
}

/// What a jar held when its trail was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct JarThen {
    /// What was added to thin it.
    pub thinner: Mass,
    /// All of it, the thinner too.
    pub total: Mass,
}

/// How a trail was measured.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Taken {
    /// The person said the seconds.
    #[default]
    Said,
    /// By two taps on the bench's clock.
    Tapped,
}

/// A task that was not planned.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Extra {
    /// Its own number.
    pub task: TaskId,
    /// The step of the procedure that it does, or does more of.
    pub step: usize,
    /// How much; below zero where it is to be taken out.
    pub target: Mass,
}

/// Whether a pour was watched.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Seen {
    /// On the scale, reading by reading.
    Watched,
    /// In a gap of the readings.
    Unseen,
    /// Into the lifted jar, in the hand.
    InHand,
    /// On no scale of the bench: the person says so.
    Told,
}

/// Where mix goes that leaves a finished jar.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Destination {
    /// The jar of another batch, by its mark.
    Jar(String),
    /// Another vessel, by its name.
    Cup(String),
    /// The shelf, under this key: what is left is kept.
    Shelf(String),
    /// It is lost.
    Waste,
}

impl Destination {
    /// Returns it as a vessel of the ledger.
    #[must_use]
    pub fn vessel(&self) -> Vessel {
        match self {
            Self::Jar(mark) => Vessel::JarOf(mark.clone()),
            Self::Cup(name) => Vessel::Cup(name.clone()),
            Self::Shelf(key) => Vessel::Shelf(key.clone()),
            Self::Waste => Vessel::Waste,
        }
    }
}

/// Why the weight changed without a pour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Cause {
    /// Residue, a stick, a drop at the rim: noticed while stirring, resting, straining or looking.
    Residue,
    /// Mixture was taken out or spilled.
    TakenOut,
    /// Something that is not part of the mix.
    Foreign,
}

/// Why a scale counts from another zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ZeroCause {
    /// The person pressed the scale's own tare.
    TareKey,
    /// The scale started anew.
    Power,
    /// The pan shows less than it ever did with nothing on it.
    EmptyPan,
}

/// Who decided.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum By {
    /// The person.
    Person,
    /// A limit the person has set.
    Limit,
}

/// How a task came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Inside its tolerance.
    Within,
    /// Overshoot: more than its tolerance allows.
    Overshoot,
    /// Shortfall: less than its tolerance allows, and the person went on.
    Shortfall,
    /// There was nothing to judge; it was recorded.
    Recorded,
    /// The person left it out.
    Skipped,
}
