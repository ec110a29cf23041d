//! What was heard of a scale while the person said what stood on the pan.

use crate::mass::{Mass, MassUnit};
use crate::scale::capture::{Capture, Captured, Hand};

/// What the person said of the pan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pan {
    /// Nothing yet.
    Unsaid,
    /// This stood on it; zero when it was empty.
    Stands(Mass),
    /// It was lifted, so that the display went below zero.
    Lifted,
    /// It was pressed by hand, so that the weight moved.
    Pressed,
}

/// A stretch of a capture in which the pan was lifted or pressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Aside {
    /// From this time of the capture.
    pub from_us: u64,
    /// Until before this one.
    pub until_us: u64,
    /// What was done.
    pub pan: Pan,
}

/// What there is to learn from: one capture of a scale or several.
#[derive(Clone, Debug)]
pub struct Lesson {
    /// The unit that the display showed.
    pub unit: MassUnit,
    pub(super) pieces: Vec<Piece>,
    pub(super) spans: Vec<Pan>,
}

/// Bytes that came at once.
#[derive(Clone, Debug)]
pub(super) struct Piece {
    pub(super) at_us: u64,
    pub(super) bytes: Vec<u8>,
    pub(super) link: Link,
    pub(super) span: usize,
}

/// How a piece came.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Link {
    /// The first bytes of a stream.
    Opened,
    /// More bytes of it.
    Stream,
    /// A whole packet.
    Packet,
}

/// Why there is nothing to learn from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum LessonError {
    /// No byte.
    #[error("the scale said nothing")]
    Silent,
    /// Nobody said that the pan was empty.
    #[error("nobody said when the pan was empty")]
    NoZero,
    /// Fewer than two weights.
    #[error("fewer than two known weights stood on the pan")]
    FewWeights,
    /// A stream and packets.
    #[error("some of it came as a stream and some as packets")]
    TwoLinks,
}

impl LessonError {
    /// Returns what the person can do about it.
    #[must_use]
    pub const fn hint(self) -> &'static str {
        match self {
            Self::Silent => "switch the scale on and look at the cable, the speed or the radio",
            Self::NoZero => "teach again, and begin with the pan empty for some seconds",
            Self::FewWeights => {
                "put two or three things of known weight on the pan, one after the other, each for some seconds"
            }
            Self::TwoLinks => "teach from captures of one way to connect the scale",
        }
    }
}

impl Lesson {
    /// Begins a lesson with the unit that the display shows.
    #[must_use]
    pub const fn new(unit: MassUnit) -> Self {
        Self {
            unit,
            pieces: Vec::new(),
            spans: Vec::new(),
        }
    }

    /// Adds a capture; another one of the same scale widens what is learnt.
    #[must_use]
    pub fn hear(mut self, capture: &Capture, asides: &[Aside]) -> Self {
        self.spans.push(Pan::Unsaid);
        let mut said = self.spans.len() - 1;
        let mut aside_at: Option<(usize, usize)> = None;
        let mut opened = false;
        for moment in &capture.moments {
            let (bytes, packet) = match &moment.what {
                Captured::Pan(mass) => {
                    self.spans.push(Pan::Stands(*mass));
                    said = self.spans.len() - 1;
                    continue;
                }
                Captured::Hand(hand) => {
                    self.spans.push(match hand {
                        Hand::Busy => Pan::Unsaid,
                        Hand::Lifted => Pan::Lifted,
                        Hand::Pressed => Pan::Pressed,
                    });
                    said = self.spans.len() - 1;
                    continue;
                }
                // It is said when the lesson begins.
                Captured::Display(_) => continue,
                Captured::Bytes(bytes) => (bytes, false),
                Captured::Packet(bytes) => (bytes, true),
            };
            if bytes.is_empty() {
                continue;
            }
            let inside = asides
                .iter()
                .position(|aside| aside.from_us <= moment.at_us && moment.at_us < aside.until_us);
            let span = match (inside, aside_at) {
                (None, _) => said,
                (Some(at), Some((known, span))) if known == at => span,
                (Some(at), _) => {
                    self.spans
                        .push(asides.get(at).map_or(Pan::Unsaid, |aside| aside.pan));
                    aside_at = Some((at, self.spans.len() - 1));
                    self.spans.len() - 1
                }
            };
            let link = match (packet, opened) {
                (true, _) => Link::Packet,
                (false, true) => Link::Stream,
                (false, false) => Link::Opened,
            };
            opened = true;
            self.pieces.push(Piece {
                at_us: moment.at_us,
                bytes: bytes.clone(),
                link,
                span,
            });
        }
        self
    }

    pub(super) fn check(&self) -> Result<(), LessonError> {
        if self.pieces.is_empty() {
            return Err(LessonError::Silent);
        }
        let packets = self
            .pieces
            .iter()
            .filter(|piece| piece.link == Link::Packet);
        let packets = packets.count();
        if packets != 0 && packets != self.pieces.len() {
            return Err(LessonError::TwoLinks);
        }
        let heard = |span: usize| self.pieces.iter().any(|piece| piece.span == span);
        let mut weights: Vec<Mass> = Vec::new();
        let mut zero = false;
        for (span, pan) in self.spans.iter().enumerate() {
            match pan {
                Pan::Stands(mass) if heard(span) && mass.is_zero() => zero = true,
                Pan::Stands(mass) if heard(span) => weights.push(*mass),
                _ => {}
            }
        }
        weights.sort_unstable();
        weights.dedup();
        match (zero, weights.len()) {
            (false, _) => Err(LessonError::NoZero),
            (true, 0 | 1) => Err(LessonError::FewWeights),
            (true, _) => Ok(()),
        }
    }

    pub(super) fn packets(&self) -> bool {
        self.pieces.iter().any(|piece| piece.link == Link::Packet)
    }

    pub(super) fn greatest(&self) -> Mass {
        self.known().max().unwrap_or(Mass::ZERO)
    }

    pub(super) fn known(&self) -> impl Iterator<Item = Mass> {
        self.spans.iter().filter_map(|pan| match pan {
            Pan::Stands(mass) => Some(*mass),
            _ => None,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scale::capture::Moment;

    #[test]
    fn a_hand_that_a_capture_tells_of_is_heard_as_an_aside_is() {
        let said = [
            Captured::Display(MassUnit::Gram),
            Captured::Pan(Mass::ZERO),
            Captured::Hand(Hand::Busy),
            Captured::Pan(Mass::from_grams(20)),
            Captured::Hand(Hand::Pressed),
            Captured::Hand(Hand::Lifted),
        ];
        let moments = said.into_iter().enumerate().flat_map(|(at, what)| {
            let at_us = u64::try_from(at).unwrap_or_default();
            [what, Captured::Bytes(vec![0])].map(|what| Moment { at_us, what })
        });
        let capture = Capture {
            device: String::new(),
            moments: moments.collect(),
        };
        let lesson = Lesson::new(MassUnit::Gram).hear(&capture, &[]);
        let heard = lesson.pieces.iter();
        let heard: Vec<Pan> = heard.map(|piece| lesson.spans[piece.span]).collect();
        let expect = [
            Pan::Unsaid,
            Pan::Stands(Mass::ZERO),
            Pan::Unsaid,
            Pan::Stands(Mass::from_grams(20)),
            Pan::Pressed,
            Pan::Lifted,
        ];
        assert_eq!(heard, expect);
    }
}
