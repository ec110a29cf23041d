//! Which byte of a frame checks others, by which rule.

use super::columns::Column;
use super::framing::Frame;
use crate::scale::binary::{Check, Order, Place, Sum};

/// Most frames that are looked at: a rule that fits by chance fails on the first ones.
const MOST: usize = 300;

/// Finds the check that fits the frames over the widest range.
pub(super) fn find(frames: &[Frame], columns: &[Column]) -> Option<Check> {
    let mut different: Vec<&[u8]> = frames.iter().map(|frame| frame.bytes.as_slice()).collect();
    different.sort_unstable();
    different.dedup();
    let step = different.len().div_ceil(MOST).max(1);
    let few: Vec<&[u8]> = different.into_iter().step_by(step).collect();
    if few.len() < 8 {
        return None;
    }
    let length = columns.len();
    let mut found: Option<(usize, Check)> = None;
    for rule in Sum::all() {
        for order in [Order::Little, Order::Big] {
            for at in 1..length {
                let check = |from: usize, until: usize| {
                    Some(Check {
                        rule,
                        from: u8::try_from(from).ok()?,
                        until: Place::FromStart(u8::try_from(until).ok()?),
                        at: Place::FromStart(u8::try_from(at).ok()?),
                        order,
                    })
                };
                let Some(width) = check(0, at).map(|check| check.length()) else {
                    continue;
                };
                if width == 1 && order == Order::Big {
                    continue;
                }
                // A check changes with what it checks.
                let Some(stands) = columns.get(at..at + width) else {
                    continue;
                };
                if stands.iter().any(|column| column.values < 6) {
                    continue;
                }
                for until in (2..=at).rev().take(3) {
                    // A plain sum of few bytes may be one number that is two others together.
                    let least = (length - 1).div_ceil(2);
                    for from in 0..(until + 1).saturating_sub(least.max(2)) {
                        // Two bytes more of the range are worth less than a plain rule.
                        let wide = (until - from) * width;
                        if found.as_ref().is_some_and(|&(known, _)| wide <= known) {
                            continue;
                        }
                        let Some(check) = check(from, until) else {
                            continue;
                        };
                        if fits(&few, &check) {
                            found = Some((wide, check));
                        }
                    }
                }
            }
        }
    }
    found.map(|(_, check)| check)
}

fn fits(frames: &[&[u8]], check: &Check) -> bool {
    let allowed = frames.len() / 20;
    let mut wrong = 0;
    for (at, frame) in frames.iter().enumerate() {
        wrong += usize::from(check.verify(frame).is_err());
        // A rule that fails on most of the first ones need not be tried on all.
        if allowed < wrong || (4 <= wrong && at < 2 * wrong) {
            return false;
        }
    }
    true
}
