//! Where frames of bits begin and end: packets by their length, streams by what recurs.

use super::anchor::marks;
use super::lesson::{Lesson, Link};

/// Longest frame of a stream that is looked for.
const LONGEST: usize = 48;
/// Shortest frame.
const SHORTEST: usize = 3;
/// Fewest frames to learn from.
const FEWEST: usize = 24;

/// A frame, and what was said of the pan when it came.
#[derive(Clone, Debug)]
pub(super) struct Frame {
    pub(super) bytes: Vec<u8>,
    pub(super) span: usize,
}

/// A way to cut what was heard into frames of one length.
#[derive(Clone, Debug)]
pub(super) struct Cut {
    pub(super) length: usize,
    pub(super) frames: Vec<Frame>,
    /// Which share of the bytes these frames hold.
    pub(super) share: f64,
    /// Whether a silence was mostly before its frames.
    pub(super) paused: bool,
}

/// Returns every cut that is worth looking at.
pub(super) fn cuts(lesson: &Lesson) -> Vec<Cut> {
    if lesson.packets() {
        packets(lesson)
    } else {
        streams(lesson)
    }
}

fn packets(lesson: &Lesson) -> Vec<Cut> {
    let mut lengths: Vec<usize> = lesson
        .pieces
        .iter()
        .map(|piece| piece.bytes.len())
        .collect();
    lengths.sort_unstable();
    lengths.dedup();
    let mut cuts = Vec::new();
    for length in lengths.into_iter().filter(|&length| length <= 255) {
        let all: Vec<Frame> = lesson
            .pieces
            .iter()
            .filter(|piece| piece.bytes.len() == length)
            .map(|piece| Frame {
                bytes: piece.bytes.clone(),
                span: piece.span,
            })
            .collect();
        // Packets of one length may be of several kinds, told by one of their first bytes.
        let mut kinds = Vec::new();
        for at in 0..length.min(3) {
            let mut counts = [0_usize; 256];
            for frame in &all {
                counts[usize::from(frame.bytes[at])] += 1;
            }
            let often: Vec<usize> = (0..256).filter(|&value| counts[value] != 0).collect();
            if !(2..=4).contains(&often.len()) {
                continue;
            }
            for value in often.into_iter().filter(|&value| FEWEST <= counts[value]) {
                let frames = all
                    .iter()
                    .filter(|frame| usize::from(frame.bytes[at]) == value);
                kinds.push(frames.cloned().collect::<Vec<_>>());
            }
        }
        kinds.push(all);
        for frames in kinds.into_iter().filter(|frames| FEWEST <= frames.len()) {
            cuts.push(Cut {
                length,
                share: share(frames.len(), lesson.pieces.len()),
                frames,
                paused: true,
            });
        }
    }
    cuts
}

struct Stream {
    bytes: Vec<u8>,
    spans: Vec<usize>,
    /// How long nothing came before each byte, and a very long time where the link was opened.
    pauses: Vec<u64>,
}

fn streams(lesson: &Lesson) -> Vec<Cut> {
    let mut stream = Stream {
        bytes: Vec::new(),
        spans: Vec::new(),
        pauses: Vec::new(),
    };
    let mut before = 0;
    for piece in &lesson.pieces {
        for (at, &byte) in piece.bytes.iter().enumerate() {
            let pause = match (at, piece.link) {
                (0, Link::Opened) => u64::MAX,
                (0, _) => piece.at_us.saturating_sub(before),
                _ => 0,
            };
            stream.bytes.push(byte);
            stream.spans.push(piece.span);
            stream.pauses.push(pause);
        }
        before = piece.at_us;
    }
    let mut cuts = Vec::new();
    for length in lengths(&stream.bytes) {
        cuts.extend(rotations(&stream, length));
    }
    cuts
}

