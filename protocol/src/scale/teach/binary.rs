//! Candidates of a layout of bits.

use super::checks;
use super::columns::{self, Column};
use super::evidence;
use super::fields;
use super::framing::{Cut, cuts};
use super::lesson::{Lesson, Pan};
use super::numbers::{Fit, Unfit, fit};
use super::states;
use crate::scale::binary::{Check, Form, Number, Order, Scaling};
use crate::scale::profile::Settings;

/// Most leaps of the right number: torn frames and bytes that were disturbed.
const MOST_SPIKES: f64 = 0.06;

/// A layout that may be the scale's.
#[derive(Clone, Debug)]
pub(super) struct Guess {
    pub(super) settings: Settings,
    pub(super) number: Number,
    pub(super) fit: Fit,
    /// The length of its frames, by which fields of one cut are compared.
    pub(super) cut: usize,
    pub(super) checked: bool,
    pub(super) paused: bool,
    /// How many things it supposes.
    pub(super) parts: usize,
    /// How the lowest byte of the number behaves.
    pub(super) low: Low,
    pub(super) evidence: Vec<String>,
}

/// How the lowest byte of a number behaves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Low {
    /// It changes with the weight and is quiet while the weight stands: it belongs to it.
    Belongs,
    /// It changes little at all.
    Unclear,
    /// It runs through all its values while the byte above it stands still.
    Foreign,
}

/// All that was found, and what nearly was.
#[derive(Debug, Default)]
pub(super) struct Found {
    pub(super) guesses: Vec<Guess>,
    pub(super) frames: usize,
    /// A field that goes with the weights by a factor that is no plain one.
    pub(super) uneven: Option<(Number, f64)>,
}

pub(super) fn find(lesson: &Lesson) -> Found {
    let mut found = Found::default();
    for (at, mut cut) in cuts(lesson).into_iter().enumerate() {
        found.frames = found.frames.max(cut.frames.len());
        let mut columns = columns::of(&cut.frames, cut.length, &lesson.spans);
        let check = checks::find(&cut.frames, &columns);
        if let Some(check) = &check {
            // What it refuses was torn or disturbed and teaches nothing.
            cut.frames
                .retain(|frame| check.verify(&frame.bytes).is_ok());
            columns = columns::of(&cut.frames, cut.length, &lesson.spans);
        }
        let look = Look {
            lesson,
            cut: &cut,
            at,
            spans: cut.frames.iter().map(|frame| frame.span).collect(),
            check,
            columns,
        };
        look.over(&mut found);
    }
    found
}

/// A look at the frames of one cut.
pub(super) struct Look<'a> {
    pub(super) lesson: &'a Lesson,
    pub(super) cut: &'a Cut,
    at: usize,
    spans: Vec<usize>,
    pub(super) check: Option<Check>,
    pub(super) columns: Vec<Column>,
}

