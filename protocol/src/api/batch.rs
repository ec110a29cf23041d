//! The record of batches.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::amend::{AmendmentLine, AmendsLine, JarNow, OpenedAgain};
use super::question::{PourLine, ShareView};
use super::recipe::ChoiceLine;
use super::repeat::RecipeFile;
use super::said::{EntrySaid, ObstacleSaid};
use super::view::{BatchStateWord, StepView};

/// A batch in a line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BatchSummary {
    /// Its mark, short enough to write by hand.
    pub mark: String,
    /// The recipe's name.
    pub recipe: String,
    /// Its state.
    pub state: BatchStateWord,
    /// Whether it was a rehearsal.
    pub rehearsal: bool,
    /// When it was opened (RFC 3339, UTC).
    pub opened: String,
    /// When it was closed (RFC 3339, UTC).
    pub closed: Option<String>,
    /// The total that was planned, in grams.
    pub planned_g: f64,
    /// What its jar holds now, in grams: what came into it or left it after it was made counts. Nothing for an amendment, whose
    /// jar is another's.
    pub in_jar_g: f64,
    /// Which finished jar it opened again and what that came to, where it makes none of its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub opened_again: Option<OpenedAgain>,
}

/// A list of batches, newest first.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BatchList {
    /// The batches.
    pub batches: Vec<BatchSummary>,
}

/// A batch whole.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BatchRecord {
    /// The batch in a line.
    #[serde(flatten)]
    pub summary: BatchSummary,
    /// The weight of the empty jar, in grams.
    pub tare_g: f64,
    /// The scale that it was weighed on, as far as it was known.
    #[serde(default)]
    pub weighed_on: WeighedOn,
    /// The choices that the recipe leaves, as they were made.
    #[serde(default)]
    pub choices: Vec<ChoiceLine>,
    /// How warm and damp the room was, ready to read, where it was said.
    #[serde(default)]
    pub room: Option<String>,
    /// Whose hand poured, where it was said.
    #[serde(default)]
    pub hand: Option<String>,
    /// The recipe's file as it is now, where one lies in the folder that was named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub recipe_file: Option<RecipeFile>,
    /// What became of it, in the order it was said.
    #[serde(default)]
    pub outcomes: Vec<OutcomeLine>,
    /// What went into the jar, by ingredient.
    pub contents: Vec<ContentLine>,
    /// What is in the jar now, premixes and other jars taken apart; not there for an amendment, whose jar is another's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub now: Option<JarNow>,
    /// The finished jar that this batch amends, where it makes none of its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub amends: Option<AmendsLine>,
    /// What came into the jar or out of it after it was made, in the order of time.
    #[serde(default)]
    pub amendments: Vec<AmendmentLine>,
    /// What of it was poured into the jars of other batches since.
    #[serde(default)]
    pub poured_into: Vec<PouredInto>,
    /// The shares of the ratio, as planned and as poured.
    pub shares: Vec<ShareView>,
    /// The ways out of slips that were taken, in the order of time.
    #[serde(default)]
    pub rescues: Vec<RescueTaken>,
    /// Every step, as it came out.
    pub steps: Vec<StepView>,
    /// Everything that happened, in order.
    pub entries: Vec<BatchEntry>,
}

/// Say what became of a jar.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(default, deny_unknown_fields)]
pub struct OutcomeSaid {
    /// What was found, in short words: `dried clear`, `cracked`.
    pub found: Vec<String>,
    /// More about it.
    pub note: Option<String>,
    /// Where pictures of it are kept.
    pub pictures: Vec<String>,
    /// The mark of another batch that did worse in the same place.
    pub better_than: Option<String>,
}

/// What became of a jar.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct OutcomeLine {
    /// When it was said (RFC 3339, UTC).
    pub at: String,
    /// What was found, in short words.
    pub found: Vec<String>,
    /// More about it.
    pub note: Option<String>,
    /// Where pictures of it are kept.
    pub pictures: Vec<String>,
    /// The mark of another batch that did worse in the same place.
    pub better_than: Option<String>,
}

/// The scale that a batch was weighed on.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(default)]
pub struct WeighedOn {
    /// Its division, in grams.
    pub division_g: Option<f64>,
    /// The most it can weigh, in grams.
    pub capacity_g: Option<f64>,
    /// The name of the profile that it was read by, where one was told.
    pub profile: Option<String>,
}

/// What was poured from the jar of one batch into that of another.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PouredInto {
    /// The other batch, by its mark.
    pub batch: String,
    /// Its recipe's name; empty where that batch is not in this log.
    pub recipe: String,
    /// How much, in grams.
    pub poured_g: f64,
}

/// What went into the jar of one ingredient.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ContentLine {
    /// The ingredient's key.
    pub ingredient: String,
    /// Its name.
    pub name: String,
    /// As planned, in grams, where that is one number.
    pub planned_g: Option<f64>,
    /// As poured, in grams.
    pub poured_g: f64,
    /// How much of it nobody watched, in grams.
    pub unseen_g: f64,
    /// How well it is known from the weighing: expanded uncertainty (k = 2), in grams.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub uncertainty_g: Option<f64>,
}

/// A way out of a slip that was taken, with those that were offered beside it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RescueTaken {
    /// When it was taken (RFC 3339, UTC).
    pub at: String,
    /// What was the matter: `overshoot`, `off-ratio`, `too-thin`; nothing where a limit answered before it was asked.
    #[serde(default)]
    pub about: Option<String>,
    /// Whether a limit that the person had set took it, and not the person.
    pub by_limit: bool,
    /// Its kind, as a question names it.
    pub kind: String,
    /// What it means, ready to read.
    pub text: String,
    /// The same as data.
    #[serde(flatten)]
    pub said: WayFigures,
    /// What was offered beside it.
    #[serde(default)]
    pub others: Vec<WayOffered>,
}

/// A way out that was offered and not taken.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct WayOffered {
    /// Its kind.
    pub kind: String,
    /// What it means, ready to read.
    pub text: String,
    /// The same as data.
    #[serde(flatten)]
    pub said: WayFigures,
    /// Why it could not be done, where it could not.
    #[serde(default)]
    pub why_not: Option<String>,
    /// The same as data.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub obstacle: Option<ObstacleSaid>,
}

/// What a way out comes to; with its kind that is all it means.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(default)]
pub struct WayFigures {
    /// What is taken out first, of the well-stirred mix, in grams.
    pub take_out_g: f64,
    /// The total at the end, in grams.
    pub total_g: f64,
    /// What was still to be poured.
    pub pours: Vec<PourLine>,
    /// The shares that result.
    pub shares: Vec<ShareView>,
}

/// One thing that happened.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BatchEntry {
    /// Its place in the journal.
    pub seq: u64,
    /// When (RFC 3339, UTC).
    pub at: String,
    /// Its kind.
    pub kind: String,
    /// What happened, ready to read.
    pub text: String,
    /// The same as data.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub said: Option<EntrySaid>,
}
