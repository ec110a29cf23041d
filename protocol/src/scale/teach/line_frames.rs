//! How text is cut into frames, and the check at their end.

use super::lesson::Lesson;
use crate::scale::check::{Check, Rule, Written};
use crate::scale::frame::{ETX, Framing, STX};

/// Ways to tell frames apart that the bytes make likely.
pub(super) fn framings(lesson: &Lesson) -> Vec<Framing> {
    let has = |wanted: u8| {
        lesson
            .pieces
            .iter()
            .any(|piece| piece.bytes.contains(&wanted))
    };
    let mut all = Vec::new();
    if has(STX) && has(ETX) {
        all.push(Framing::Enclosed {
            start: STX,
            end: ETX,
            after: 0,
        });
    }
    if has(b'\r') || has(b'\n') {
        all.push(Framing::Lines);
    } else if has(b'+') || has(b'-') {
        let bytes: Vec<u8> = lesson
            .pieces
            .iter()
            .flat_map(|piece| piece.bytes.iter().copied())
            .collect();
        let signs = bytes
            .iter()
            .enumerate()
            .filter(|(_, byte)| matches!(byte, b'+' | b'-'));
        let places: Vec<usize> = signs.map(|(at, _)| at).collect();
        let mut counts = [0_usize; 64];
        for two in places.windows(2) {
            if let [one, next] = two
                && let Some(count) = counts.get_mut(next - one)
            {
                *count += 1;
            }
        }
        let length = (2..64).max_by_key(|&length| counts[length]).unwrap_or(2);
        all.push(Framing::Fixed {
            starts: b"+-".to_vec(),
            length,
        });
    }
    all
}

/// Cuts the lesson into frames of text, each with its span.
pub(super) fn frames(lesson: &Lesson, framing: &Framing) -> Vec<(usize, String)> {
    let mut frames = Vec::new();
    let mut held: Vec<u8> = Vec::new();
    let mut whole = false;
    for piece in &lesson.pieces {
        for &byte in &piece.bytes {
            let (begins, ends) = match framing {
                Framing::Enclosed { start, end, .. } => (byte == *start, byte == *end),
                Framing::Fixed { starts, .. } => (starts.contains(&byte), starts.contains(&byte)),
                _ => (false, matches!(byte, b'\r' | b'\n')),
            };
            if begins || ends {
                let right = match framing {
                    Framing::Fixed { length, .. } => held.len() == *length,
                    Framing::Enclosed { .. } => ends && whole,
                    _ => whole,
                };
                if right && !held.is_empty() {
                    frames.push((piece.span, String::from_utf8_lossy(&held).into_owned()));
                }
                held.clear();
                whole = begins || !matches!(framing, Framing::Enclosed { .. });
                if matches!(framing, Framing::Fixed { .. }) {
                    held.push(byte);
                }
            } else {
                held.push(byte);
            }
        }
    }
    frames
}

/// Finds a check at the end of the frames.
pub(super) fn check(frames: &[(usize, String)]) -> Option<Check> {
    let mut different: Vec<&String> = frames.iter().map(|(_, line)| line).collect();
    different.sort();
    different.dedup();
    if different.len() < 6 {
        return None;
    }
    for (_, rule) in Rule::NAMES {
        for written in [Written::Hex, Written::Nibbles] {
            for from in 0..=1 {
                let check = Check {
                    rule,
                    from,
                    written,
                };
                let right = different
                    .iter()
                    .filter(|line| check.verify(line.as_bytes()).is_ok());
                if different.len() * 4 / 5 <= right.count() {
                    return Some(check);
                }
            }
        }
    }
    None
}
