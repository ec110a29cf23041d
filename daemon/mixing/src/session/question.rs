//! What a held batch asks, and what may be answered.

use serde::{Deserialize, Serialize};
use tarehand_protocol::Mass;

use crate::rescue::RescueOption;

use super::entry::TaskId;

/// What a held batch asks.
///
/// Every question has an answer that a settling weight gives: lifting the jar and setting it back
/// unchanged says yes. Nobody answering changes nothing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "about")]
pub enum Question {
    /// Too much was poured: which way out?
    Overshoot {
        /// In which task.
        task: TaskId,
        /// The ways out; the first feasible one is the one proposed.
        options: Vec<RescueOption>,
    },
    /// The ratio can no longer be reached as planned: which way out?
    OffRatio {
        /// At which task.
        task: TaskId,
        /// What happened.
        slip: Slip,
        /// The ways out; the first feasible one is the one proposed.
        options: Vec<RescueOption>,
    },
    /// The trail is shorter than wanted: more of the mix without thinner, or leave it so?
    TooThin {
        /// In which thinning.
        task: TaskId,
        /// The ways out; the first feasible one is the one proposed.
        options: Vec<RescueOption>,
    },
    /// After a gap the jar is heavier by more than the running task allows: was this poured into it?
    PouredUnseen {
        /// The gross booked last.
        before: Mass,
        /// The gross settled now.
        after: Mass,
    },
    /// The jar came back heavier: was this added in the hand?
    AddedInHand {
        /// The gross booked last.
        before: Mass,
        /// The gross settled now.
        after: Mass,
    },
    /// The jar is lighter: was mixture taken out or spilled?
    Lighter {
        /// The gross booked last.
        before: Mass,
        /// The gross settled now.
        after: Mass,
    },
    /// The bottle is lighter by far more than the step takes: was all of it poured into the jar?
    BottleLighter {
        /// What the scale showed with it before.
        before: Mass,
        /// What it shows now.
        after: Mass,
    },
    /// The scale started anew and shows something else: does the jar stand on it as before?
    ZeroLost {
        /// The gross booked last.
        before: Mass,
        /// The gross settled now.
        after: Mass,
    },
}

/// What happened to a batch that needs a rescue, other than an overshoot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Slip {
    /// There is no more of an ingredient.
    RanOut,
    /// Mixture was spilled or taken out, or not as it was asked for.
    TakenOut,
}

/// What may be answered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Answer {
    /// Yes, it is as asked.
    Yes,
    /// No, it is something else.
    No,
    /// This option, counted from one.
    Option(u8),
}

impl Question {
    /// Returns the ways out that are offered, and the task they are about; `None` for other questions.
    #[must_use]
    pub const fn ways_out(&self) -> Option<(TaskId, &Vec<RescueOption>)> {
        match self {
            Self::Overshoot { task, options }
            | Self::OffRatio { task, options, .. }
            | Self::TooThin { task, options } => Some((*task, options)),
            Self::PouredUnseen { .. }
            | Self::AddedInHand { .. }
            | Self::Lighter { .. }
            | Self::BottleLighter { .. }
            | Self::ZeroLost { .. } => None,
        }
    }

    /// Returns the gross that will be booked once the answer is given, where one is waiting.
    #[must_use]
    pub const fn waiting(&self) -> Option<Mass> {
        match self {
            Self::Overshoot { .. } | Self::OffRatio { .. } | Self::TooThin { .. } => None,
            Self::PouredUnseen { after, .. }
            | Self::AddedInHand { after, .. }
            | Self::Lighter { after, .. }
            | Self::BottleLighter { after, .. }
            | Self::ZeroLost { after, .. } => Some(*after),
        }
    }

    /// Returns the gross of the jar that will be booked once the answer is given, where one is waiting.
    #[must_use]
    pub const fn waiting_for_jar(&self) -> Option<Mass> {
        match self {
            Self::BottleLighter { .. } => None,
            _ => self.waiting(),
        }
    }

    /// Returns the question that fits another settled gross; an overshoot stays as it is.
    ///
    /// A jar that was lighter and is heavier now, or the other way round, needs another word.
    #[must_use]
    pub fn about(self, now: Mass) -> Self {
        match self {
            Self::Overshoot { .. } | Self::OffRatio { .. } | Self::TooThin { .. } => self,
            Self::ZeroLost { before, .. } => Self::ZeroLost { before, after: now },
            Self::BottleLighter { before, .. } => Self::BottleLighter { before, after: now },
            Self::Lighter { before, .. } if before < now => {
                Self::PouredUnseen { before, after: now }
            }
            Self::PouredUnseen { before, .. } | Self::AddedInHand { before, .. }
                if now < before =>
            {
                Self::Lighter { before, after: now }
            }
            Self::PouredUnseen { before, .. } => Self::PouredUnseen { before, after: now },
            Self::AddedInHand { before, .. } => Self::AddedInHand { before, after: now },
            Self::Lighter { before, .. } => Self::Lighter { before, after: now },
        }
    }

    /// Returns the same question on a scale whose zero has moved by so much.
    #[must_use]
    pub fn moved(self, by: Mass) -> Self {
        match self {
            Self::Overshoot { .. } | Self::OffRatio { .. } | Self::TooThin { .. } => self,
            Self::PouredUnseen { before, after } => Self::PouredUnseen {
                before: before + by,
                after: after + by,
            },
            Self::AddedInHand { before, after } => Self::AddedInHand {
                before: before + by,
                after: after + by,
            },
            Self::Lighter { before, after } => Self::Lighter {
                before: before + by,
                after: after + by,
            },
            Self::BottleLighter { before, after } => Self::BottleLighter {
                before: before + by,
                after: after + by,
            },
            Self::ZeroLost { before, after } => Self::ZeroLost {
                before: before + by,
                after: after + by,
            },
        }
    }
}
