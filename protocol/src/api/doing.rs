//! What is to be done at a bench now.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::said::{Advised, CountSaid, Watered};

/// What is to be done now.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case", tag = "what")]
pub enum Doing {
    /// There is no batch.
    Nothing,
    /// Clear the pan.
    ClearPan,
    /// Put the empty jar on the pan.
    PutJar,
    /// Put another jar of the set on the pan.
    ChangeJar {
        /// Which, by its recipe's name.
        jar: String,
        /// What stands there instead, where something does.
        instead: Option<String>,
    },
    /// Something is on the pan already: is it the jar?
    ConfirmJar,
    /// Pour to a weight.
    Pour {
        /// The step.
        step: u32,
        /// The ingredient's name.
        ingredient: String,
        /// The weight to reach, in grams.
        target_g: f64,
        /// The tolerance in force, the same to both sides, in grams.
        within_g: f64,
        /// Whether a rescue added this pour.
        extra: bool,
    },
    /// Count drops or spoons; the scale records.
    Count {
        /// The step.
        step: u32,
        /// The ingredient's name.
        ingredient: String,
        /// What to count, ready to read.
        count: String,
        /// The same as data.
        #[serde(default)]
        counted: Option<CountSaid>,
        /// What they should weigh together, in grams.
        expected_g: f64,
    },
    /// Pour anything between two weights.
    PourBetween {
        /// The step.
        step: u32,
        /// The ingredient's name.
        ingredient: String,
        /// The least, in grams.
        low_g: f64,
        /// The most, in grams.
        high_g: f64,
    },
    /// Pour until it looks right.
    PourByEye {
        /// The step.
        step: u32,
        /// The ingredient's name.
        ingredient: String,
        /// A whole vessel is emptied, in the author's words.
        vessel: Option<String>,
    },
    /// Stir.
    Stir {
        /// The step.
        step: u32,
        /// How long, in seconds.
        seconds: f64,
        /// How much of it is left, in milliseconds of bench time when this was sent.
        left_ms: u64,
    },
    /// Let it rest.
    Rest {
        /// The step.
        step: u32,
        /// How long, in seconds.
        seconds: f64,
        /// How much of it is left, in milliseconds of bench time when this was sent.
        left_ms: u64,
    },
    /// Strain.
    Strain {
        /// The step.
        step: u32,
        /// Through what.
        through: String,
    },
    /// Look and confirm.
    Look {
        /// The step.
        step: u32,
        /// What should be seen.
        expect: String,
    },
    /// Measure the trail.
    Trail {
        /// The step.
        step: u32,
        /// The wanted trail, in seconds; 0 = leaves none.
        wanted_s: Option<f64>,
    },
    /// Thin in small amounts until the trail is right.
    Thin {
        /// The step.
        step: u32,
        /// With what.
        ingredient: String,
        /// One splash, in grams.
        by_g: f64,
        /// All splashes together, in grams.
        at_most_g: Option<f64>,
        /// The wanted trail, in seconds; 0 = leaves none.
        wanted_s: Option<f64>,
        /// How much is to be poured before the trail is measured again, in grams; an estimate.
        #[serde(default)]
        splash_g: Option<f64>,
        /// What is advised and why, ready to read.
        #[serde(default)]
        advice: String,
        /// The same as data.
        #[serde(default)]
        advised: Option<Advised>,
        /// A warning of much added water and what it rests on, ready to read; it stops nothing.
        #[serde(default)]
        water: Option<String>,
        /// The same as data.
        #[serde(default)]
        watered: Option<Watered>,
    },
    /// Take some of the well-stirred mix out of the jar.
    TakeOut {
        /// The step.
        step: u32,
        /// How much, in grams.
        take_out_g: f64,
        /// What is out already, in grams.
        taken_g: f64,
    },
    /// Let the finished mix out of the jar into another vessel.
    Decant {
        /// The step.
        step: u32,
        /// How much, in grams; not there where it is all that comes out.
        #[serde(default)]
        decant_g: Option<f64>,
        /// What is out already, in grams.
        decanted_g: f64,
        /// Into what, in the author's words.
        into: String,
    },
    /// Read a remark.
    Note {
        /// The step.
        step: u32,
        /// The remark.
        text: String,
    },
    /// The jar is off the pan, or the scale's tare was pressed.
    JarGone,
    /// Answer the question.
    Answer,
    /// Resume.
    Paused,
    /// The batch is complete.
    Complete,
    /// The batch was given up.
    Aborted,
}

/// What weighing out of a bottle waits for: the bottle grows lighter on the scale, and the jar stands beside it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum BottleWord {
    /// The jar goes from the pan to beside the scale.
    SetJarAside,
    /// The bottle of a step before goes from the pan.
    TakeAway,
    /// The bottle is to be put on the pan.
    Put,
    /// The bottle stands on the pan: pour out of it, there or in the hand.
    Pour,
    /// The bottle is in the hand; what left it is known when it is set back.
    InHand,
}
