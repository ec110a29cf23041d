//! What the journal keeps: everything that happened, as it was judged.
//!
//! The entries alone rebuild a session, and nothing is judged again on the way: an entry says what
//! was decided, not what to decide from.

mod parts;

use serde::{Deserialize, Serialize};
use tarehand_protocol::Mass;

use crate::flow_cup::FlowCup;
use crate::outcome::{Outcome, Room};
use crate::procedure::{Premix, Procedure, Step, Weigh};
use crate::rescue::{RescueKind, RescueOption};
use crate::tick::Tick;
use crate::weighing::Scale;

use super::limits::Limits;
use super::question::{Answer, Question};

pub use parts::{
    By, Cause, Destination, Extra, JarThen, Seen, StopSaid, Taken, Verdict, ZeroCause,
};

/// An entry with its moment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Record {
    /// When it happened on the bench's clock.
    pub at: Tick,
    /// What happened.
    pub entry: Entry,
}

/// The number of a task within its session: tasks are never removed, so it never changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct TaskId(pub u32);

/// One thing that happened in a batch.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "what")]
pub enum Entry {
    /// The batch was opened.
    Opened {
        /// What is to be made.
        procedure: Procedure,
        /// The limits the person has set.
        limits: Limits,
        /// The scale as it was known then.
        scale: Scale,
    },
    /// More is known of the scale: its division was told or estimated.
    ScaleKnown {
        /// The scale as it is known now.
        scale: Scale,
    },
    /// The empty jar stands on the pan: its weight is the tare from now on.
    JarPlaced {
        /// What the pan showed without it.
        empty: Mass,
        /// What it shows with it.
        gross: Mass,
    },
    /// A task became the one being worked at.
    Began {
        /// Which.
        task: TaskId,
    },
    /// The weight settled at another value, and the difference belongs to a task.
    Poured {
        /// Which task.
        task: TaskId,
        /// The gross settled and booked before.
        before: Mass,
        /// The gross settled now.
        after: Mass,
        /// Whether it was watched.
        seen: Seen,
        /// The stop cue it ended after, where it was one pour that was told to stop once.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        stop: Option<StopSaid>,
    },
    /// How tasks are weighed was chosen.
    WeighChosen {
        /// Which.
        tasks: Vec<TaskId>,
        /// How, from now on.
        weigh: Weigh,
    },
    /// How a task is weighed follows from what the scales of the bench can tell apart.
    WeighFits {
        /// Which task.
        task: TaskId,
        /// How, from now on.
        weigh: Weigh,
    },
    /// A second, finer scale is on the bench, more is known of it, or it was let go.
    FineKnown {
        /// The finer scale as it is known now.
        scale: Option<Scale>,
    },
    /// The finer scale fell silent or was unplugged.
    FineLost,
    /// The finer scale is back.
    FineBack,
    /// What stood on the finer scale since a step before is gone, or is something else now: no gram of it is poured.
    FineCleared,
    /// The finer scale counts from another zero: what stands on it did not move, the numbers did.
    FineZeroMoved {
        /// What it showed with nothing on it.
        before: Mass,
        /// What it shows with nothing on it now.
        after: Mass,
        /// Why.
        cause: ZeroCause,
    },
    /// The jar has grown by what was weighed into it on the finer scale, as far as its own scale can tell. What that
    /// shows counts from now on.
    JarCompared {
        /// What its scale should show.
        before: Mass,
        /// What it shows.
        after: Mass,
    },
    /// The jar was taken off the pan on purpose: what comes is weighed out of a bottle.
    JarSetAside {
        /// What the scale shows now.
        gross: Mass,
    },
    /// The jar is back from beside the scale, with what was weighed into it there. What the scale shows counts from now on.
    JarReturned {
        /// What the scale shows now.
        gross: Mass,
    },
    /// A bottle was put on the pan; no gram of it is poured yet.
    BottlePlaced {
        /// The task that it is poured for.
        task: TaskId,
        /// What the pan shows without it.
        empty: Mass,
        /// What it shows with it.
        gross: Mass,
    },
    /// The bottle is off the pan.
    BottleLifted {
        /// What the scale shows now.
        gross: Mass,
    },
    /// The bottle is back on the pan.
    BottleBack {
        /// What the scale shows now.
        gross: Mass,
    },
    /// The bottle is lighter: the difference went into the jar.
    PouredOut {
        /// For which task.
        task: TaskId,
        /// What the scale showed with the bottle before.
        before: Mass,
        /// What it shows now.
        after: Mass,
        /// The part of the difference that had been filled into this cup here.
        from_cup: Mass,
        /// Whether it was watched.
        seen: Seen,
        /// The stop cue it ended after, where it was one pour that was told to stop once.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        stop: Option<StopSaid>,
    },
    /// A cup that stands on the pan is being filled, to be emptied into the jar.
    Filled {
        /// For which task.
        task: TaskId,
        /// What the scale showed before.
        before: Mass,
        /// What it shows now.
        after: Mass,
        /// Whether it was watched.
        seen: Seen,
    },
    /// Something was laid on the pan beside the bottle, a lid or a spoon, or taken off again: nothing was poured.
    LaidOn {
        /// What the scale showed before.
        before: Mass,
        /// What it shows now.
        after: Mass,
    },
    /// The weight changed by something that is no ingredient of a task.
    Changed {
        /// The gross settled and booked before.
        before: Mass,
        /// The gross settled now.
        after: Mass,
        /// What it was.
        cause: Cause,
    },
    /// A task was judged and is done.
    Judged {
        /// Which.
        task: TaskId,
        /// How it came out.
        verdict: Verdict,
        /// What this task has received.
        poured: Mass,
        /// What it should have received, where it was weighed.
        target: Option<Mass>,
        /// The tolerance that was in force.
        within: Option<Mass>,
    },
    /// The batch is held until the person answers.
    Asked {
        /// What is asked.
        question: Question,
    },
    /// The person answered, or a limit the person had set answered.
    Answered {
        /// What was said.
        answer: Answer,
        /// Who said it.
        by: By,
    },
    /// There is no more of what a task pours.
    RanOut {
        /// Which task.
        task: TaskId,
    },
    /// What a task received was another ingredient, named afterwards.
    WasOther {
        /// The task that it was booked for; it is open again.
        from: TaskId,
        /// The task of what it really was.
        to: TaskId,
        /// How much.
        mass: Mass,
        /// A task that is new for this, with the step it does.
        new: Option<(Extra, Step)>,
    },
    /// What is still to be poured was changed so that the ratio holds.
    Rescued {
        /// The option that was taken.
        option: RescueOption,
        /// The new targets of open tasks.
        targets: Vec<(TaskId, Mass)>,
        /// Tasks that became necessary, right after the current one.
        extra: Vec<Extra>,
        /// Steps that the procedure did not have, put behind its own; `extra` counts on with them.
        #[serde(default)]
        steps: Vec<Step>,
        /// Premixes that the procedure did not have: a jar made before that is poured from.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        premixes: Vec<Premix>,
        /// Who chose it.
        by: By,
    },
    /// The last judgement was taken back; what was poured since stays poured.
    Undone,
    /// The person went back to a task to go on with it.
    WentBack {
        /// To which.
        task: TaskId,
    },
    /// The person paused the batch.
    Paused,
    /// The person resumed it.
    Resumed,
    /// Mix left the jar for another vessel, as the recipe says; or some of it came back.
    Decanted {
        /// The task.
        task: TaskId,
        /// The gross of the jar before.
        before: Mass,
        /// The gross of the jar after.
        after: Mass,
        /// Whether it was watched.
        seen: Seen,
    },
    /// The load is gone from the pan: the jar was lifted, or somebody pressed the scale's tare.
    LoadGone {
        /// What the scale shows now.
        gross: Mass,
    },
    /// The jar is back as it was.
    JarBack {
        /// What the scale shows now.
        gross: Mass,
    },
    /// What was taken for the empty jar is another one.
    JarMistaken,
    /// The scale counts from another zero: the jar did not move, the numbers did.
    ZeroMoved {
        /// The gross booked last, on the old zero.
        before: Mass,
        /// The gross now, on the new one.
        after: Mass,
        /// Why.
        cause: ZeroCause,
    },
    /// The scale fell silent or was unplugged.
    ScaleLost,
    /// The scale is back.
    ScaleBack,
    /// The trail was measured.
    Trail {
        /// At which task.
        task: TaskId,
        /// Seconds; 0 = leaves none.
        seconds: f64,
        /// What the jar held then; entries from before this was kept have none.
        #[serde(default)]
        jar: Option<JarThen>,
        /// How it was measured.
        #[serde(default)]
        taken: Taken,
    },
    /// How earlier batches of the recipe answered to thinner is known.
    ThinningKnown {
        /// For each batch, how fast the logarithm of its trail fell with the thinner's part of the jar.
        slopes: Vec<f64>,
    },
    /// A flow cup was run.
    FlowTimed {
        /// At which task.
        task: TaskId,
        /// Which cup.
        cup: FlowCup,
        /// The seconds it took to run out.
        seconds: f64,
        /// The kinematic viscosity they come to, in mm²/s; an estimate.
        viscosity_mm2_s: f64,
    },
    /// The person's own words.
    Remarked {
        /// The words.
        text: String,
    },
    /// How warm and damp the room is.
    RoomKnown {
        /// The room.
        room: Room,
    },
    /// What became of the jar; written after its end.
    CameOut {
        /// What was found.
        outcome: Outcome,
    },
    /// Mix left the finished jar for another vessel; written after its end.
    Moved {
        /// Where it went.
        to: Destination,
        /// How much.
        mass: Mass,
        /// How it is known.
        seen: Seen,
    },
    /// Every task is done.
    Completed,
    /// The person gave the batch up.
    Aborted,
}

