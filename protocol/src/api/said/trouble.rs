//! What keeps a scale from being read.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What is wrong with a scale or a bench, as a word that stays the same; the sentences beside it say more.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum TroubleWord {
    /// No scale is where it was said to be.
    Missing,
    /// It may be any of several devices.
    Ambiguous,
    /// Another device is where the scale was.
    AnotherDevice,
    /// Another program has it.
    InUse,
    /// This user may not open it.
    NotPermitted,
    /// What was named is no scale that can be read.
    NotAScale,
    /// The system refuses to open it, or to read from it.
    NotOpened,
    /// It was unplugged, or switched off.
    Unplugged,
    /// Nothing readable comes, with any settings that were tried.
    NothingReadable,
    /// Much of what comes cannot be read.
    BrokenLines,
    /// Nothing comes.
    Silent,
    /// It is read with eight bits where seven and a parity bit are sent.
    SevenBits,
    /// Its numbers come without a unit.
    NeedsUnit,
    /// Several numbers come, and nobody said which is the weight.
    NeedsField,
    /// One weight seems to be sent as two, one double the other.
    BitSlips,
    /// The same word comes in place of a weight.
    WordForWeight,
    /// A capture cannot be played.
    CaptureUnreadable,
    /// The capture is over.
    CaptureOver,
    /// The system's Bluetooth does not answer.
    NoBluetooth,
    /// There is no such Bluetooth radio.
    NoRadio,
    /// The Bluetooth radio is switched off.
    RadioOff,
    /// The radio scale is not in reach, or asleep.
    NotInReach,
    /// The radio scale does not let itself be connected to.
    NotConnected,
    /// The connection to the radio scale is lost.
    ConnectionLost,
    /// The radio scale does not offer what was said.
    OtherService,
    /// The log cannot be written.
    Log,
}
