//! What a profile makes of the lesson, read by the real decoder.

use super::framing::share;
use super::lesson::{Lesson, Link, Pan};
use crate::mass::Mass;
use crate::reading::Reading;
use crate::scale::decoded::Decoded;
use crate::scale::decoder::Decoder;
use crate::scale::profile::{Profile, Settings};

/// A silence that ends a frame, as the links have it.
const PAUSE_US: u64 = 40_000;

/// A profile and what it makes of the lesson.
pub(super) struct Heard {
    /// The piece that ended each frame, and the weight.
    pub(super) weights: Vec<(usize, Mass)>,
    /// Frames without a weight, or rejected.
    pub(super) rejected: usize,
}

/// Reads the whole lesson by a profile.
pub(super) fn hear(settings: &Settings, lesson: &Lesson) -> Option<Heard> {
    let profile = Profile::from_settings(settings).ok()?;
    let mut decoder = Decoder::of(&profile);
    let mut weights = Vec::new();
    let mut rejected = 0;
    let mut before = 0;
    for (at, piece) in lesson.pieces.iter().enumerate() {
        let mut sink = |decoded: Decoded| match decoded {
            Decoded::Reading(Reading::Weight(weighed)) => weights.push((at, weighed.gross)),
            Decoded::Reading(Reading::NoWeight(_)) => {}
            Decoded::Rejected(_) => rejected += 1,
        };
        if PAUSE_US <= piece.at_us.saturating_sub(before) && piece.link == Link::Stream {
            decoder.flush(&mut sink);
        }
        before = piece.at_us;
        match piece.link {
            Link::Packet => decoder.packet(&piece.bytes, &mut sink),
            Link::Opened => {
                decoder.reset();
                decoder.push(&piece.bytes, &mut sink);
            }
            Link::Stream => decoder.push(&piece.bytes, &mut sink),
        }
    }
    Some(Heard { weights, rejected })
}

/// Weights that were heard while the person had said what stood on the pan.
pub(super) struct Explained {
    /// So many show it.
    pub(super) right: usize,
    /// Of so many.
    pub(super) all: usize,
}

impl Explained {
    pub(super) fn share(&self) -> f64 {
        share(self.right, self.all)
    }
}

/// Counts the weights that show what stood on the pan, to a step of the scale.
pub(super) fn explained(heard: &Heard, lesson: &Lesson, step: Mass) -> Explained {
    let least = lesson
        .known()
        .filter(|mass| !mass.is_zero())
        .map(Mass::abs)
        .min();
    let least = least.unwrap_or(Mass::ZERO).micrograms();
    let (mut right, mut all) = (0, 0);
    for &(piece, weight) in &heard.weights {
        let span = lesson.pieces.get(piece).map_or(0, |piece| piece.span);
        let Some(&Pan::Stands(mass)) = lesson.spans.get(span) else {
            continue;
        };
        let room = (mass.abs().micrograms() / 40).max(least / 25) + step.micrograms();
        all += 1;
        right += usize::from((weight.micrograms() - mass.micrograms()).abs() <= room);
    }
    Explained { right, all }
}