impl Look<'_> {
    fn over(&self, found: &mut Found) {
        let before = found.guesses.len();
        for number in fields::numbers(&self.columns) {
            if (0..self.cut.length).any(|at| fields::covers(&number, at) && self.checks(at)) {
                continue;
            }
            let row = fields::row(&self.cut.frames, &number);
            match self.fit(&row) {
                Ok(fit) => self.take(
                    number,
                    Scaling::Factor(crate::scale::Factor::ONE),
                    fit,
                    &row,
                    found,
                ),
                Err(Unfit::Uneven(step)) if found.uneven.is_none() => {
                    found.uneven = Some((number, step));
                }
                Err(_) => {}
            }
        }
        let new = found.guesses.split_off(before);
        let plain = new.iter().any(|guess| guess.number.form != Form::Medical);
        // Whole numbers below zero look as if another exponent began there.
        let kept = new.into_iter().filter(|guess| {
            !plain || guess.number.form != Form::Medical || self.exponent_stays(&guess.number)
        });
        found.guesses.extend(kept);
        if found.guesses.len() == before {
            self.shifted(found);
        }
    }

    fn exponent_stays(&self, number: &Number) -> bool {
        let at = match number.order {
            Order::Big => usize::from(number.at),
            Order::Little => usize::from(number.at + number.length - 1),
        };
        let mask = if number.length == 2 { 0xf0 } else { 0xff };
        self.columns
            .get(at)
            .is_some_and(|column| column.changing & mask == 0)
    }

    fn fit(&self, row: &[Option<f64>]) -> Result<Fit, Unfit> {
        fit(row, &self.spans, &self.lesson.spans, self.lesson.unit)
    }

    /// Tries numbers whose decimal point moves with another byte.
    fn shifted(&self, found: &mut Found) {
        let mut points: Vec<Scaling> = Vec::new();
        for (at, column) in self.columns.iter().enumerate() {
            let Ok(at) = u8::try_from(at) else { continue };
            if !(2..=10).contains(&column.values) {
                continue;
            }
            points.push(Scaling::Exponent { at });
            points.extend(
                [0x03, 0x07, 0x0f, 0x30, 0x70, 0xf0, 0xff].map(|mask| Scaling::Decimals {
                    at,
                    mask,
                    none: 0,
                }),
            );
        }
        for number in fields::numbers(&self.columns) {
            if matches!(number.form, Form::Medical | Form::Float) {
                continue;
            }
            let row = fields::row(&self.cut.frames, &number);
            for &scaling in &points {
                let Some(moved) = self.moved(&row, &number, scaling) else {
                    continue;
                };
                let Ok(fit) = self.fit(&moved) else { continue };
                let scaling = match scaling {
                    Scaling::Decimals { at, mask, .. } if fit.plain.digit == 1 => {
                        // Its zero may stand for some decimals already.
                        let Ok(none) = u8::try_from(fit.plain.tens) else {
                            continue;
                        };
                        Scaling::Decimals { at, mask, none }
                    }
                    Scaling::Exponent { .. }
                        if fit.plain.digit == 1 && fit.plain.metric().is_some() =>
                    {
                        scaling
                    }
                    _ => continue,
                };
                self.take(number, scaling, fit, &moved, found);
            }
        }
    }

    fn moved(
        &self,
        row: &[Option<f64>],
        number: &Number,
        scaling: Scaling,
    ) -> Option<Vec<Option<f64>>> {
        let (at, mask, sign) = match scaling {
            Scaling::Exponent { at } => (at, 0xff, 1),
            Scaling::Decimals { at, mask, .. } => (at, mask, -1),
            Scaling::Factor(_) => return None,
        };
        if fields::covers(number, usize::from(at)) {
            return None;
        }
        let mut seen: Vec<i32> = Vec::new();
        let moved: Option<Vec<Option<f64>>> = self
            .cut
            .frames
            .iter()
            .zip(row)
            .map(|(frame, &raw)| {
                let byte = *frame.bytes.get(usize::from(at))?;
                let tens = match sign {
                    1 => i32::from(byte.cast_signed()),
                    _ => -i32::from((byte & mask) >> mask.trailing_zeros().min(7)),
                };
                if !seen.contains(&tens) {
                    seen.push(tens);
                }
                (-6..=6)
                    .contains(&tens)
                    .then(|| raw.map(|raw| fields::decimal(raw, tens)))
            })
            .collect();
        moved.filter(|_| 1 < seen.len())
    }

    fn take(
        &self,
        mut number: Number,
        scaling: Scaling,
        mut fit: Fit,
        row: &[Option<f64>],
        found: &mut Found,
    ) {
        let mut row = row.to_vec();
        let lifted = self.lesson.spans.contains(&Pan::Lifted);
        if number.form.takes_sign() && lifted {
            number.minus = states::minus(
                &self.cut.frames,
                &self.columns,
                &number,
                &self.lesson.spans,
                &row,
            );
            if let Some(minus) = number.minus {
                for (raw, frame) in row.iter_mut().zip(&self.cut.frames) {
                    if fields::holds(minus, &frame.bytes) {
                        *raw = raw.map(|raw| -raw);
                    }
                }
                let Ok(again) = self.fit(&row) else { return };
                fit = again;
            }
        }
        if MOST_SPIKES < fit.spikes || !self.below(&row) {
            return;
        }
        let low = self.low(&number, &row);
        if low == Low::Foreign {
            return;
        }
        let Some(settings) = self.settings(&number, scaling, &fit, &row) else {
            return;
        };
        let evidence = evidence::of_bits(&settings, &fit, self.cut, self.lesson);
        found.guesses.push(Guess {
            parts: usize::from(number.length) * 2
                + form_rank(number.form)
                + usize::from(number.minus.is_some())
                + match scaling {
                    Scaling::Factor(_) => 0,
                    Scaling::Exponent { .. } => 3,
                    Scaling::Decimals { mask, .. } => 3 + usize::from(mask.count_ones() < 3),
                },
            settings,
            number,
            fit,
            cut: self.at,
            checked: self.check.is_some(),
            paused: self.cut.paused,
            low,
            evidence,
        });
    }

    /// Returns whether a lifted pan gives less than nothing.
    fn below(&self, row: &[Option<f64>]) -> bool {
        for (span, _) in self
            .lesson
            .spans
            .iter()
            .enumerate()
            .filter(|&(_, &pan)| pan == Pan::Lifted)
        {
            let of = self.spans.iter().zip(row).filter(|&(&of, _)| of == span);
            let (mut all, mut above) = (0, 0);
            for (_, raw) in of {
                all += 1;
                above += usize::from(raw.is_some_and(|raw| 0.0 < raw));
            }
            if 4 <= all && all < 2 * above {
                return false;
            }
        }
        true
    }

    fn low(&self, number: &Number, row: &[Option<f64>]) -> Low {
        if number.length == 1 || matches!(number.form, Form::Medical | Form::Float) {
            return Low::Belongs;
        }
        let base = if number.form == Form::Bcd {
            100.0
        } else {
            256.0
        };
        if follows(row, base) {
            return Low::Foreign;
        }
        let mut widest: f64 = 0.0;
        let mut quietest = f64::MAX;
        let mut lows: Vec<f64> = Vec::new();
        for (span, pan) in self.lesson.spans.iter().enumerate() {
            if !matches!(pan, Pan::Stands(_)) {
                continue;
            }
            let of = self.spans.iter().zip(row).filter(|&(&of, _)| of == span);
            let mut values: Vec<f64> = of.filter_map(|(_, raw)| *raw).collect();
            if values.len() < 8 {
                continue;
            }
            values.sort_by(f64::total_cmp);
            // The middle of the span, without the way to it and from it.
            let spread = values[values.len() * 3 / 4] - values[values.len() / 4];
            widest = widest.max(spread);
            quietest = quietest.min(spread);
            lows.push(values[values.len() / 2].rem_euclid(base));
        }
        let lowest = lows.iter().copied().fold(f64::MAX, f64::min);
        let highest = lows.iter().copied().fold(0.0, f64::max);
        if base * 0.25 < quietest {
            Low::Foreign
        } else if widest < base * 0.2
            && (base * 0.1 <= highest - lowest || 12 <= different(row, base))
        {
            Low::Belongs
        } else {
            Low::Unclear
        }
    }
}

