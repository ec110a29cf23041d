//! How bytes of a scale arrive.
//!
//! A link knows how to open a way to a scale, keep it open, and hand over what arrives with the
//! moment it arrived. It knows nothing of what the bytes mean.
//!
//! One folder for each kind of way, `replay` for a capture in place of a scale; `outlet` is the way from any of them to its bench.

use tarehand_mixing::Tick;
use tarehand_protocol::Mass;
use tarehand_protocol::api::TroubleWord;
use tokio::sync::mpsc;
use tokio_util::sync::CancellationToken;

use crate::clock::Clock;

pub mod bluetooth;
pub mod hid;
mod outlet;
pub mod rehearsal;
pub mod replay;
pub mod serial;

/// One thing a link tells its bench.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LinkEvent {
    /// The way to the scale is open; bytes will follow.
    ///
    /// Opening may have reset the scale: its tare may be lost and a banner may come first. A decoder
    /// starts anew: the first bytes may be the tail of a frame.
    Opened {
        /// Which device, ready to read: the path, and the product where it is known.
        device: String,
        /// Which device, for the log: the same string whenever and wherever it is plugged in, so that
        /// what was told and learnt about it (unit, profile) is found again.
        key: String,
    },
    /// Bytes as they arrived.
    Bytes {
        /// When they arrived.
        at: Tick,
        /// The bytes.
        bytes: Vec<u8>,
    },
    /// One message of a scale that sends messages, as it arrived.
    ///
    /// What a message holds may be a whole report or a piece of a text; the decoder knows.
    Packet {
        /// When it arrived.
        at: Tick,
        /// Its bytes.
        bytes: Vec<u8>,
    },
    /// The device's own description of its reports; the packets that follow are read by it.
    Described {
        /// Its USB report descriptor.
        descriptor: Vec<u8>,
    },
    /// The settings of the line were looked for, and these were found.
    Tuned {
        /// What the usual ones are, with which nothing readable came.
        usual: String,
        /// What was found.
        found: String,
    },
    /// What the scale says of itself.
    About {
        /// Its division.
        division: Option<Mass>,
        /// The most it can weigh.
        capacity: Option<Mass>,
        /// How full its battery is.
        battery_percent: Option<u8>,
    },
    /// Bytes older than they would have looked were thrown away.
    ///
    /// After a stall of our own the system hands over what it kept meanwhile. That is not the weight
    /// now, so it is dropped, and a decoder starts anew: what comes next does not continue what came
    /// before.
    Skipped {
        /// When.
        at: Tick,
    },
    /// The way is closed, or could not be opened; the link keeps trying by itself.
    Gone {
        /// Why, as a word that stays the same.
        kind: TroubleWord,
        /// Why, in words a person can act on; never a debug dump.
        why: String,
        /// What the person can do about it.
        hint: Option<String>,
    },
}

/// A way to a scale.
pub trait Link: Send {
    /// Runs until `stop` is cancelled: opens, reads, and after every failure tries again.
    ///
    /// Blocking: a bench gives every link a thread of its own. A full queue makes the link wait; it must not
    /// reorder bytes it has read, and drop none but those it says it [skipped](LinkEvent::Skipped). It ends
    /// when the receiver is gone.
    fn run(self: Box<Self>, clock: Clock, events: mpsc::Sender<LinkEvent>, stop: CancellationToken);
}
