//! What the settler tells: the weight now, the settled weight, and what keeps a weight from being one.

use serde::{Deserialize, Serialize};
use tarehand_protocol::{Mass, Motion, NoWeight};

/// What the settler has made of it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Fact {
    /// The weight now, with how fast it grows; not to be judged.
    Live(Live),
    /// The weight has settled.
    Settled {
        /// The median of the quiet readings.
        gross: Mass,
        /// How the weight got there from the last settled one.
        change: Change,
    },
    /// More than half of the load went away: the jar was lifted, or somebody pressed the scale's tare.
    Unloaded {
        /// What the scale shows now.
        gross: Mass,
    },
    /// A single reading far from both its neighbours was left out.
    Spike {
        /// The reading.
        gross: Mass,
    },
    /// The scale speaks, but not of a weight.
    NoWeight(NoWeight),
    /// Nothing fresh has come for longer than this scale ever pauses, or the link is gone.
    Lost,
    /// The first reading after [`Fact::Lost`].
    Back {
        /// Whether the scale may have started anew, so that its zero is another one.
        zero: Zero,
    },
}

/// The weight now.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Live {
    /// All that stands on the pan.
    pub gross: Mass,
    /// How fast it grows, in grams a second; an estimate.
    pub flow_g_s: f64,
    /// How the weight moved since it was last settled.
    pub change: Change,
    /// What the scale says about its stability.
    pub motion: Motion,
    /// Whether this reading still belongs to a settled weight.
    pub quiet: bool,
}

/// How a weight got from one settled value to where it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Change {
    /// All at once, as when something is put down.
    Jump,
    /// Bit by bit, as when something is poured.
    Gradual,
    /// The scale speaks too seldom to tell.
    Unclear,
}

/// Whether the zero of a scale can still be trusted after a gap.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Zero {
    /// Only silence: nothing says that the scale started anew.
    Trusted,
    /// The link was opened anew, which may reset a scale.
    Suspect,
}
