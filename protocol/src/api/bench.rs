//! Benches: attaching a scale, opening a batch, saying what is wanted.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::scale::{ScaleWord, is_wanted, wanted};
use super::view::BatchStateWord;

/// The state of the service.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Status {
    /// The number of the API the service speaks.
    pub api: u32,
    /// The version of the service.
    pub version: String,
    /// The process of the service.
    pub pid: u32,
    /// Where the log is kept.
    pub log: String,
    /// The benches it runs.
    pub benches: Vec<BenchSummary>,
}

/// A bench in a line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BenchSummary {
    /// Its name.
    pub name: String,
    /// Its scale, ready to read.
    pub scale: Option<String>,
    /// Its finer scale, ready to read, where there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fine_scale: Option<String>,
    /// The batch being made, by its mark.
    pub batch: Option<String>,
    /// The recipe of that batch.
    pub recipe: Option<String>,
    /// The state of that batch.
    pub state: BatchStateWord,
}

/// What a scale is attached for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum AttachWord {
    /// To weigh on it.
    #[default]
    Weigh,
    /// To hear its bytes: nothing is tried to understand them, nothing told about it is kept or remembered, and no
    /// batch is opened on it.
    Hear,
}

impl AttachWord {
    /// Returns whether it is to weigh: so it is where nothing is said.
    #[must_use]
    pub const fn is_to_weigh(&self) -> bool {
        matches!(self, Self::Weigh)
    }
}

/// Attach a scale to a bench.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AttachScale {
    /// The path of the serial port; this or `radio`. With neither, and nothing else but `scale` and `taps`, the scale
    /// that the bench has is meant.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub port: Option<String>,
    /// The address or the name of a scale on Bluetooth, as `AA:BB:CC:DD:EE:FF` or `hci0/AA:BB:CC:DD:EE:FF`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub radio: Option<String>,
    /// The unit of a scale that sends bare numbers; kept for this device.
    #[serde(default)]
    pub unit: Option<String>,
    /// A scale profile (TOML text); kept for this device.
    #[serde(default)]
    pub profile: Option<String>,
    /// Which scale of the bench it is.
    #[serde(default, skip_serializing_if = "ScaleWord::is_main")]
    pub scale: ScaleWord,
    /// What for.
    #[serde(default, skip_serializing_if = "AttachWord::is_to_weigh")]
    pub to: AttachWord,
    /// Whether taps on its pan answer what is asked; kept with the scale.
    #[serde(default = "wanted", skip_serializing_if = "is_wanted")]
    pub taps: bool,
}

impl AttachScale {
    /// Returns whether it says nothing of which scale it is, nor of how it is read: the one that is there is meant.
    #[must_use]
    pub const fn means_the_one_there(&self) -> bool {
        let silent = self.port.is_none() && self.radio.is_none();
        silent && self.unit.is_none() && self.profile.is_none() && self.to.is_to_weigh()
    }
}

/// What stands on the pan of a bench where nothing is made.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct JarOnPan {
    /// All that stands on the pan, settled, in grams; `null` while nothing is settled.
    pub gross_g: Option<f64>,
    /// The finished jars that weigh so much, the nearest first; several where their weights are too alike.
    pub fits: Vec<KnownJar>,
}

/// A finished jar.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct KnownJar {
    /// The mark of its batch.
    pub mark: String,
    /// Its recipe's name.
    pub recipe: String,
    /// When it was finished (RFC 3339, UTC).
    pub closed: Option<String>,
    /// What it should weigh with all that is in it, in grams.
    pub gross_g: f64,
}

/// Which kitchen measures are meant; never guessed.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MeasuresSaid {
    /// The set of spoons, in the words of the settings file: `metric`, `us`, `australian` …
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spoon: Option<String>,
    /// The fluid ounce, in the words of the settings file: `us`, `imperial`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fluid_ounce: Option<String>,
}

/// How much to make.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Size {
    /// As the recipe says.
    AsWritten,
    /// So much in all, a mass such as `250 g`.
    Make(String),
    /// As much as one ingredient allows.
    From {
        /// The ingredient's key.
        ingredient: String,
        /// What there is of it, a mass such as `30 g`.
        have: String,
    },
    /// As much as the jar holds, a volume such as `200 ml`.
    Jar(String),
}

/// Open a batch on a bench.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OpenBatch {
    /// Which of the files to make, by its stem: `harbour-grey`.
    pub recipe: String,
    /// The recipe files, text by stem: this recipe and the premixes beside it.
    pub recipes: BTreeMap<String, String>,
    /// The text of the shelf, where there is one.
    #[serde(default)]
    pub shelf: Option<String>,
    /// Which kitchen measures are meant.
    #[serde(default, deserialize_with = "super::object::only")]
    pub measures: MeasuresSaid,
    /// What is chosen of what the recipe leaves to choose, option by choice; the first option where nobody chooses.
    #[serde(default)]
    pub choices: BTreeMap<String, String>,
    /// How much to make.
    pub size: Size,
    /// A rescue may make the batch grow by at most so many percent without asking; 10 by default.
    #[serde(default)]
    pub grow_by_percent: Option<u32>,
    /// How warm and damp the room is, as `21 C, 45 %`, for the record.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room: Option<String>,
    /// Whose hand pours, up to 40 letters: stop is learnt of each hand by itself. The usual one where nobody says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hand: Option<String>,
}

