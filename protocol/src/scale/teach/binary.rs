//! Candidates of a layout of bits.

use super::checks;
use super::columns::{self, Column, Disturbed};
use super::evidence;
use super::fields;
use super::framing::{Cut, cuts};
use super::lesson::{Lesson, Pan};
use super::low::{Low, low, varied};
use super::numbers::{Fit, Unfit, fit};
use super::states;
use crate::scale::binary::{Check, Form, Number, Order, Scaling};
use crate::scale::profile::Settings;

/// Most leaps of the right number: torn frames and bytes that were disturbed.
const MOST_SPIKES: f64 = 0.06;

/// And of a number of one byte.
const MOST_SPIKES_OF_ONE: f64 = 0.01;
/// A number with fewer leaps than this needs no other explanation.
const FEW_SPIKES: f64 = 0.02;

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
    /// Its bytes took many values, all of them decimal digits.
    pub(super) digits: bool,
    pub(super) evidence: Vec<String>,
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
    for (at, cut) in cuts(lesson).into_iter().enumerate() {
        found.frames = found.frames.max(cut.frames.len());
        let look = Look::new(lesson, cut, at, None);
        let Some(check) = checks::find(&look.cut.frames, &look.columns) else {
            look.over(&mut found);
            continue;
        };
        // What it refuses was torn or disturbed and teaches nothing.
        let mut checked = look.cut.clone();
        checked
            .frames
            .retain(|frame| check.verify(&frame.bytes).is_ok());
        let before = found.guesses.len();
        Look::new(lesson, checked, at, Some(check)).over(&mut found);
        if found.guesses.len() == before {
            // A plain check may be a number that is the sum of others.
            look.over(&mut found);
        }
    }
    found
}

/// A look at the frames of one cut.
pub(super) struct Look<'a> {
    pub(super) lesson: &'a Lesson,
    pub(super) cut: Cut,
    at: usize,
    spans: Vec<usize>,
    pub(super) check: Option<Check>,
    pub(super) columns: Vec<Column>,
}

impl<'a> Look<'a> {
    fn new(lesson: &'a Lesson, cut: Cut, at: usize, check: Option<Check>) -> Self {
        let disturbed = match (check, lesson.packets()) {
            (Some(check), packets) if packets || !check.is_weak() => Disturbed::None,
            (Some(_), _) | (None, true) => Disturbed::Hardly,
            (None, false) => Disturbed::Some,
        };
        Self {
            lesson,
            at,
            spans: cut.frames.iter().map(|frame| frame.span).collect(),
            check,
            columns: columns::of(&cut.frames, cut.length, &lesson.spans, disturbed),
            cut,
        }
    }

    /// Looks at the frames only that do not leap: the others were torn, disturbed or something else.
    fn steady(&self, fit: &Fit) -> Self {
        let frames = self.cut.frames.iter().zip(&fit.leaps);
        let frames = frames.filter(|&(_, &leaps)| !leaps);
        let cut = Cut {
            frames: frames.map(|(frame, _)| frame.clone()).collect(),
            ..self.cut
        };
        Self::new(self.lesson, cut, self.at, self.check)
    }

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
        let good = found.guesses.get(before..).unwrap_or_default();
        let good = good
            .iter()
            .any(|guess| guess.low == Low::Belongs && guess.fit.spikes < FEW_SPIKES);
        if !good {
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

    pub(super) fn fit(&self, row: &[Option<f64>]) -> Result<Fit, Unfit> {
        fit(row, &self.spans, &self.lesson.spans, self.lesson.unit)
    }

    pub(super) fn take(
        &self,
        number: Number,
        scaling: Scaling,
        fit: Fit,
        row: &[Option<f64>],
        found: &mut Found,
    ) {
        // One byte alone may be the lower part of a number that goes round in it.
        let most = match number.length {
            1 => MOST_SPIKES_OF_ONE,
            _ => MOST_SPIKES,
        };
        if most < fit.spikes {
            return;
        }
        let steady = fit.leaps.contains(&true).then(|| self.steady(&fit));
        let look = steady.as_ref().unwrap_or(self);
        let kept = row.iter().zip(&fit.leaps).filter(|&(_, &leaps)| !leaps);
        let kept: Vec<Option<f64>> = kept.map(|(&raw, _)| raw).collect();
        found.guesses.extend(look.guess(number, scaling, fit, kept));
    }

    fn guess(
        &self,
        mut number: Number,
        scaling: Scaling,
        mut fit: Fit,
        mut row: Vec<Option<f64>>,
    ) -> Option<Guess> {
        let moves = match scaling {
            Scaling::Factor(_) => true,
            Scaling::Exponent { at } => self.changes(at, 0xff),
            Scaling::Decimals { at, mask, .. } => self.changes(at, mask),
        };
        if !moves {
            return None;
        }
        if number.form.takes_sign() && self.lesson.spans.contains(&Pan::Lifted) {
            number.minus = states::minus(
                &self.cut.frames,
                &self.columns,
                &number,
                &self.lesson.spans,
                &row,
            );
        }
        if let Some(minus) = number.minus {
            for (raw, frame) in row.iter_mut().zip(&self.cut.frames) {
                if fields::holds(minus, &frame.bytes) {
                    *raw = raw.map(|raw| -raw);
                }
            }
            fit = Fit {
                spikes: fit.spikes,
                ..self.fit(&row).ok()?
            };
        }
        let low = low(&number, &row, &self.spans, &self.lesson.spans);
        if low == Low::Foreign || !self.below(&row) {
            return None;
        }
        let settings = self.settings(&number, scaling, &fit, &row)?;
        let evidence = evidence::of_bits(&settings, &fit, &self.cut, self.lesson);
        Some(Guess {
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
            digits: number.form == Form::Bcd && varied(&row),
            evidence,
        })
    }

    fn changes(&self, at: u8, mask: u8) -> bool {
        let column = self.columns.get(usize::from(at));
        column.is_some_and(|column| column.changing & mask != 0)
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