/// Counts the values that the lowest byte took.
fn different(row: &[Option<f64>], base: f64) -> usize {
    let mut lows: Vec<f64> = row
        .iter()
        .flatten()
        .map(|raw| raw.rem_euclid(base))
        .collect();
    lows.sort_by(f64::total_cmp);
    lows.dedup_by(|one, other| one.total_cmp(other).is_eq());
    lows.len()
}

/// Returns whether the lowest byte rises with all above it, as that of another number beside it would.
fn follows(row: &[Option<f64>], base: f64) -> bool {
    let positive = row.iter().flatten().filter(|&&raw| base < raw);
    let mut pairs: Vec<(f64, f64)> = positive
        .map(|raw| ((raw / base).floor(), raw.rem_euclid(base)))
        .collect();
    pairs.sort_by(|one, other| one.0.total_cmp(&other.0));
    pairs.dedup_by(|one, other| one.0.total_cmp(&other.0).is_eq());
    if pairs.len() < 10 {
        return false;
    }
    let rises = pairs
        .windows(2)
        .filter(|two| matches!(two, [one, other] if one.1 <= other.1));
    pairs.len() * 17 / 20 <= rises.count()
}

const fn form_rank(form: Form) -> usize {
    match form {
        Form::Unsigned => 0,
        Form::Signed => 1,
        Form::SignMagnitude | Form::Bcd => 2,
        Form::Medical => 3,
        Form::Float => 4,
    }
}
