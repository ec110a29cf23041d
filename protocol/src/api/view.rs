//! What a bench looks like at this moment: one snapshot for every face.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::bench::CommandRequest;
use super::doing::{BottleWord, Doing};
use super::question::QuestionView;
use super::said::{ConcernSaid, RemarkSaid, StepAction, TroubleWord, WayRound};
use super::scale::{ScaleState, ScaleWord, WeightState};

/// The state of a batch (IEC 61512 / ISA-88).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum BatchStateWord {
    /// No batch, or the jar is not on the pan yet.
    Idle,
    /// Being made.
    Running,
    /// Waiting for an answer.
    Held,
    /// Waiting because the person said so.
    Paused,
    /// Made.
    Complete,
    /// Given up.
    Aborted,
}

/// How a step came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum VerdictWord {
    /// Inside its tolerance.
    Within,
    /// More than its tolerance allows.
    Overshoot,
    /// Less than its tolerance allows, and the person went on.
    Shortfall,
    /// There was nothing to judge; it was recorded.
    Recorded,
    /// The person left it out.
    Skipped,
}

/// The weight at this moment: small, sent often, only the newest.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct WeightNow {
    /// Counts up with every reading of this bench since the service started.
    pub sequence: u64,
    /// All that stands on the pan, in grams; `null` when there is no weight.
    pub gross_g: Option<f64>,
    /// What has gone into the current step, in grams.
    pub net_g: Option<f64>,
    /// How fast it grows, in grams a second; an estimate.
    pub flow_g_s: f64,
    /// What the reading says about the weight.
    pub state: WeightState,
    /// Whether the weight is settled.
    pub settled: bool,
    /// The step the net weight belongs to.
    pub step: Option<u32>,
    /// How old the reading was when it was sent on, in milliseconds.
    pub age_ms: u64,
    /// Which scale it is from: the one that the current step is weighed on.
    #[serde(default, skip_serializing_if = "ScaleWord::is_main")]
    pub scale: ScaleWord,
}

/// Everything about a bench that changes seldom.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct View {
    /// Counts up with every view of this bench since the service started.
    pub revision: u64,
    /// The bench.
    pub bench: String,
    /// Its scale, where one is attached.
    pub scale: Option<ScaleState>,
    /// Its second, finer scale, where one is attached.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fine_scale: Option<ScaleState>,
    /// Which scale the current step is weighed on.
    #[serde(default, skip_serializing_if = "ScaleWord::is_main")]
    pub weighed_on: ScaleWord,
    /// The mark of the batch.
    pub batch: Option<String>,
    /// Whether it is a rehearsal.
    pub rehearsal: bool,
    /// The recipe's name.
    pub recipe: Option<String>,
    /// The set, where several jars are being mixed.
    #[serde(default)]
    pub set: Option<String>,
    /// The jars of the set, premixes first; everything else here is of the one that is `shown`.
    #[serde(default)]
    pub jars: Vec<JarLine>,
    /// The state of the batch.
    pub state: BatchStateWord,
    /// The total that was planned, in grams.
    pub planned_g: Option<f64>,
    /// The total that is aimed at now, in grams.
    pub total_g: Option<f64>,
    /// What is to be done now.
    pub doing: Doing,
    /// Every step, in order.
    pub steps: Vec<StepView>,
    /// What is asked, while the batch is held.
    pub question: Option<QuestionView>,
    /// What was told last.
    pub cue: Option<CueLine>,
    /// What cannot be weighed well enough, does not fit, or is short on the shelf.
    pub concerns: Vec<ConcernLine>,
    /// Whether an undo is possible.
    pub can_undo: bool,
    /// Whether a trail is being timed: `trail-start` was said and `trail-stop` not yet.
    #[serde(default)]
    pub timing_trail: bool,
    /// What weighing out of a bottle waits for; not there where the jar is what is weighed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bottle: Option<BottleWord>,
    /// What a tap on the pan would say; not there where nothing waits for one, or none would be heard.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub taps: Option<TapsHeard>,
    /// How long the mix can still be worked with, in milliseconds from this view on; for mixes that harden, once
    /// their parts have met.
    #[serde(default)]
    pub hardens_in_ms: Option<u64>,
    /// What is wrong with the bench itself, such as a log that cannot be written.
    #[serde(default)]
    pub trouble: Option<String>,
    /// Which trouble that is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trouble_kind: Option<TroubleWord>,
    /// What the person can do about it.
    #[serde(default)]
    pub hint: Option<String>,
    /// How many times as fast as the wall's clock the bench's runs: more than 1 in a quick rehearsal only.
    ///
    /// Times that a face counts on by itself, such as what is left of a rest, go by it.
    #[serde(default = "as_the_walls")]
    pub clock_rate: f64,
}

