//! What the bench learnt from its own record.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What can be learnt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum LearntWord {
    /// How much earlier or later than by the flow stop is said, of an ingredient and to a hand.
    StopLead,
    /// What a drop of an ingredient weighs.
    Drop,
    /// What a teaspoon of an ingredient weighs.
    Teaspoon,
    /// What a tablespoon of an ingredient weighs.
    Tablespoon,
    /// How much thinner a gram of a recipe's mix takes to the wanted trail.
    Thinner,
    /// What a stick carries away when a jar was stirred.
    Stick,
    /// What an area takes of a mix.
    Yield,
}

/// What was learnt, kind by kind.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LearntList {
    /// Every kind, also those of which nothing is known yet.
    pub kinds: Vec<LearntKind>,
}

/// What was learnt of one kind.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LearntKind {
    /// Which.
    pub kind: LearntWord,
    /// Whether it may be used; what is off is still shown.
    pub on: bool,
    /// What it is used for.
    pub used_in: String,
    /// What was learnt, by ingredient or recipe.
    pub lines: Vec<LearntLine>,
}

/// One thing that was learnt.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LearntLine {
    /// The ingredient by its key, or the recipe by its name; empty for what is learnt of all mixes together.
    pub of: String,
    /// Its name, for people, as the newest run said it; not there where it has no other than its key.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Whose hand; `null` for the usual one, or where no hand matters.
    pub hand: Option<String>,
    /// The estimate, in `unit`.
    pub value: f64,
    /// One standard deviation of a single run about it, in `unit`.
    pub spread: f64,
    /// What `value`, `spread` and `default` are counted in: `s`, `g`, `g/g` or `g/m2`.
    pub unit: String,
    /// How many runs it rests on.
    pub runs: u32,
    /// What it is compared with, in `unit`; `null` where there is nothing to compare with.
    pub default: Option<f64>,
    /// Whether it beats the default on runs it had not seen.
    pub better: bool,
    /// Its misses on these runs in percent of the default's, where it beats it.
    pub misses_percent: Option<f64>,
    /// Whether the next batch uses it.
    pub used: bool,
}

/// Forget what was learnt: the runs so far do not count any more. The record stays as it is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ForgetLearnt {
    /// What.
    pub kind: LearntWord,
    /// Only of this ingredient or recipe; of all where none is named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub of: Option<String>,
}

/// Use what was learnt of a kind, or do not.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SwitchLearnt {
    /// Whether it may be used.
    pub on: bool,
}