/// Returns the distances at which bytes recur most, multiples of a good one left out.
fn lengths(bytes: &[u8]) -> Vec<usize> {
    let recurs = |distance: usize| {
        let pairs = bytes.iter().zip(bytes.iter().skip(distance));
        let same = pairs.filter(|(one, other)| one == other).count();
        share(same, bytes.len().saturating_sub(distance))
    };
    let rates: Vec<(usize, f64)> = (SHORTEST..=LONGEST)
        .filter(|&length| length * FEWEST <= bytes.len())
        .map(|length| (length, recurs(length)))
        .collect();
    let best = rates.iter().map(|&(_, rate)| rate).fold(0.0, f64::max);
    let mut good: Vec<(usize, f64)> = Vec::new();
    for &(length, rate) in &rates {
        let multiple = good
            .iter()
            .any(|&(known, shorter)| length % known == 0 && rate < shorter + 0.05);
        if best * 0.85 <= rate && !multiple {
            good.push((length, rate));
        }
    }
    good.sort_by(|one, other| other.1.total_cmp(&one.1));
    good.into_iter().take(4).map(|(length, _)| length).collect()
}

/// Cuts the stream at bytes that recur at this distance, from each place a frame may begin at.
fn rotations(stream: &Stream, length: usize) -> Vec<Cut> {
    let bytes = &stream.bytes;
    // The phase of each byte: it changes where bytes were lost.
    let Some(marks) = marks(bytes, length) else {
        return Vec::new();
    };
    // Columns as counted from the anchor.
    let whole: Vec<usize> = marks
        .iter()
        .copied()
        .zip(marks.iter().skip(1).copied())
        .filter(|&(one, next)| next == one + length)
        .map(|(one, _)| one)
        .collect();
    if whole.len() < FEWEST {
        return Vec::new();
    }
    let constant: Vec<bool> = (0..length)
        .map(|column| {
            let mut counts = [0_usize; 256];
            for &from in &whole {
                counts[usize::from(bytes[from + column])] += 1;
            }
            let most = counts.iter().copied().max().unwrap_or(0);
            whole.len() * 49 / 50 <= most
        })
        .collect();
    let mut pauses = vec![0_u128; length];
    for &from in &whole {
        for (column, pause) in pauses.iter_mut().enumerate() {
            let before = stream.pauses[from + column];
            *pause += u128::from(before.min(1_000_000));
        }
    }
    let all: u128 = pauses.iter().sum();
    // A frame begins with a byte that never changes, or behind one. In a run of them a tail and the next
    // frame's head may meet.
    let before = |column: usize| (column + length - 1) % length;
    let begins: Vec<usize> = (0..length)
        .filter(|&column| constant[column] || constant[before(column)])
        .filter(|&column| {
            !(constant[column] && constant[before(column)]) || joins(&constant, column)
        })
        .collect();
    let mut cuts = Vec::new();
    for column in begins {
        let mut frames = Vec::new();
        for three in marks.windows(3) {
            let (one, next) = (three[0], three[1]);
            let from = one + column;
            // The anchors before and behind must be where they are expected, or the frame was torn.
            let behind = column == 0 || three[2] == next + length;
            if next == one + length && behind && from + length <= bytes.len() {
                frames.push(Frame {
                    bytes: bytes[from..from + length].to_vec(),
                    span: stream.spans[from],
                });
            }
        }
        // Frames of which a byte that never changes is another one are torn.
        let fixed: Vec<(usize, u8)> = (0..length)
            .filter(|&at| constant[(column + at) % length])
            .filter_map(|at| Some((at, most_common(&frames, at)?)))
            .collect();
        frames.retain(|frame| fixed.iter().all(|&(at, byte)| frame.bytes[at] == byte));
        if FEWEST <= frames.len() {
            cuts.push(Cut {
                length,
                share: share(frames.len() * length, bytes.len()),
                frames,
                paused: all < 2 * pauses[column],
            });
        }
    }
    cuts
}

/// A head may follow a tail directly, and both never change.
fn joins(constant: &[bool], column: usize) -> bool {
    let length = constant.len();
    let run = (0..length).take_while(|&back| constant[(column + length - 1 - back) % length]);
    run.count() <= 12
}

fn most_common(frames: &[Frame], at: usize) -> Option<u8> {
    let mut counts = [0_usize; 256];
    for frame in frames {
        counts[usize::from(*frame.bytes.get(at)?)] += 1;
    }
    let most = (0_u8..=255).max_by_key(|&value| counts[usize::from(value)])?;
    Some(most)
}

pub(super) fn share(part: usize, whole: usize) -> f64 {
    let count = |count: usize| f64::from(u32::try_from(count).unwrap_or(u32::MAX));
    if whole == 0 {
        0.0
    } else {
        count(part) / count(whole)
    }
}