impl View {
    /// Returns the scale that the current step is weighed on.
    #[must_use]
    pub const fn scale_in_use(&self) -> Option<&ScaleState> {
        match self.weighed_on {
            ScaleWord::Main => self.scale.as_ref(),
            ScaleWord::Fine => self.fine_scale.as_ref(),
        }
    }
}

const fn as_the_walls() -> f64 {
    1.0
}

/// What taps on the pan say at this moment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct TapsHeard {
    /// One, as it would be said by a command.
    pub once: CommandRequest,
    /// Two, where they say anything.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub twice: Option<CommandRequest>,
}

/// One jar of a set that is being mixed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct JarLine {
    /// Its recipe's stem; what `jar-is` names it by.
    pub key: String,
    /// Its name, ready to read.
    pub name: String,
    /// Its batch's mark.
    pub batch: String,
    /// How its batch stands.
    pub state: BatchStateWord,
    /// Whether it stands on the pan.
    pub on_pan: bool,
    /// Whether it is the one that is shown.
    pub shown: bool,
    /// What is in it, in grams.
    pub poured_g: f64,
    /// What is aimed at, in grams.
    pub total_g: f64,
    /// How long it still rests, in milliseconds of bench time.
    #[serde(default)]
    pub rests_ms: Option<u64>,
}

/// Where a step is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum StepStatus {
    /// Still to be done.
    Open,
    /// Being done.
    Now,
    /// Done.
    Done,
}

/// One step of the batch.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct StepView {
    /// Its number; never changes within a batch.
    pub step: u32,
    /// What is done, ready to read: `Chalk white, matt`, `stir 40 s`.
    pub title: String,
    /// The same as data.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub action: Option<StepAction>,
    /// Whether a rescue added it.
    pub extra: bool,
    /// What it should receive, in grams.
    pub target_g: Option<f64>,
    /// The tolerance in force, in grams.
    pub within_g: Option<f64>,
    /// Whether the weighing's uncertainty and not the recipe sets that tolerance.
    pub widened: bool,
    /// What it has received, in grams.
    pub poured_g: Option<f64>,
    /// Where it is.
    pub status: StepStatus,
    /// How it came out.
    pub verdict: Option<VerdictWord>,
    /// A remark of the recipe's author.
    pub note: Option<String>,
    /// Cautions of the ingredient, from the shelf.
    pub cautions: Vec<String>,
}

/// What was told last.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CueLine {
    /// Counts up with every cue of this bench since the service started.
    pub number: u64,
    /// Which: `stop`, `begin`, `judged`, `rescued`, `asks` …
    pub cue: String,
    /// The words.
    pub text: String,
    /// The step that begins, in `begin`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub step: Option<u32>,
    /// What that step is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub action: Option<StepAction>,
    /// How the step came out, in `judged`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub verdict: Option<VerdictWord>,
    /// The total that the batch becomes, in grams, in `rescued`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub total_g: Option<f64>,
    /// Which jar of a set it is about, by its recipe's name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub jar: Option<String>,
}

/// Something to know before the first gram.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ConcernLine {
    /// What it is.
    pub text: String,
    /// The ways round it.
    pub ways_round: Vec<String>,
    /// The same as data; not there where it is a remark on the recipe.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub concern: Option<ConcernSaid>,
    /// The ways round it as data, in the same order.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rounds: Vec<WayRound>,
    /// A remark on the recipe, as data: it says what `text` and `ways_round` say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub remark: Option<RemarkSaid>,
}

impl ConcernLine {
    /// Makes a remark that is text alone.
    #[must_use]
    pub const fn remark(text: String, ways_round: Vec<String>) -> Self {
        Self {
            text,
            ways_round,
            concern: None,
            rounds: Vec::new(),
            remark: None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bench_that_tells_no_clock_rate_goes_as_the_wall_does() {
        let text = r#"{"revision": 1, "bench": "window", "scale": null, "batch": null, "rehearsal": false,
            "recipe": null, "state": "idle", "planned_g": null, "total_g": null, "doing": {"what": "nothing"},
            "steps": [], "question": null, "cue": null, "concerns": [], "can_undo": false}"#;
        let view: View = serde_json::from_str(text).unwrap();
        assert_eq!(view.clock_rate.to_bits(), 1.0_f64.to_bits());
    }
}
