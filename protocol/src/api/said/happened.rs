//! What happened in a batch.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::super::batch::OutcomeSaid;
use super::super::question::PourLine;
use super::super::view::VerdictWord;
use super::{SlipWord, StepAction};

/// One thing that happened, as data. Masses are in grams; a step is said by what is done in it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case", tag = "what")]
pub enum EntrySaid {
    /// The batch was opened.
    Opened {
        /// The recipe's name.
        recipe: String,
        /// What was planned.
        planned_g: f64,
        /// The ingredients of which stop is said as their pours taught.
        #[serde(default)]
        learnt: Vec<String>,
    },
    /// More is known of the scale.
    ScaleKnown {
        /// Its division, where that is known.
        division_g: Option<f64>,
    },
    /// The jar stands on the pan.
    JarPlaced {
        /// What it weighs.
        jar_g: f64,
        /// How far a finished jar is from what its record says, where that is more than the scale can err.
        off_g: Option<f64>,
    },
    /// A step began.
    Began {
        /// Which.
        step: Option<StepAction>,
    },
    /// Something was poured.
    Poured {
        /// In which step.
        step: Option<StepAction>,
        /// How much.
        poured_g: f64,
        /// Whether it was watched.
        seen: SeenWord,
    },
    /// Something was poured out of a bottle.
    PouredOut {
        /// In which step.
        step: Option<StepAction>,
        /// How much.
        poured_g: f64,
        /// Whether it was watched.
        seen: SeenWord,
    },
    /// A cup on the pan was filled.
    Filled {
        /// In which step.
        step: Option<StepAction>,
        /// How much.
        filled_g: f64,
    },
    /// Something was laid beside the bottle, or taken off again.
    LaidOn {
        /// How much.
        laid_g: f64,
    },
    /// How steps are weighed was chosen.
    WeighChosen {
        /// How.
        weigh: WeighWord,
    },
    /// How a step is weighed follows from the scales.
    WeighFits {
        /// Which step.
        step: Option<StepAction>,
        /// How.
        weigh: WeighWord,
    },
    /// A finer scale stands by, or was let go.
    FineKnown {
        /// Whether it stands by.
        there: bool,
        /// Its division, where that is known.
        division_g: Option<f64>,
    },
    /// The finer scale was lost.
    FineLost,
    /// The finer scale came back.
    FineBack,
    /// The finer scale holds something else, and nothing was poured.
    FineCleared,
    /// The finer scale counts from another zero.
    FineZeroMoved {
        /// What it showed.
        before_g: f64,
        /// What it shows.
        after_g: f64,
    },
    /// The jar's own scale agrees with the finer one.
    JarCompared {
        /// What it should show.
        before_g: f64,
        /// What it shows.
        after_g: f64,
    },
    /// The jar stands beside the scale.
    JarSetAside,
    /// The jar is back from beside the scale.
    JarReturned,
    /// A bottle was put on the pan.
    BottlePlaced {
        /// For which step.
        step: Option<StepAction>,
        /// What it weighs.
        bottle_g: f64,
    },
    /// The bottle was lifted.
    BottleLifted,
    /// The bottle is back.
    BottleBack,
    /// The weight changed by something that belongs to no step.
    Changed {
        /// By how much.
        by_g: f64,
        /// What it was.
        cause: ChangeWord,
    },
    /// Mix left the jar for another vessel, or came back out of it.
    Decanted {
        /// How much; less than nothing came back.
        decanted_g: f64,
        /// Into what, in the author's words.
        into: Option<String>,
    },
    /// A step was judged.
    Judged {
        /// Which.
        step: Option<StepAction>,
        /// How it came out.
        verdict: VerdictWord,
        /// What it received, or what left the jar.
        poured_g: f64,
        /// What that should have been, where it was weighed.
        target_g: Option<f64>,
        /// How exactly.
        within_g: Option<f64>,
    },
    /// The batch was held by a question.
    Asked {
        /// What it is about, as a question says it.
        about: String,
        /// What put the mix off its ratio.
        slip: Option<SlipWord>,
    },
    /// A question was answered.
    Answered {
        /// Yes or no, where that was the answer.
        yes: Option<bool>,
        /// The number of the way out that was chosen.
        option: Option<u8>,
        /// Whether a limit that the person had set answered.
        by_limit: bool,
    },
    /// A slip was put right.
    Rescued {
        /// The kind of the way out, as a question names it.
        kind: String,
        /// What the batch becomes.
        total_g: f64,
        /// What is taken out first.
        take_out_g: f64,
        /// What is still to come.
        pours: Vec<PourLine>,
        /// Whether a limit that the person had set chose it.
        by_limit: bool,
    },
    /// There is no more of what a step pours.
    RanOut {
        /// Which step.
        step: Option<StepAction>,
    },
    /// What a step received was something else.
    WasOther {
        /// The step that it was booked for.
        from: Option<StepAction>,
        /// The step of what it was.
        to: Option<StepAction>,
        /// How much.
        mass_g: f64,
    },
    /// The last judgement was taken back.
    Undone,
    /// The person went back to a step.
    WentBack {
        /// To which.
        step: Option<StepAction>,
    },
    /// The batch was paused.
    Paused,
    /// It was resumed.
    Resumed,
    /// The load is gone from the pan.
    LoadGone {
        /// What the scale shows.
        shows_g: f64,
    },
    /// The jar is back.
    JarBack,
    /// What was taken for the jar was another.
    JarMistaken,
    /// The scale counts from another zero.
    ZeroMoved {
        /// What it showed.
        before_g: f64,
        /// What it shows.
        after_g: f64,
        /// Why.
        cause: ZeroWord,
    },
    /// The scale was lost.
    ScaleLost,
    /// The scale came back.
    ScaleBack,
    /// The trail was measured.
    Trail {
        /// Its seconds; 0 = leaves none.
        seconds: f64,
        /// Whether it was timed by taps.
        tapped: bool,
        /// The thinner that was in the jar, where that was kept.
        thinner_g: Option<f64>,
        /// All that was in the jar.
        total_g: Option<f64>,
    },
    /// How earlier batches answered to thinner is known.
    ThinningKnown {
        /// How many.
        batches: u64,
    },
    /// A flow cup was run.
    FlowTimed {
        /// Which, by its word.
        cup: String,
        /// The seconds it took.
        seconds: f64,
        /// The viscosity they come to; an estimate.
        viscosity_mm2_s: f64,
    },
    /// The person remarked something.
    Remarked {
        /// In these words.
        text: String,
    },
    /// How warm and damp the room is.
    RoomKnown {
        /// Its temperature in °C.
        celsius: Option<f64>,
        /// Its relative humidity in percent.
        humidity_percent: Option<f64>,
    },
    /// What became of the jar.
    CameOut {
        /// What was found.
        outcome: OutcomeSaid,
    },
    /// Mix left the finished jar.
    Moved {
        /// How much.
        mass_g: f64,
        /// Where it went.
        to: PlaceWord,
        /// The mark of the jar's batch, the cup's name or the shelf's key; nothing of waste.
        name: Option<String>,
        /// Whether somebody said so afterwards.
        told: bool,
    },
    /// Every step is done.
    Completed,
    /// The batch was given up.
    Aborted,
}

/// How a pour is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SeenWord {
    /// It was watched.
    Watched,
    /// Nobody watched it.
    Unseen,
    /// It was poured in the hand.
    InHand,
    /// Somebody said so.
    Told,
}

/// How a step is weighed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum WeighWord {
    /// In the jar.
    Jar,
    /// Out of the bottle.
    Bottle,
    /// On the finer scale.
    Fine,
}

/// What changed the weight without being an ingredient.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ChangeWord {
    /// Residue, or a stick.
    Residue,
    /// Taken out or spilled.
    TakenOut,
    /// No part of the mix.
    Foreign,
}

/// Why a scale counts from another zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ZeroWord {
    /// Its tare was pressed.
    TareKey,
    /// That is the empty pan.
    EmptyPan,
    /// It started anew.
    Power,
}

/// Where mix went from a finished jar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PlaceWord {
    /// Into the jar of another batch.
    Jar,
    /// Into a cup.
    Cup,
    /// On the shelf.
    Shelf,
    /// Away.
    Waste,
}
