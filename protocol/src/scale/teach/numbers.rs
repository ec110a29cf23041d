//! Whether a row of numbers goes with the known weights, and by which plain factor.

use super::framing::share;
use super::lesson::Pan;
use crate::mass::{Mass, MassUnit};
use crate::scale::exact::Factor;

/// How far the known weights may be off, as a share.
const KNOWN: f64 = 0.022;
/// How far a fitted factor may be from a plain one, as a share.
const PLAIN: f64 = 0.026;
/// Fewest raw steps of the greatest known weight: below, a factor could not be told.
const STEPS: f64 = 12.0;
/// Most of them: finer than any cell is.
const MOST_STEPS: f64 = 5e6;
/// Fewest different numbers that tell a step: 100, 250 and 400 of a scale that never flickers have 50 in common by
/// chance.
const TELLING: usize = 8;
/// Which share of a span's frames must show what stood on the pan.
const SHOWN: f64 = 0.6;

/// A factor of 1, 2 or 5 times a power of ten, in a unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Plain {
    pub(super) digit: i64,
    pub(super) tens: i32,
    pub(super) unit: MassUnit,
}

/// How a row of numbers goes with the weights.
#[derive(Clone, Debug)]
pub(super) struct Fit {
    pub(super) plain: Plain,
    /// Grams of one raw step, as the plain factor has it.
    pub(super) step_grams: f64,
    /// Grams of the smallest step that was seen.
    pub(super) grain_grams: f64,
    /// How far the weights are off, as a share of the greatest: the worst one.
    pub(super) off: f64,
    /// The share of frames within spans that show what stood on the pan.
    pub(super) shown: f64,
    /// The share of frames that no neighbour agrees with, or that are no number.
    pub(super) spikes: f64,
    /// Which frames these are.
    pub(super) leaps: Vec<bool>,
    /// Grams that it goes up and down in all.
    pub(super) travel: f64,
    /// Grams by which neighbours of a still pan typically differ.
    pub(super) rough: f64,
}

/// Why a row of numbers is not the weight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Unfit {
    /// It does not go with the weights.
    Unlike,
    /// It does, but by a factor that is no plain one: grams a step.
    Uneven(f64),
}

impl Plain {
    /// Returns the metric unit that a whole step is one of.
    pub(super) const fn metric(self) -> Option<MassUnit> {
        match (self.unit, self.tens) {
            (unit, 0) => Some(unit),
            (MassUnit::Gram, 3) => Some(MassUnit::Kilogram),
            (MassUnit::Gram, -3) | (MassUnit::Kilogram, -6) => Some(MassUnit::Milligram),
            (MassUnit::Kilogram, -3) => Some(MassUnit::Gram),
            _ => None,
        }
    }

    pub(super) fn factor(self) -> Option<Factor> {
        let tens = 10_i64.checked_pow(self.tens.unsigned_abs())?;
        if self.tens < 0 {
            Factor::new(self.digit, tens)
        } else {
            Factor::new(self.digit.checked_mul(tens)?, 1)
        }
    }

    pub(super) fn grams(self) -> f64 {
        let digit = if self.digit == 5 {
            5.0
        } else if self.digit == 2 {
            2.0
        } else {
            1.0
        };
        digit * 10_f64.powi(self.tens) * grams_of(self.unit)
    }
}

pub(super) fn grams_of(unit: MassUnit) -> f64 {
    let (micrograms, per) = unit.micrograms();
    Mass::from_micrograms(micrograms).grams() / Mass::from_micrograms(per).grams() / 1e6
}

