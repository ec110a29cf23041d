//! What each byte of the frames does: stay, count, or change.

use super::framing::Frame;

/// Most values that a byte of flags takes.
const FLAGS: usize = 12;

/// What one byte of all frames does.
#[derive(Clone, Copy, Debug)]
pub(super) struct Column {
    /// How many values it took.
    pub(super) values: usize,
    /// The most common one.
    pub(super) usual: u8,
    /// Bits that were ever different from the usual value's.
    pub(super) changing: u8,
    /// It goes up by the same small step nearly always when it changes.
    pub(super) counts: bool,
    /// It went round its end.
    pub(super) wrapped: bool,
    /// It takes three values and more, and goes from each to the next one only: a slow number.
    pub(super) creeps: bool,
}

impl Column {
    pub(super) const fn is_constant(self) -> bool {
        self.values == 1
    }

    /// Returns whether it may be a few bits that each mean something.
    pub(super) const fn may_be_flags(self) -> bool {
        self.values <= FLAGS && !self.counts && self.changing.count_ones() <= 6
    }
}

pub(super) fn of(frames: &[Frame], length: usize) -> Vec<Column> {
    (0..length).map(|at| column(frames, at)).collect()
}

fn column(frames: &[Frame], at: usize) -> Column {
    let mut counts = [0_usize; 256];
    let (mut up, mut changed, mut wrapped) = (0_usize, 0_usize, false);
    let mut steps = 0_usize;
    let mut last: Option<u8> = None;
    for frame in frames {
        let Some(&byte) = frame.bytes.get(at) else {
            continue;
        };
        counts[usize::from(byte)] += 1;
        if let Some(last) = last.filter(|&last| last != byte) {
            changed += 1;
            let step = byte.wrapping_sub(last);
            up += usize::from((1..=8).contains(&step) || (byte < 8 && last != 0 && byte < last));
            steps += usize::from(byte.abs_diff(last) == 1);
            wrapped |= byte < last && 200 < last;
        }
        last = Some(byte);
    }
    let usual = (0_u8..=255)
        .max_by_key(|&value| counts[usize::from(value)])
        .unwrap_or(0);
    let changing = (0_u8..=255)
        .filter(|&value| counts[usize::from(value)] != 0)
        .fold(0, |bits, value| bits | (value ^ usual));
    let values = counts.iter().filter(|&&count| count != 0).count();
    Column {
        values,
        usual,
        changing,
        counts: 3 <= changed && changed * 19 / 20 <= up,
        wrapped,
        creeps: 3 <= values && changed * 19 / 20 <= steps,
    }
}
