//! Which weights were seen: those that neighbours in time bear out, not what a disturbed byte made of one frame.

use super::heard::Heard;
use super::lesson::Lesson;
use crate::mass::Mass;

/// How much faster than just before a weight may go on to its peak, as a share.
const FASTER: (i64, i64) = (5, 4);

/// Returns the least and the greatest weight that was seen.
pub(super) fn seen(heard: &Heard, lesson: &Lesson) -> Option<(Mass, Mass)> {
    let room = lesson.greatest().micrograms() / 100;
    let told: Vec<Told> = heard
        .weights
        .iter()
        .filter_map(|&(piece, weight)| {
            Some(Told {
                at_us: i64::try_from(lesson.pieces.get(piece)?.at_us).ok()?,
                size: weight.micrograms(),
            })
        })
        .collect();
    let mut seen: Option<(i64, i64)> = None;
    for (at, &Told { size, .. }) in told.iter().enumerate() {
        let stands = stands(&told, at, room);
        let (least, most) = seen.unwrap_or((size, size));
        if stands || (most < size && turns(&told, at, room, 1)) {
            seen = Some((least.min(size), most.max(size)));
        } else if size < least && turns(&told, at, room, -1) {
            seen = Some((size, most));
        }
    }
    seen.map(|(least, most)| (Mass::from_micrograms(least), Mass::from_micrograms(most)))
}

#[derive(Clone, Copy)]
struct Told {
    at_us: i64,
    size: i64,
}

/// Returns whether others near it are alike.
fn stands(told: &[Told], at: usize, room: i64) -> bool {
    let near = told.get(at.saturating_sub(3)..(at + 4).min(told.len()));
    let size = told.get(at).map_or(0, |told| told.size);
    let alike = near.unwrap_or_default().iter();
    3 <= alike
        .filter(|other| (other.size - size).abs() <= room)
        .count()
}

/// Returns whether the weight goes up to this one and down again, as something that is pressed by hand does: no
/// disturbed byte fits the way to it and from it.
fn turns(told: &[Told], at: usize, room: i64, sign: i64) -> bool {
    let side = |steps: [Option<usize>; 2]| {
        let [near, far] = steps.map(|at| at.and_then(|at| told.get(at)));
        let (Some(peak), Some(near), Some(far)) = (told.get(at), near, far) else {
            return false;
        };
        let last = (peak.size - near.size) * sign;
        let before = (near.size - far.size) * sign;
        if (0..=room).contains(&last) {
            return true;
        }
        // Frames that were torn leave gaps.
        let took = (peak.at_us - near.at_us).abs().max(1);
        let took_before = (near.at_us - far.at_us).abs().max(1);
        let (more, of) = FASTER;
        let fast = i128::from(last) * i128::from(took_before) * i128::from(of);
        0 < last && fast <= i128::from(before) * i128::from(took) * i128::from(more)
    };
    side([at.checked_sub(1), at.checked_sub(2)]) && side([Some(at + 1), Some(at + 2)])
}
