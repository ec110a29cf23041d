//! What a held batch asks, and the ways out.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::said::{ObstacleSaid, SlipWord};

/// What a held batch asks.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct QuestionView {
    /// What it is about: `overshoot`, `off-ratio`, `too-thin`, `poured-unseen`, `added-in-hand`, `lighter`,
    /// `bottle-lighter`, `zero-lost`; of several jars also `which-jar` and `out-of-turn`.
    pub about: String,
    /// The question, ready to read.
    pub text: String,
    /// The difference it is about, in grams.
    pub difference_g: Option<f64>,
    /// The ingredient that it is about, by its name; in `out-of-turn` what that jar would get next.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ingredient: Option<String>,
    /// By how much an overshoot is over its target, in grams.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub over_g: Option<f64>,
    /// What put the mix off its ratio, in `off-ratio`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slip: Option<SlipWord>,
    /// Whether the step is weighed out on the finer scale, so that the difference came past it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub on_fine: bool,
    /// The trail that was measured last, in seconds, in `too-thin`; 0 = left none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trail_s: Option<f64>,
    /// The trail that is wanted, in seconds, in `too-thin`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wanted_s: Option<f64>,
    /// The jar that it is about, by its recipe's name, in `out-of-turn`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub jar: Option<String>,
    /// The ways out, for an overshoot, a ratio that is off and a mix too thin; else yes and no are the answers.
    pub options: Vec<OptionView>,
}

/// One way out.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct OptionView {
    /// Its number, from one.
    pub option: u8,
    /// Its kind: `top-up-exact`, `top-up-least`, `make-less`, `take-out`, `unthinned`, `ready-made`, `accept`; `jar` where
    /// the question is which one.
    pub kind: String,
    /// What it means, ready to read.
    pub text: String,
    /// Whether it can be done.
    pub feasible: bool,
    /// Why not.
    pub why_not: Option<String>,
    /// The same as data.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub obstacle: Option<ObstacleSaid>,
    /// What is taken out first, of the well-stirred mix, in grams.
    #[serde(default)]
    pub take_out_g: f64,
    /// The jar, by its recipe's name, where the question is which one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub jar: Option<String>,
    /// Whether nothing was begun in that jar yet.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub still_empty: bool,
    /// The total at the end, in grams.
    pub total_g: f64,
    /// What is still to be poured.
    pub pours: Vec<PourLine>,
    /// The shares that result.
    pub shares: Vec<ShareView>,
}

/// One pour.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PourLine {
    /// The ingredient's name.
    pub ingredient: String,
    /// How much, in grams.
    pub grams: f64,
}

/// One share of the mix, from 0 to 1.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ShareView {
    /// The ingredient's name.
    pub ingredient: String,
    /// As the recipe wants it.
    pub planned: f64,
    /// As it is, or would be.
    pub result: f64,
}
