//! What goes into a session and what comes out of it.

use serde::{Deserialize, Serialize};
use tarehand_protocol::Mass;

use crate::flow_cup::FlowTime;
use crate::outcome::Room;
use crate::settler::Fact;
use crate::tick::Tick;
use crate::weighing::Scale;

use super::entry::{Record, TaskId, Verdict};
use super::question::Answer;

/// What goes into a session.
#[derive(Clone, Debug, PartialEq)]
pub enum Input {
    /// What the settler made of the readings.
    Fact(Fact),
    /// What the person wants.
    Command(Command),
    /// More is known of the scale.
    Scale(Scale),
    /// What the settler made of the readings of a second, finer scale on the same bench.
    Fine(Fact),
    /// The same where it is not this jar, among several, that the person is at.
    FineAside {
        /// What the settler made of the readings.
        fact: Fact,
        /// Who is weighed into instead.
        at: FineAt,
    },
    /// The finer scale counts from another zero, as another jar's step has shown: this is what it shows with nothing on it.
    FineEmpty(Mass),
    /// More is known of the finer scale, or it was let go.
    FineScale(Option<Scale>),
    /// How earlier batches of the recipe answered to thinner: the slope of each.
    EarlierThinning(Vec<f64>),
    /// How warm and damp the room is.
    Room(Room),
    /// Time has passed.
    Wake,
    /// One of several jars is set down on the pan and was known.
    Brought {
        /// What the pan showed without a jar.
        empty: Mass,
        /// What it shows now, settled.
        gross: Mass,
        /// Why it is set down.
        setting_down: SettingDown,
    },
    /// What stands on the pan is another jar after all.
    TakenAway,
}

/// Where what leaves a cup on the finer scale goes, if not into this jar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FineAt {
    /// Into another jar.
    OtherJar,
    /// Nobody knows: the jar that is wanted is not on the pan, or which one stands there is asked.
    Unknown,
}

/// Why a jar is set down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SettingDown {
    /// It was lifted, and nothing else stood on the pan meanwhile: set back unchanged it says yes.
    AfterLifting,
    /// Another jar stood on the pan meanwhile.
    InItsTurn,
}

/// What a person may want.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Command {
    /// Go on: this step is done as it is, or yes to what is asked.
    Next,
    /// Go back to the step before and go on with it.
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
    /// Answer what is asked.
    Answer(Answer),
    /// The scale's own tare was pressed: the jar never moved.
    Tared,
    /// There is no more of what this step pours.
    RanOut,
    /// What was poured last was another ingredient, by its key.
    WasOther(String),
    /// The trail was measured, in seconds.
    Trail(f64),
    /// The line was drawn: the trail is being timed from now on.
    TrailStart,
    /// The line has sunk back.
    TrailStop,
    /// A flow cup was run.
    FlowTimed(FlowTime),
    /// What the current step pours is weighed out of its bottle; before the jar is weighed, every step is. Said again
    /// with the bottle on the pan: this is the bottle, and not the jar.
    WeighOut,
    /// What the current step pours is weighed in the jar again.
    WeighIn,
    /// Of several jars it is this one that stands on the pan, by its recipe's stem.
    JarIs(String),
    /// A remark for the record.
    Remark(String),
}

/// What a session wishes to happen, in this order.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// Write this down. What follows in the list must not be shown before it is on disk.
    Record(Box<Record>),
    /// Tell the person.
    Cue(Cue),
    /// Wake the session then.
    WakeAt(Tick),
    /// This is what the pan shows without a jar.
    EmptyPan(Mass),
    /// This is what the finer scale shows with nothing on it.
    FineEmptyPan(Mass),
    /// The command could not be carried out; nothing changed.
    Refuse(Refusal),
}

/// What the person is told the moment it happens.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "cue")]
pub enum Cue {
    /// Stop pouring now: what is on its way will reach the notch.
    Stop,
    /// A new step has begun.
    Begin {
        /// Its task.
        task: TaskId,
    },
    /// A step is done.
    Judged {
        /// How it came out.
        verdict: Verdict,
    },
    /// A rescue was taken within the limits the person has set; it can be undone.
    Rescued {
        /// What the batch will weigh.
        total: Mass,
    },
    /// The batch is held and asks.
    Asks,
    /// A stir or rest is over.
    TimeIsUp,
    /// The jar is gone from the pan, or the scale's tare was pressed.
    LoadGone,
    /// The scale is away.
    ScaleLost,
    /// The scale is back.
    ScaleBack,
    /// The finer scale is away, on which this step is weighed out.
    FineLost,
    /// The finer scale is back.
    FineBack,
    /// The step will be finished as soon as the weight has settled.
    WaitingToSettle,
    /// Among several jars it is this one's turn: it belongs on the pan.
    JarsTurn,
    /// Several jars may be the one on the pan, or it is not the one whose turn it is.
    AsksForJar,
    /// The batch is complete.
    Complete,
    /// The batch was given up.
    Aborted,
}