/// Open the jars of a set on a bench: a batch for each, premixes too.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OpenSet {
    /// The text of the set.
    pub set: String,
    /// The recipe files, text by stem: those of the jars and of the premixes.
    pub recipes: BTreeMap<String, String>,
    /// The text of the shelf, where there is one.
    #[serde(default)]
    pub shelf: Option<String>,
    /// Which kitchen measures are meant.
    #[serde(default, deserialize_with = "super::object::only")]
    pub measures: MeasuresSaid,
    /// What is chosen for all jars, option by choice, in place of what the set chooses for all.
    #[serde(default)]
    pub choices: BTreeMap<String, String>,
    /// In which order the jars are walked.
    #[serde(default)]
    pub walk: WalkWord,
    /// A rescue may make a batch grow by at most so many percent without asking; 10 by default.
    #[serde(default)]
    pub grow_by_percent: Option<u32>,
    /// How warm and damp the room is, as `21 C, 45 %`, for the record.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room: Option<String>,
    /// Whose hand pours, up to 40 letters: stop is learnt of each hand by itself. The usual one where nobody says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hand: Option<String>,
}

/// A way to walk the jars of a set.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum WalkWord {
    /// The one that changes bottles and jars less often; jar by jar where both do as often.
    #[default]
    Shorter,
    /// One jar after another.
    Jar,
    /// Each bottle into every jar that waits for it.
    Bottle,
}

/// Open a rehearsal: a batch on a bench with a simulated scale and hand.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RehearsalRequest {
    /// The batch.
    #[serde(deserialize_with = "super::object::only")]
    pub batch: OpenBatch,
    /// The same seed gives the same run.
    #[serde(default)]
    pub seed: Option<u64>,
    /// How many times as fast as the wall's clock the bench's clock runs, 1 to 60.
    #[serde(default)]
    pub speed: Option<u32>,
}

/// Open a rehearsal of a set: the jars on a bench with a simulated scale and hand.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SetRehearsalRequest {
    /// The set.
    #[serde(deserialize_with = "super::object::only")]
    pub set: OpenSet,
    /// The same seed gives the same run.
    #[serde(default)]
    pub seed: Option<u64>,
    /// How many times as fast as the wall's clock the bench's clock runs, 1 to 60.
    #[serde(default)]
    pub speed: Option<u32>,
}

/// What a person may say.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CommandWord {
    /// Go on: this step is done as it is, or yes to what is asked.
    Next,
    /// Go back to the step before.
    Back,
    /// Stop judging until resumed.
    Pause,
    /// Go on after a pause.
    Resume,
    /// Take back the last judgement or rescue.
    Undo,
    /// Leave this step out.
    Skip,
    /// Give the batch up.
    Abort,
    /// Answer what is asked; needs `answer` or `option`.
    Answer,
    /// The scale's own tare was pressed: the jar never moved.
    Tared,
    /// There is no more of what this step pours.
    RanOut,
    /// What was poured last was another ingredient; needs `ingredient`.
    WasOther,
    /// The trail was measured; needs `seconds`.
    Trail,
    /// The line was drawn whose trail is timed from now on.
    TrailStart,
    /// The line has sunk back: the trail is the time since `trail-start`.
    TrailStop,
    /// A flow cup was run; needs `text`, as in `60 s iso-4`.
    FlowCup,
    /// The current step is weighed out of its bottle; before the jar is weighed, every step is.
    WeighOut,
    /// The current step is weighed in the jar again.
    WeighIn,
    /// Of the set's jars it is this one that stands on the pan; needs `jar`.
    JarIs,
    /// A remark for the record; needs `text`.
    Remark,
}

/// Yes or no.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum AnswerWord {
    /// Yes.
    Yes,
    /// No.
    No,
}

/// Say something to a bench.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CommandRequest {
    /// What is wanted.
    pub command: CommandWord,
    /// Yes or no, for `answer`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub answer: Option<AnswerWord>,
    /// The key of an ingredient, for `was-other`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ingredient: Option<String>,
    /// The key of a jar, for `jar-is`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub jar: Option<String>,
    /// The number of an option, from one, for `answer`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub option: Option<u8>,
    /// Seconds, for `trail`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seconds: Option<f64>,
    /// Words, for `remark`; a flow time, for `flow-cup`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub text: Option<String>,
}
