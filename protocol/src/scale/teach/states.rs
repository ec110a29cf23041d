//! Which bits go with a weight that moves, with one below zero, and which were never seen to change.

use super::columns::Column;
use super::fields::{covers, holds};
use super::framing::{Frame, share};
use super::lesson::Pan;
use crate::mass::MassUnit;
use crate::scale::binary::{Bits, Check, Number, Place, State, UnitField};

/// A single bit, as it is when set and when not.
fn single(columns: &[Column]) -> impl Iterator<Item = Bits> {
    let flags = columns
        .iter()
        .enumerate()
        .filter(|(_, column)| column.may_be_flags());
    flags.flat_map(|(at, column)| {
        let changing = column.changing;
        (0..8_u8)
            .map(|bit| 1 << bit)
            .filter(move |mask| changing & mask != 0)
            .flat_map(move |mask| [mask, 0].map(|is| (at, mask, is)))
            .filter_map(|(at, mask, is)| {
                let at = u8::try_from(at).ok()?;
                Some(Bits { at, mask, is })
            })
    })
}

/// Returns in what part of the frames the bit is so.
fn seen(bits: Bits, frames: &[&Frame]) -> f64 {
    let so = frames.iter().filter(|frame| holds(bits, &frame.bytes));
    share(so.count(), frames.len())
}

/// Finds the bit that is so while the pan is still, and otherwise while it moves.
pub(super) fn moving(
    frames: &[Frame],
    columns: &[Column],
    number: &Number,
    grams: &[Option<f64>],
    room: f64,
) -> Option<Bits> {
    let at = |index: usize| grams.get(index).copied().flatten();
    let mut still = Vec::new();
    let mut moves = Vec::new();
    for (index, frame) in frames.iter().enumerate() {
        let Some(now) = at(index) else { continue };
        let near = |others: std::ops::RangeInclusive<usize>| {
            others
                .into_iter()
                .all(|other| at(other).is_some_and(|other| (other - now).abs() <= room))
        };
        if 8 <= index && near(index - 8..=index + 2) {
            still.push(frame);
        }
        let far = |other: usize| at(other).is_some_and(|other| 4.0 * room < (other - now).abs());
        if 1 <= index && far(index - 1) && far(index + 1) {
            moves.push(frame);
        }
    }
    if still.len() < 20 || moves.len() < 4 {
        return None;
    }
    let mut found: Vec<(f64, Bits)> = single(columns)
        .filter(|bits| !covers(number, usize::from(bits.at)))
        .map(|bits| (seen(bits, &still), seen(bits, &moves), bits))
        .filter(|&(still, moves, _)| 0.97 <= still && moves <= 0.1)
        .map(|(still, moves, bits)| (still - moves, bits))
        .collect();
    found.sort_by(|one, other| other.0.total_cmp(&one.0));
    found.first().map(|&(_, bits)| bits)
}

/// Finds the bit that is so while the pan was lifted, and never while a weight stood on it.
///
/// Of several such bits none is taken.
pub(super) fn minus(
    frames: &[Frame],
    columns: &[Column],
    number: &Number,
    pans: &[Pan],
    raw: &[Option<f64>],
) -> Option<Bits> {
    let top = raw.iter().flatten().copied().fold(0.0, f64::max);
    let of = |wanted: fn(Pan) -> bool, least: f64| -> Vec<&Frame> {
        frames
            .iter()
            .zip(raw)
            .filter(|(frame, raw)| {
                pans.get(frame.span).copied().is_some_and(wanted)
                    && raw.is_some_and(|raw| least <= raw)
            })
            .map(|(frame, _)| frame)
            .collect()
    };
    let lifted = of(|pan| pan == Pan::Lifted, top * 0.01);
    let above = of(
        |pan| matches!(pan, Pan::Stands(mass) if !mass.is_zero()),
        top * 0.02,
    );
    if lifted.len() < 4 || above.len() < 8 {
        return None;
    }
    let mut found = single(columns)
        .filter(|bits| !covers(number, usize::from(bits.at)))
        .filter(|&bits| 0.8 <= seen(bits, &lifted) && seen(bits, &above) <= 0.06);
    match (found.next(), found.next()) {
        (Some(bits), None) => Some(bits),
        _ => None,
    }
}

/// What holds a frame to what was seen, where single bits of a byte changed.
pub(super) struct Locks {
    /// Bits beside those that change; they may be the unit.
    pub(super) unit: Option<UnitField>,
    /// Bits of further bytes, each with the value that was never seen.
    pub(super) unseen: Vec<(State, Bits)>,
}

pub(super) fn locks(
    columns: &[Column],
    number: &Number,
    scaling_at: Option<u8>,
    check: Option<&Check>,
    unit: MassUnit,
) -> Locks {
    let mut locks = Locks {
        unit: None,
        unseen: Vec::new(),
    };
    for (at, column) in columns.iter().enumerate() {
        let of_check = check.is_some_and(|check| match check.at {
            Place::FromStart(from) => {
                let from = usize::from(from);
                (from..from + check.length()).contains(&at)
            }
            Place::FromEnd(_) => false,
        });
        let scales = scaling_at.is_some_and(|scaling| usize::from(scaling) == at);
        let free = !column.may_be_flags();
        let (Ok(place), mask) = (u8::try_from(at), !column.changing) else {
            continue;
        };
        if free || of_check || scales || mask == 0 || covers(number, at) {
            continue;
        }
        if locks.unit.is_none() {
            locks.unit = Some(UnitField {
                at: place,
                mask,
                units: vec![(column.usual & mask, unit)],
            });
            continue;
        }
        for bit in (0..8).map(|bit| 1_u8 << bit).filter(|bit| mask & bit != 0) {
            let never = Bits {
                at: place,
                mask: bit,
                is: !column.usual & bit,
            };
            locks.unseen.push((State::Fault, never));
        }
    }
    locks
}