/// Why a command could not be carried out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Refusal {
    /// The batch is over.
    #[error("this batch is over")]
    Over,
    /// The jar is not on the pan.
    #[error("the jar is not on the pan")]
    NoJar,
    /// The scale gives no weight to judge.
    #[error("the scale gives no weight now")]
    NoWeight,
    /// The batch is paused.
    #[error("the batch is paused")]
    Paused,
    /// The batch is not paused.
    #[error("the batch is not paused")]
    NotPaused,
    /// There is no step before this one.
    #[error("there is no step before this one")]
    NothingBefore,
    /// There is nothing to take back.
    #[error("there is nothing to take back")]
    NothingToUndo,
    /// Nothing is asked.
    #[error("nothing is asked now")]
    NothingAsked,
    /// A question is open.
    #[error("a question is open")]
    Asked,
    /// The answer does not fit the question.
    #[error("that is no answer to this question")]
    NotAnAnswer,
    /// The option cannot be done.
    #[error("that way out cannot be done")]
    NotFeasible,
    /// The load is not gone.
    #[error("the weight has not gone to zero")]
    NotGone,
    /// Nothing is poured in this step.
    #[error("nothing is poured in this step")]
    NothingPoured,
    /// It is the same ingredient.
    #[error("that is what it was booked as")]
    SameIngredient,
    /// Not a number of seconds from 0 to 600.
    #[error("a trail is a number of seconds from 0 to 600")]
    NotATrail,
    /// No trail is being timed.
    #[error("no trail is being timed")]
    NotTiming,
    /// The bottle is not on the pan.
    #[error("the bottle is off the pan")]
    BottleAway,
    /// Something else stands where the jar stood.
    #[error("what stands on the pan is not the jar as it was")]
    NotTheJar,
    /// It is weighed so already.
    #[error("that is how it is weighed already")]
    WeighedSo,
    /// There is no such jar among those being mixed.
    #[error("there is no such jar")]
    NoSuchJar,
    /// Something was poured into the jar on the pan already.
    #[error("something was poured into the jar on the pan already")]
    JarInUse,
}

impl Refusal {
    /// Returns the word for it, which stays the same.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Over => "over",
            Self::NoJar => "no-jar",
            Self::NoWeight => "no-weight",
            Self::Paused => "paused",
            Self::NotPaused => "not-paused",
            Self::NothingBefore => "nothing-before",
            Self::NothingToUndo => "nothing-to-undo",
            Self::NothingAsked => "nothing-asked",
            Self::Asked => "asked",
            Self::NotAnAnswer => "not-an-answer",
            Self::NotFeasible => "not-feasible",
            Self::NotGone => "not-gone",
            Self::NothingPoured => "nothing-poured",
            Self::SameIngredient => "same-ingredient",
            Self::NotATrail => "not-a-trail",
            Self::NotTiming => "not-timing",
            Self::BottleAway => "bottle-away",
            Self::NotTheJar => "not-the-jar",
            Self::WeighedSo => "weighed-so",
            Self::NoSuchJar => "no-such-jar",
            Self::JarInUse => "jar-in-use",
        }
    }

    /// Returns what the person can do about it.
    #[must_use]
    pub const fn hint(self) -> &'static str {
        match self {
            Self::Over => "start another batch",
            Self::NoJar => "put the jar on the pan",
            Self::NoWeight => "see what is wrong with the scale, then say it again",
            Self::Paused => "resume first",
            Self::NotPaused | Self::NothingAsked => "see what the bench is waiting for",
            Self::NothingBefore => "this is the first step",
            Self::NothingToUndo => "nothing has been judged yet",
            Self::Asked => "answer it first",
            Self::NotAnAnswer => "answer yes or no, or choose one of the options by its number",
            Self::NotFeasible => "choose another option",
            Self::NotGone => "this is for the moment after the scale's own tare was pressed",
            Self::NothingPoured => "this is for a step that pours something, or right after it",
            Self::SameIngredient => "name what it really was",
            Self::BottleAway => "set the bottle back: what left it is not known yet",
            Self::NotTheJar => "take it off; when it is the bottle, say `tarehand bottle`",
            Self::WeighedSo => "go on pouring",
            Self::NotATrail => "0 means that it leaves none",
            Self::NoSuchJar => "name one of the jars of the set by its recipe",
            Self::JarInUse => "lift it and put the other one on the pan",
            Self::NotTiming => {
                "say `tarehand trail start` when the line is drawn; a start of before a restart is forgotten"
            }
        }
    }
}
