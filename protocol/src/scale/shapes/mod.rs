//! Documented shapes of frames, one a file, described by form.
//!
//! A shape answers [`Why::Unrecognised`] for a frame that is not of its form, so that the
//! tolerant reader can ask the next one; every other [`Why`] is final.

mod labelled;
mod letter_fill;
mod lettered;
mod line_status;
mod number;
mod numbers;
mod status_bytes;
mod status_head;
mod tolerant;
mod unit_when_stable;

use super::frame::{ETX, Framing, STX};
use super::sense::Sense;
use super::why::Why;
use crate::reading::Reading;

pub(super) use tolerant::read as read_tolerant;

/// A shape that is built in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Shape {
    /// `12.30 g`, `1lb 2.3oz`, or a number alone whose unit is told.
    Number,
    /// `Reading: 12.30 g  Factor: 430.1`: one number of them has a unit of mass.
    Labelled,
    /// `34.78,2.30`: several numbers, of which a told one is the weight.
    Numbers,
    /// `ST,GS,+  12.30 g`: heads for stability and for gross or net.
    StatusHead,
    /// STX, three status bytes, six characters of weight, six of tare, CR.
    StatusBytes,
    /// LF, weight and unit, CR, status, ETX.
    LineStatus,
    /// STX, a number or one letter repeated in its place, ETX.
    LetterFill,
    /// `:W 118.70kgS `: fourteen bytes with the CR.
    Lettered,
    /// `12.30 g` when stable, `12.31` when not.
    UnitWhenStable,
}

impl Shape {
    /// Every shape.
    pub const ALL: [Self; 9] = [
        Self::Number,
        Self::Labelled,
        Self::Numbers,
        Self::StatusHead,
        Self::StatusBytes,
        Self::LineStatus,
        Self::LetterFill,
        Self::Lettered,
        Self::UnitWhenStable,
    ];

    /// Returns the name by which a profile calls the shape.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Number => "number",
            Self::Labelled => "labelled",
            Self::Numbers => "numbers",
            Self::StatusHead => "status-head",
            Self::StatusBytes => "status-bytes",
            Self::LineStatus => "line-status",
            Self::LetterFill => "letter-fill",
            Self::Lettered => "lettered",
            Self::UnitWhenStable => "unit-when-stable",
        }
    }

    /// Returns the shape of that name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|shape| shape.name() == name)
    }

    /// Returns how frames of the shape are told apart; `checked` when a check byte follows.
    #[must_use]
    pub const fn framing(self, checked: bool) -> Framing {
        let after = if checked { 1 } else { 0 };
        match self {
            Self::StatusBytes => Framing::Enclosed {
                start: STX,
                end: b'\r',
                after,
            },
            Self::LineStatus => Framing::Enclosed {
                start: b'\n',
                end: ETX,
                after: 0,
            },
            Self::LetterFill => Framing::Enclosed {
                start: STX,
                end: ETX,
                after: 0,
            },
            Self::Number
            | Self::Labelled
            | Self::Numbers
            | Self::StatusHead
            | Self::Lettered
            | Self::UnitWhenStable => Framing::Lines,
        }
    }

    /// Returns whether the body of a frame itself shows that no beginning of it is missing.
    ///
    /// Only a head that no number can be, and without which the frame is not read, shows it:
    /// what is left of a torn frame then never passes for the whole one.
    pub(super) fn shows_beginning(self, body: &[u8]) -> bool {
        match self {
            Self::StatusHead => status_head::shows_beginning(body),
            Self::Lettered => lettered::shows_beginning(body),
            // `4.25 g` may be the end of `184.25 g`, and `re: 3 g` that of `Tare: 3 g`.
            Self::Number | Self::Labelled | Self::Numbers | Self::UnitWhenStable => false,
            // Their frames begin with a byte that stands nowhere else, and are not read without it.
            Self::StatusBytes | Self::LineStatus | Self::LetterFill => false,
        }
    }

    /// Reads the body of a frame; `field` counts from 1 and matters to [`Shape::Numbers`] alone.
    #[inline]
    pub(super) fn read(self, body: &[u8], field: u8, sense: &Sense) -> Result<Reading, Why> {
        match self {
            Self::Number => number::read(body, sense),
            Self::Labelled => labelled::read(body, sense),
            Self::Numbers => numbers::read(body, field, sense),
            Self::StatusHead => status_head::read(body, sense),
            Self::StatusBytes => status_bytes::read(body, sense),
            Self::LineStatus => line_status::read(body, sense),
            Self::LetterFill => letter_fill::read(body, sense),
            Self::Lettered => lettered::read(body, sense),
            Self::UnitWhenStable => unit_when_stable::read(body, sense),
        }
    }
}
