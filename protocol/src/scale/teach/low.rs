//! Whether the lowest byte of a number belongs to it, or is another thing that stands beside it.

use super::lesson::Pan;
use crate::scale::binary::{Form, Number};

/// How the lowest byte of a number behaves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Low {
    /// It changes with the weight, is quiet while the weight stands and nothing while nothing stands.
    Belongs,
    /// It changes little at all.
    Unclear,
    /// It runs through all its values while the byte above it stands still, or does not care for the weight.
    Foreign,
}

/// More values than a byte of flags takes.
const MANY: usize = 12;
/// A number at rest is so many steps from nothing at most.
const AT_REST: f64 = 5.0;

pub(super) fn low(number: &Number, row: &[Option<f64>], spans: &[usize], pans: &[Pan]) -> Low {
    if number.length == 1 || matches!(number.form, Form::Medical | Form::Float) {
        return Low::Belongs;
    }
    let base = if number.form == Form::Bcd {
        100.0
    } else {
        256.0
    };
    if follows(row, base) || keeps(row, base) || number.length == 4 && echoes(row, base * base) {
        return Low::Foreign;
    }
    let rests = rests(row, spans, pans);
    let quietest = rests
        .iter()
        .map(|rest| rest.spread)
        .fold(f64::MAX, f64::min);
    let widest = rests.iter().map(|rest| rest.spread).fold(0.0, f64::max);
    if base * 0.25 < quietest {
        return Low::Foreign;
    }
    let lows = rests.iter().map(|rest| rest.middle.rem_euclid(base));
    // The byte goes round: from 255 it is one step to 0.
    let first = lows.clone().next().unwrap_or(0.0);
    let away = lows.map(|low| {
        let away = (low - first).abs();
        away.min(base - away)
    });
    let away = away.fold(0.0, f64::max);
    let empty = rests.iter().filter(|rest| rest.empty);
    let off = empty.map(|rest| rest.middle.abs()).fold(0.0, f64::max);
    let nothing = off <= AT_REST;
    if !nothing && away <= base * 0.04 {
        // What is the same under every weight is none of it.
        return Low::Foreign;
    }
    let changes = base * 0.1 <= away || MANY <= different(row, |raw| raw.rem_euclid(base)).len();
    if nothing && changes && widest < base * 0.2 {
        Low::Belongs
    } else {
        Low::Unclear
    }
}

/// What a number does while something stands on the pan, or nothing.
struct Rest {
    middle: f64,
    /// Of the half of its frames that are nearest to each other, without the way to the weight and from it.
    spread: f64,
    empty: bool,
}

fn rests(row: &[Option<f64>], spans: &[usize], pans: &[Pan]) -> Vec<Rest> {
    let rest = |(span, pan): (usize, &Pan)| {
        let Pan::Stands(mass) = pan else { return None };
        let of = spans.iter().zip(row).filter(|&(&of, _)| of == span);
        let mut values: Vec<f64> = of.filter_map(|(_, raw)| *raw).collect();
        values.sort_by(f64::total_cmp);
        let half = values.len() / 2;
        let halves = values.iter().zip(values.iter().skip(half));
        let rest = Rest {
            middle: values.get(half).copied()?,
            spread: halves
                .map(|(low, high)| high - low)
                .fold(f64::MAX, f64::min),
            empty: mass.is_zero(),
        };
        (8 <= values.len()).then_some(rest)
    };
    pans.iter().enumerate().filter_map(rest).collect()
}

/// Returns whether the lowest two digits took many values.
pub(super) fn varied(row: &[Option<f64>]) -> bool {
    MANY <= different(row, |raw| raw.abs().rem_euclid(100.0)).len()
}

/// Returns the values of each frame, once each.
fn different(row: &[Option<f64>], of: impl Fn(f64) -> f64) -> Vec<f64> {
    let mut all: Vec<f64> = row.iter().flatten().map(|&raw| of(raw)).collect();
    all.sort_by(f64::total_cmp);
    all.dedup_by(|one, other| one.total_cmp(other).is_eq());
    all
}

/// Returns whether the lowest byte keeps to a few neighbouring values that are not about nothing, whatever is above it.
fn keeps(row: &[Option<f64>], base: f64) -> bool {
    let lows = different(row, |raw| raw.abs().rem_euclid(base));
    let highs = different(row, |raw| (raw.abs() / base).floor());
    match (lows.first(), lows.last()) {
        (Some(&least), Some(&most)) => {
            MANY * 2 <= highs.len()
                && 2.0 <= least
                && most < base * 0.98
                && most - least <= base * 0.08
        }
        _ => false,
    }
}

/// Returns whether the lowest byte goes slowly with all above it and never round, as the high byte of another number
/// beside it would.
fn follows(row: &[Option<f64>], base: f64) -> bool {
    let positive = row.iter().flatten().filter(|&&raw| base < raw);
    let mut pairs: Vec<(f64, f64)> = positive
        .map(|raw| ((raw / base).floor(), raw.rem_euclid(base)))
        .collect();
    pairs.sort_by(|one, other| one.0.total_cmp(&other.0));
    pairs.dedup_by(|one, other| one.0.total_cmp(&other.0).is_eq());
    let (mut near, mut slow) = (0_usize, 0_usize);
    for two in pairs.windows(2) {
        let [one, next] = two else { continue };
        let room = (next.0 - one.0) / base + 1.0;
        if room <= base * 0.2 {
            near += 1;
            slow += usize::from((next.1 - one.1).abs() <= room);
        }
    }
    let lows = different(row, |raw| raw.rem_euclid(base));
    10 <= near && 3 <= lows.len() && near * 19 / 20 <= slow
}

/// Returns whether the lower half is the upper one again, less something that stays the same: a tare.
fn echoes(row: &[Option<f64>], half: f64) -> bool {
    let halves: Vec<(f64, f64)> = row
        .iter()
        .flatten()
        .map(|raw| ((raw.abs() / half).floor(), raw.abs().rem_euclid(half)))
        .collect();
    let less = |&(high, low): &(f64, f64)| [high - low, (high - low).rem_euclid(half), high + low];
    let mut all: Vec<f64> = halves.iter().flat_map(less).collect();
    all.sort_by(f64::total_cmp);
    let often = all.chunk_by(|one, next| one.total_cmp(next).is_eq());
    let Some(tare) = often
        .max_by_key(|alike| alike.len())
        .and_then(|alike| alike.first())
    else {
        return false;
    };
    let same = halves
        .iter()
        .filter(|&halves| less(halves).iter().any(|less| less.total_cmp(tare).is_eq()));
    MANY <= different(row, |raw| (raw / half).floor()).len() && row.len() * 9 / 10 <= same.count()
}
