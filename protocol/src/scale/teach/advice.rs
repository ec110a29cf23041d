//! What to do when a lesson leaves a doubt, or explains nothing.

use super::another_weight;
use super::binary::Found;
use super::lesson::Lesson;
use super::rank::Rival;
use crate::mass::Mass;

/// Why two candidates remain.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Doubt {
    /// They give different weights for what was heard or for what may come.
    #[error("two explanations remain; about {weigh} on the pan would tell them apart")]
    Weigh {
        /// About so much.
        weigh: Mass,
    },
    /// Two numbers of the frame were always the same.
    #[error("two numbers of the frame were always the same; one may be gross and the other net")]
    Twin,
}

/// Why nothing explains a lesson.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum Because {
    /// No length at which bytes recur.
    #[error("nothing in the bytes recurs as frames would, or too few came")]
    NoFrames,
    /// Frames, but no number in them that goes with the weights.
    #[error("of {frames} frames no number goes with what stood on the pan")]
    NoNumber {
        /// So many.
        frames: usize,
    },
    /// A number that goes with the weights by no plain factor.
    #[error("the bytes from {at} go with the weights, but {grams:.6} g a step is no plain factor")]
    Uneven {
        /// The first of the bytes.
        at: u8,
        /// Grams a step, an estimate.
        grams: f64,
    },
    /// What seemed to explain it does not when it is read as a whole.
    #[error("what fits the known weights does not fit what came between them")]
    NotAsAWhole,
}

impl Doubt {
    pub(super) fn of(rival: Rival, lesson: &Lesson) -> Self {
        match rival {
            Rival::Differs => Self::Weigh {
                weigh: another_weight(lesson.greatest()),
            },
            Rival::Twin => Self::Twin,
        }
    }

    /// Returns what the person can do about it.
    #[must_use]
    pub const fn hint(self) -> &'static str {
        match self {
            Self::Weigh { .. } => {
                "put it on the pan and teach again with this capture and that one"
            }
            Self::Twin => {
                "put something on the pan, press the scale's own tare, and teach again with this capture and that one"
            }
        }
    }
}

impl Because {
    pub(super) fn of(found: &Found) -> Self {
        match (found.frames, found.uneven, found.guesses.is_empty()) {
            (0, ..) => Self::NoFrames,
            (_, _, false) => Self::NotAsAWhole,
            (_, Some((number, grams)), true) => Self::Uneven {
                at: number.at,
                grams,
            },
            (frames, None, true) => Self::NoNumber { frames },
        }
    }

    /// Returns what the person can do about it.
    #[must_use]
    pub const fn hint(self) -> &'static str {
        match self {
            Self::NoFrames => {
                "listen for a minute at least, and let the doctor look whether the speed and the parity are right"
            }
            Self::NoNumber { .. } => {
                "teach again with heavier weights that stand for five seconds each, and say the unit that the display shows"
            }
            Self::Uneven { .. } => {
                "check the unit and the known weights; the scale may send the bare counts of its cell, which need calibrating in the scale"
            }
            Self::NotAsAWhole => {
                "teach again with a longer capture and let each weight stand still for a while"
            }
        }
    }
}