impl Entry {
    /// Returns the short name of what happened, as kept beside the entry in the log.
    #[must_use]
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::Opened { .. } => "opened",
            Self::ScaleKnown { .. } => "scale-known",
            Self::JarPlaced { .. } => "jar-placed",
            Self::Began { .. } => "began",
            Self::Poured { .. } => "poured",
            Self::WeighChosen { .. } => "weigh-chosen",
            Self::WeighFits { .. } => "weigh-fits",
            Self::FineKnown { .. } => "fine-known",
            Self::FineLost => "fine-lost",
            Self::FineBack => "fine-back",
            Self::FineCleared => "fine-cleared",
            Self::FineZeroMoved { .. } => "fine-zero-moved",
            Self::JarCompared { .. } => "jar-compared",
            Self::JarSetAside { .. } => "jar-set-aside",
            Self::JarReturned { .. } => "jar-returned",
            Self::BottlePlaced { .. } => "bottle-placed",
            Self::BottleLifted { .. } => "bottle-lifted",
            Self::BottleBack { .. } => "bottle-back",
            Self::PouredOut { .. } => "poured-out",
            Self::Filled { .. } => "filled",
            Self::LaidOn { .. } => "laid-on",
            Self::Changed { .. } => "changed",
            Self::Decanted { .. } => "decanted",
            Self::Judged { .. } => "judged",
            Self::Asked { .. } => "asked",
            Self::Answered { .. } => "answered",
            Self::RanOut { .. } => "ran-out",
            Self::WasOther { .. } => "was-other",
            Self::Rescued { .. } => "rescued",
            Self::Undone => "undone",
            Self::WentBack { .. } => "went-back",
            Self::Paused => "paused",
            Self::Resumed => "resumed",
            Self::LoadGone { .. } => "load-gone",
            Self::JarBack { .. } => "jar-back",
            Self::JarMistaken => "jar-mistaken",
            Self::ZeroMoved { .. } => "zero-moved",
            Self::ScaleLost => "scale-lost",
            Self::ScaleBack => "scale-back",
            Self::Trail { .. } => "trail",
            Self::ThinningKnown { .. } => "thinning-known",
            Self::FlowTimed { .. } => "flow-timed",
            Self::Remarked { .. } => "remarked",
            Self::RoomKnown { .. } => "room-known",
            Self::CameOut { .. } => "came-out",
            Self::Moved { .. } => "moved",
            Self::Completed => "completed",
            Self::Aborted => "aborted",
        }
    }

    /// Returns the person's own words in it, to be found by.
    #[must_use]
    pub fn words(&self) -> Option<String> {
        match self {
            Self::Remarked { text } => Some(text.clone()),
            Self::CameOut { outcome } => Some(outcome.to_string()),
            _ => None,
        }
    }

    /// Returns the kind of rescue that was taken, where this is one.
    #[must_use]
    pub const fn rescue(&self) -> Option<RescueKind> {
        match self {
            Self::Rescued { option, .. } => Some(option.kind),
            _ => None,
        }
    }
}
