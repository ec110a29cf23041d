//! What a frame of bits looks like, as plain data.

use super::bits::Bits;
use super::check::{Check, Place};
use super::number::Number;
use crate::mass::{Mass, MassUnit};
use crate::reading::{Motion, NoWeight};
use crate::scale::exact::Factor;
use crate::scale::sense::Kind;

/// All that a profile can say of a frame that is bits rather than text.
///
/// Places count from the frame's first byte, its start bytes included.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Binary {
    /// How frames come.
    pub frames: Frames,
    /// All bytes of a frame; `None` when that is not known or not always the same.
    pub length: Option<u16>,
    /// The bytes every frame begins with.
    pub start: Vec<u8>,
    /// The bytes every frame ends with.
    pub ends: Vec<u8>,
    /// Other bytes that never change.
    pub constants: Vec<Constant>,
    /// Where the weight stands.
    pub weight: Number,
    /// What it is multiplied by.
    pub scaling: Scaling,
    /// The least weight that is believed.
    pub at_least: Option<Mass>,
    /// The greatest weight that is believed.
    pub at_most: Option<Mass>,
    /// Where the unit stands; without it the profile's `unit` counts.
    pub unit: Option<UnitField>,
    /// Bits that tell a state.
    pub states: Vec<(State, Bits)>,
    /// The check.
    pub check: Option<Check>,
}

/// How frames come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Frames {
    /// As bytes one after the other, in any pieces.
    Stream,
    /// Each as a packet of its own: a notification, a report.
    Packets,
    /// As bytes, with a silence behind each frame; the link must call the decoder's `flush`.
    Silence,
}

/// Bytes that are the same in every frame.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Constant {
    /// The place of the first one.
    pub at: u8,
    /// The bytes.
    pub bytes: Vec<u8>,
}

/// What makes a weight of the raw number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scaling {
    /// The same factor always.
    Factor(Factor),
    /// A power of ten in a byte of the frame, in two's complement.
    Exponent {
        /// Which byte.
        at: u8,
    },
    /// Bits that count the decimals.
    Decimals {
        /// Which byte.
        at: u8,
        /// The bits that count.
        mask: u8,
        /// What they say when there is no decimal.
        none: u8,
    },
}

/// Bits that tell the unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnitField {
    /// Which byte.
    pub at: u8,
    /// The bits that count.
    pub mask: u8,
    /// What they are, in their own places, for each unit.
    pub units: Vec<(u8, MassUnit)>,
}

/// What some bits tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// The weight stands still.
    Stable,
    /// The weight moves.
    Moving,
    /// The weight stands still at zero.
    Zero,
    /// More than the capacity.
    Over,
    /// Less than zero allows.
    Under,
    /// An error of the scale.
    Fault,
    /// Nothing on the display.
    Blank,
    /// The number is gross.
    Gross,
    /// The number is net.
    Net,
}

/// What a state means for a reading.
pub(super) enum Meaning {
    Motion(Motion),
    NoWeight(NoWeight),
    Kind(Kind),
}

impl State {
    /// Every state with its name in a profile.
    pub(in crate::scale) const NAMES: [(&'static str, Self); 9] = [
        ("stable", Self::Stable),
        ("moving", Self::Moving),
        ("zero", Self::Zero),
        ("over", Self::Over),
        ("under", Self::Under),
        ("fault", Self::Fault),
        ("blank", Self::Blank),
        ("gross", Self::Gross),
        ("net", Self::Net),
    ];

    pub(super) const fn meaning(self) -> Meaning {
        match self {
            Self::Stable | Self::Zero => Meaning::Motion(Motion::Stable),
            Self::Moving => Meaning::Motion(Motion::Moving),
            Self::Over => Meaning::NoWeight(NoWeight::Over),
            Self::Under => Meaning::NoWeight(NoWeight::Under),
            Self::Fault => Meaning::NoWeight(NoWeight::Fault),
            Self::Blank => Meaning::NoWeight(NoWeight::Blank),
            Self::Gross => Meaning::Kind(Kind::Gross),
            Self::Net => Meaning::Kind(Kind::Net),
        }
    }
}

impl Binary {
    /// Makes the layout of packets that hold a number and nothing else that is known.
    #[must_use]
    pub const fn packets(weight: Number) -> Self {
        Self {
            frames: Frames::Packets,
            length: None,
            start: Vec::new(),
            ends: Vec::new(),
            constants: Vec::new(),
            weight,
            scaling: Scaling::Factor(Factor::ONE),
            at_least: None,
            at_most: None,
            unit: None,
            states: Vec::new(),
            check: None,
        }
    }

    /// Returns how many bytes a frame has at least, for all its parts to be in it.
    ///
    /// Where only its end tells how long a frame is, what is counted from its start stands before that end: a byte of
    /// the check that looks like the end is none.
    pub(in crate::scale) fn least(&self) -> usize {
        let marks = self.start.len() + self.ends.len();
        let inside = self.parts().skip(1).map(|(_, end)| end);
        let inside = inside.fold(0, usize::max);
        match (self.length, self.check.map(|check| check.at)) {
            (None, Some(Place::FromStart(_))) => marks.max(inside + self.ends.len()),
            (Some(_), _) | (None, Some(Place::FromEnd(_)) | None) => marks.max(inside),
        }
    }

    /// Returns every part with the place behind it.
    pub(in crate::scale) fn parts(&self) -> impl Iterator<Item = (&'static str, usize)> {
        let behind = |at: u8| usize::from(at) + 1;
        let number = usize::from(self.weight.at) + usize::from(self.weight.length);
        let scaling = match self.scaling {
            Scaling::Factor(_) => 0,
            Scaling::Exponent { at } | Scaling::Decimals { at, .. } => behind(at),
        };
        let unit = self.unit.as_ref().map_or(0, |unit| behind(unit.at));
        let states = self.states.iter().map(|&(_, bits)| behind(bits.at));
        let constants = self
            .constants
            .iter()
            .map(|constant| usize::from(constant.at) + constant.bytes.len());
        let minus = self.weight.minus.map_or(0, |minus| behind(minus.at));
        [
            ("the start and the end", self.start.len() + self.ends.len()),
            ("the weight", number),
            ("its sign", minus),
            ("its scaling", scaling),
            ("the unit", unit),
            ("a state", states.max().unwrap_or(0)),
            ("a constant", constants.max().unwrap_or(0)),
            ("the check", self.check.map_or(0, |check| check.least())),
        ]
        .into_iter()
    }
}
