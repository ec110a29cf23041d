//! What a profile says, as plain data.

use std::time::Duration;

use super::bluetooth::Bluetooth;
use crate::mass::{Mass, MassUnit};
use crate::scale::binary::Binary;
use crate::scale::check::Check;
use crate::scale::frame::Framing;
use crate::scale::parity::Parity;
use crate::scale::sense::{Kind, Mark, States};
use crate::scale::shapes::Shape;

/// All that a profile can say; made by reading one, or by teaching a scale.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Settings {
    /// What the person calls the scale.
    pub name: String,
    /// When the scale speaks.
    pub reports: Reports,
    /// What its frames look like.
    pub layout: Layout,
    /// How frames are told apart; `None` leaves it to the layout.
    pub framing: Option<Framing>,
    /// What stands before decimals; `None` judges each number.
    pub mark: Option<Mark>,
    /// How many digits are decimals where a number has no mark.
    pub decimals: Option<u8>,
    /// The unit where the frame has none.
    pub unit: Option<MassUnit>,
    /// What the weight counts from where the frame does not tell.
    pub weight: Option<Kind>,
    /// What the scale sends when there is too much on it.
    pub overload: Overload,
    /// Words that tell a state.
    pub states: States,
    /// Check characters.
    pub check: Option<Check>,
    /// What must be sent to be answered.
    pub poll: Option<Poll>,
    /// The smallest step of the display.
    pub division: Option<Mass>,
    /// The most the scale can weigh.
    pub capacity: Option<Mass>,
    /// How far the display is behind the pan.
    pub lag: Option<Duration>,
    /// Settings of the serial line.
    pub serial: Option<Serial>,
    /// How it is heard by radio.
    pub bluetooth: Option<Bluetooth>,
}

/// When a scale speaks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reports {
    /// All the time, or whenever it is polled.
    Stream,
    /// When the weight has changed.
    OnChange,
    /// Once for each finished weighing.
    Finished,
}

/// What frames look like.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Layout {
    /// Whatever the tolerant reader finds.
    Tolerant,
    /// A built-in shape; of several numbers the field of that place, from 1, is the weight.
    Shape(Shape, u8),
    /// Regular expressions with named groups, tried in order; one must match the whole frame.
    Patterns(Vec<String>),
    /// Frames of bits rather than text.
    Binary(Box<Binary>),
}

/// What a scale sends when there is too much on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Overload {
    /// Something that is no number.
    Told,
    /// An exact zero, so that a sudden zero after more than half of the capacity is none.
    Zero,
}

/// Bytes that ask a scale for its weight.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Poll {
    /// What is sent.
    pub send: Vec<u8>,
    /// How often.
    pub every: Duration,
}

/// Settings of a serial line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Serial {
    /// Bits per second.
    pub speed: u32,
    /// Bits of a character, without parity.
    pub data: DataBits,
    /// Its parity bit.
    pub parity: Parity,
    /// Bits after a character.
    pub stop: StopBits,
}

/// Bits of a character.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DataBits {
    /// Seven.
    Seven,
    /// Eight.
    Eight,
}

/// Bits after a character.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StopBits {
    /// One.
    One,
    /// Two.
    Two,
}

impl Settings {
    /// Makes settings that say nothing but a name: the tolerant reader.
    #[must_use]
    pub fn named(name: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            reports: Reports::Stream,
            layout: Layout::Tolerant,
            framing: None,
            mark: None,
            decimals: None,
            unit: None,
            weight: None,
            overload: Overload::Told,
            states: States::default(),
            check: None,
            poll: None,
            division: None,
            capacity: None,
            lag: None,
            serial: None,
            bluetooth: None,
        }
    }

    /// Returns how lines are told apart: as said, or as the layout has it.
    pub(in crate::scale) fn framing(&self) -> Framing {
        match (&self.framing, &self.layout) {
            (Some(framing), _) => framing.clone(),
            (None, Layout::Tolerant) => Framing::Tolerant,
            (None, Layout::Shape(shape, _)) => shape.framing(self.check.is_some()),
            (None, Layout::Patterns(_)) => Framing::Lines,
            // Such frames are told apart by what the layout says; a link has only to wait for them.
            (None, Layout::Binary(_)) => Framing::Silence,
        }
    }

    /// Returns whether the scale sends all the time, without being asked.
    #[must_use]
    pub fn streams(&self) -> bool {
        self.reports == Reports::Stream && self.poll.is_none()
    }
}
