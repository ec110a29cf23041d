//! What each byte of the frames does: stay, count, or change.

use super::framing::Frame;
use super::lesson::Pan;

/// Most values that a byte of flags takes.
const FLAGS: usize = 8;
/// Most bits of such a byte that change.
const CHANGING: u32 = 3;

/// What one byte of all frames does; values that came once in a while only are disturbances.
#[derive(Clone, Copy, Debug)]
pub(super) struct Column {
    /// How many values it took.
    pub(super) values: usize,
    /// The most common one.
    pub(super) usual: u8,
    /// Bits that were ever different from the usual value's.
    pub(super) changing: u8,
    /// When it changes it goes up by a small step.
    pub(super) counts: bool,
    /// It took more than one value, however seldom.
    pub(super) ever_changes: bool,
    /// It is one while one weight stands, and another while another does.
    pub(super) of_weight: bool,
    /// It goes on by the same step from frame to frame, whatever the weight does: a counter, a time.
    pub(super) ticks: bool,
    /// It goes from each value to a neighbouring one only: a slow number.
    pub(super) creeps: bool,
}

impl Column {
    pub(super) const fn is_constant(self) -> bool {
        self.values == 1
    }

    /// Returns whether it may be a few bits that each mean something.
    pub(super) const fn may_be_flags(self) -> bool {
        1 < self.values
            && self.values <= FLAGS
            && !self.counts
            && !self.creeps
            && !self.of_weight
            && self.changing.count_ones() <= CHANGING
    }
}

/// How many of the frames may have been disturbed, though they look whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Disturbed {
    /// Frames that a good check bears out: none.
    None,
    /// Frames that came as packets, or that a check of one byte bears out: one in two hundred.
    Hardly,
    /// Others: one in a hundred.
    Some,
}

impl Disturbed {
    const fn of(self, frames: usize) -> usize {
        match self {
            Self::None => 0,
            Self::Hardly => frames / 200,
            Self::Some => frames / 100,
        }
    }
}

pub(super) fn of(
    frames: &[Frame],
    length: usize,
    pans: &[Pan],
    disturbed: Disturbed,
) -> Vec<Column> {
    let weights: Vec<usize> = pans
        .iter()
        .enumerate()
        .filter(|(_, pan)| matches!(pan, Pan::Stands(mass) if !mass.is_zero()))
        .map(|(span, _)| span)
        .collect();
    let column = |at: usize| {
        let mut usual: Vec<u8> = weights
            .iter()
            .filter_map(|&span| usual(frames.iter().filter(|frame| frame.span == span), at))
            .collect();
        usual.sort_unstable();
        usual.dedup();
        Column {
            of_weight: 1 < usual.len(),
            ..column(frames, at, disturbed)
        }
    };
    (0..length).map(column).collect()
}

fn usual<'a>(frames: impl Iterator<Item = &'a Frame>, at: usize) -> Option<u8> {
    let mut counts = [0_usize; 256];
    for frame in frames {
        counts[usize::from(*frame.bytes.get(at)?)] += 1;
    }
    let usual = (0_u8..=255).max_by_key(|&value| counts[usize::from(value)])?;
    (counts[usize::from(usual)] != 0).then_some(usual)
}

/// Returns whether one byte goes up when another one, the lower part of the same number, goes round, and only then.
///
/// A number that goes down again, as a weight does, is none that counts.
pub(super) fn carries(frames: &[Frame], low: usize, high: usize) -> bool {
    let (mut either, mut both) = (0_usize, 0_usize);
    for pair in frames.windows(2) {
        let [one, next] = pair else { continue };
        let at = |frame: &Frame, at: usize| frame.bytes.get(at).copied().unwrap_or(0);
        let round = at(next, low) < at(one, low);
        let up = at(next, high).wrapping_sub(at(one, high)) == 1;
        let changed = at(next, high) != at(one, high);
        either += usize::from(round || changed);
        both += usize::from(round && up);
    }
    3 <= both && either * 9 / 10 <= both
}

/// Returns whether one byte goes up whenever another one, the lower part, goes round its end; `None` where it never did.
pub(super) fn carried(frames: &[Frame], low: usize, high: usize) -> Option<bool> {
    let at = |frame: &Frame, at: usize| frame.bytes.get(at).copied().unwrap_or(0);
    let rounds = frames.windows(2).filter_map(|pair| match pair {
        [one, next] if at(next, low) < at(one, low) => {
            Some(at(next, high).wrapping_sub(at(one, high)) == 1)
        }
        _ => None,
    });
    let (carried, rounds) = rounds.fold((0_usize, 0_usize), |(carried, all), now| {
        (carried + usize::from(now), all + 1)
    });
    // A disturbed byte goes down as well.
    (rounds != 0 && (carried != 0 || 2 < rounds)).then_some(carried != 0)
}

fn column(frames: &[Frame], at: usize, disturbed: Disturbed) -> Column {
    let bytes: Vec<u8> = frames
        .iter()
        .filter_map(|frame| frame.bytes.get(at).copied())
        .collect();
    let mut counts = [0_usize; 256];
    for &byte in &bytes {
        counts[usize::from(byte)] += 1;
    }
    // Values so rare that together they may all be disturbances.
    let room = disturbed.of(bytes.len());
    let rarer = |than: usize| counts.iter().filter(|&&count| count < than).sum::<usize>();
    let least = (1..=room + 1).rev().find(|&least| rarer(least) <= room);
    let least = least.unwrap_or(1);
    let common = |byte: u8| least <= counts[usize::from(byte)];
    let (mut up, mut changed, mut steps) = (0_usize, 0_usize, 0_usize);
    let mut last: Option<u8> = None;
    for byte in bytes.iter().copied().filter(|&byte| common(byte)) {
        if let Some(last) = last.filter(|&last| last != byte) {
            changed += 1;
            let step = byte.wrapping_sub(last);
            up += usize::from((1..=8).contains(&step));
            steps += usize::from(byte.abs_diff(last) == 1);
        }
        last = Some(byte);
    }
    let mut paces = [0_usize; 256];
    for pair in bytes.windows(2) {
        if let [one, next] = *pair {
            paces[usize::from(next.wrapping_sub(one))] += 1;
        }
    }
    let [_, paces @ ..] = paces;
    let ticks = paces.iter().any(|&often| bytes.len() * 3 / 4 <= often);
    let usual = (0_u8..=255)
        .max_by_key(|&value| counts[usize::from(value)])
        .unwrap_or(0);
    let changing = (0_u8..=255)
        .filter(|&value| common(value))
        .fold(0, |bits, value| bits | (value ^ usual));
    let values = (0_u8..=255).filter(|&value| common(value)).count();
    let only_steps = changed != 0 && changed * 19 / 20 <= steps;
    Column {
        values,
        ever_changes: bytes.iter().any(|&byte| byte != usual),
        of_weight: false,
        usual,
        changing,
        ticks,
        counts: changed != 0 && changed * 19 / 20 <= up,
        // Two neighbours that differ in several bits are no flag.
        creeps: only_steps && (3 <= values || 1 < changing.count_ones()),
    }
}