/// Fits a row of raw numbers, one for each frame.
pub(super) fn fit(
    raw: &[Option<f64>],
    spans: &[usize],
    pans: &[Pan],
    shown_unit: MassUnit,
) -> Result<Fit, Unfit> {
    let mut groups: Vec<Vec<f64>> = vec![Vec::new(); pans.len()];
    for (&raw, &span) in raw.iter().zip(spans) {
        if let (Some(raw), Some(group)) = (raw, groups.get_mut(span)) {
            group.push(raw);
        }
    }
    let mut middles: Vec<(usize, f64, f64)> = Vec::new();
    for (span, group) in groups.iter_mut().enumerate() {
        let (Some(&Pan::Stands(mass)), false) = (pans.get(span), group.is_empty()) else {
            continue;
        };
        let middle = group.len() / 2;
        let (_, &mut median, _) = group.select_nth_unstable_by(middle, f64::total_cmp);
        middles.push((span, median, mass.grams()));
    }
    let top = middles.iter().map(|&(_, _, mass)| mass).fold(0.0, f64::max);
    let top_raw = middles
        .iter()
        .map(|&(_, raw, _)| raw.abs())
        .fold(0.0, f64::max);
    if top <= 0.0 || top_raw <= 0.0 || !top_raw.is_finite() {
        return Err(Unfit::Unlike);
    }
    // The factor through zero that fits all weights best, each by its share.
    let (mut shares, mut count) = (0.0, 0.0);
    for &(_, raw, mass) in middles.iter().filter(|&&(_, _, mass)| mass != 0.0) {
        if raw * mass <= 0.0 {
            return Err(Unfit::Unlike);
        }
        shares += (mass / raw).ln() * mass.abs();
        count += mass.abs();
    }
    let step = (shares / count).exp();
    let least = middles
        .iter()
        .filter(|&&(_, _, mass)| mass != 0.0)
        .map(|&(_, _, mass)| mass.abs())
        .fold(top, f64::min);
    let goes = |step: f64, slack: f64| {
        middles.iter().all(|&(_, raw, mass)| {
            let room = if mass == 0.0 {
                least * 0.015
            } else {
                mass.abs() * KNOWN
            };
            (raw * step - mass).abs() <= room + slack
        })
    };
    // However coarse its steps may be.
    if !goes(step, step * top_raw / STEPS * 1.5) {
        return Err(Unfit::Unlike);
    }
    let grain = grain(raw, top_raw);
    let plain = plain(step, shown_unit);
    let Some(plain) = plain else {
        let fits = goes(step, step * grain) && STEPS * grain <= top_raw;
        return Err(if fits {
            Unfit::Uneven(step)
        } else {
            Unfit::Unlike
        });
    };
    let step = plain.grams();
    if !goes(step, step * grain * 1.5) || !(STEPS..MOST_STEPS).contains(&(top_raw / grain)) {
        return Err(Unfit::Unlike);
    }
    let off = middles
        .iter()
        .map(|&(_, raw, mass)| (raw * step - mass).abs() / mass.abs().max(least));
    let off = off.fold(0.0, f64::max);
    let room = least * 0.02 + 3.0 * step * grain;
    let mut shown = (0_usize, 0_usize);
    for &(span, median, _) in &middles {
        let Some(group) = groups.get(span) else {
            continue;
        };
        let near = group
            .iter()
            .filter(|&&raw| ((raw - median) * step).abs() <= room)
            .count();
        let whole = spans.iter().filter(|&&of| of == span).count();
        if share(near, whole) < SHOWN {
            return Err(Unfit::Unlike);
        }
        shown = (shown.0 + near, shown.1 + whole);
    }
    let leaps = leaps(raw, room / step, top_raw);
    Ok(Fit {
        plain,
        step_grams: step,
        grain_grams: step * grain,
        off,
        shown: share(shown.0, shown.1),
        spikes: share(leaps.iter().filter(|&&leaps| leaps).count(), raw.len()),
        leaps,
        travel: travel(raw) * step,
        rough: rough(raw, spans, &middles, room / step) * step,
    })
}

/// Returns the smallest step between the numbers: where all are whole, what all are whole numbers of.
fn grain(raw: &[Option<f64>], top: f64) -> f64 {
    let mut values: Vec<f64> = raw.iter().flatten().copied().collect();
    values.sort_by(f64::total_cmp);
    values.dedup();
    if values.len() < TELLING {
        return digit(&values);
    }
    if raw.iter().flatten().all(|raw| raw.fract() == 0.0) {
        let common = raw.iter().flatten().fold(0.0, |one: f64, &other| {
            let (mut one, mut other) = (one, other.abs());
            while other != 0.0 {
                (one, other) = (other, one % other);
            }
            one
        });
        return common.max(1.0);
    }
    let gaps = values.windows(2).filter_map(|two| match *two {
        [one, other] => Some(other - one).filter(|gap| top * 4e-6 < *gap),
        _ => None,
    });
    gaps.fold(top, f64::min)
}

/// Returns one of the last digit that any of the numbers has.
fn digit(values: &[f64]) -> f64 {
    let whole = |tens: i32| {
        let scaled = values.iter().map(|value| value * 10_f64.powi(tens));
        scaled.fold(0.0, |off: f64, value| {
            off.max((value - value.round()).abs())
        }) < 1e-6
    };
    let tens = (0..6).find(|&tens| whole(tens)).unwrap_or(6);
    10_f64.powi(-tens)
}

fn plain(step_grams: f64, shown_unit: MassUnit) -> Option<Plain> {
    let mut units = vec![shown_unit];
    if !units.contains(&MassUnit::Gram) {
        units.push(MassUnit::Gram);
    }
    units.into_iter().find_map(|unit| {
        let step = step_grams / grams_of(unit);
        (-9..=6).find_map(|tens| {
            [(1, 1.0), (2, 2.0), (5, 5.0)]
                .into_iter()
                .find_map(|(digit, value)| {
                    let plain = value * 10_f64.powi(tens);
                    ((step / plain - 1.0).abs() <= PLAIN).then_some(Plain { digit, tens, unit })
                })
        })
    })
}

/// Tells of each frame whether it is no number, or leaps from both neighbours, which agree with each other.
fn leaps(raw: &[Option<f64>], room: f64, top: f64) -> Vec<bool> {
    let leaps = |one: f64, middle: f64, other: f64| {
        let between = (one - other).abs();
        let leap = (middle - one).abs().min((middle - other).abs());
        // Nothing that anybody puts on in passing is many times the weights.
        (room + between) * 1.5 < leap || 8.0 * top < middle.abs()
    };
    let at = |at: Option<usize>| at.and_then(|at| raw.get(at).copied().flatten());
    (0..raw.len())
        .map(
            |here| match (at(here.checked_sub(1)), at(Some(here)), at(Some(here + 1))) {
                (_, None, _) => true,
                (Some(one), Some(middle), Some(other)) => leaps(one, middle, other),
                _ => false,
            },
        )
        .collect()
}

/// Returns how far the numbers go up and down in all, single leaps left out.
fn travel(raw: &[Option<f64>]) -> f64 {
    let known: Vec<f64> = raw.iter().flatten().copied().collect();
    let smooth = known.windows(3).filter_map(|three| match *three {
        [one, middle, other] => Some(one.max(middle).min(one.min(middle).max(other))),
        _ => None,
    });
    let (mut sum, mut last): (f64, Option<f64>) = (0.0, None);
    for now in smooth {
        sum += last.map_or(0.0, |last| (now - last).abs());
        last = Some(now);
    }
    sum
}

/// Returns the mean difference of neighbours while a known weight stands.
fn rough(raw: &[Option<f64>], spans: &[usize], middles: &[(usize, f64, f64)], room: f64) -> f64 {
    let (mut sum, mut count) = (0.0, 0.0);
    for (pair, of) in raw.windows(2).zip(spans.windows(2)) {
        if let ([Some(one), Some(other)], [span, next]) = (pair, of)
            && span == next
            && let Some(&(_, median, _)) = middles.iter().find(|&&(known, ..)| known == *span)
            && (one - median).abs() <= room
            && (other - median).abs() <= room
        {
            sum += (one - other).abs();
            count += 1.0;
        }
    }
    if count == 0.0 { 0.0 } else { sum / count }
}
