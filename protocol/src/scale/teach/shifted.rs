//! Numbers whose decimal point moves with another byte.

use super::binary::{Found, Look};
use super::fields;
use crate::scale::binary::{Form, Scaling};

/// Where the decimal point may be told.
struct Point {
    scaling: Scaling,
    at: u8,
    /// By how many tens each frame shifts it; `None` where no scale would.
    tens: Vec<Option<i32>>,
}

impl Look<'_> {
    /// Tries numbers whose decimal point moves with another byte.
    pub(super) fn shifted(&self, found: &mut Found) {
        let points = self.points();
        if points.is_empty() {
            return;
        }
        for number in fields::numbers(&self.columns) {
            if matches!(number.form, Form::Medical | Form::Float) {
                continue;
            }
            let row = fields::row(&self.cut.frames, &number);
            for point in &points {
                if fields::covers(&number, usize::from(point.at)) {
                    continue;
                }
                let moved = row.iter().zip(&point.tens);
                let moved: Vec<Option<f64>> = moved
                    .map(|(raw, tens)| Some(fields::decimal((*raw)?, (*tens)?)))
                    .collect();
                let Ok(fit) = self.fit(&moved) else { continue };
                let scaling = match point.scaling {
                    Scaling::Decimals { at, mask, .. } if fit.plain.digit == 1 => {
                        // Its zero may stand for some decimals already.
                        let Ok(none) = u8::try_from(fit.plain.tens) else {
                            continue;
                        };
                        Scaling::Decimals { at, mask, none }
                    }
                    scaling @ Scaling::Exponent { .. }
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

    /// Returns every way to take some bits of a byte for a point, those only once that always say the same.
    fn points(&self) -> Vec<Point> {
        let mut points: Vec<Point> = Vec::new();
        for (at, column) in self.columns.iter().enumerate() {
            let Ok(at) = u8::try_from(at) else { continue };
            if !(2..=10).contains(&column.values) || column.ticks {
                continue;
            }
            let masks = [0x0f, 0x07, 0x03, 0xf0, 0x70, 0x30, 0xff];
            let decimals = masks.map(|mask| Scaling::Decimals { at, mask, none: 0 });
            for scaling in std::iter::once(Scaling::Exponent { at }).chain(decimals) {
                let tens = self.cut.frames.iter();
                let tens =
                    tens.map(|frame| Some(tens_of(scaling, *frame.bytes.get(usize::from(at))?)));
                let tens: Vec<Option<i32>> = tens
                    .map(|tens| tens.flatten().filter(|tens| (-6..=6).contains(tens)))
                    .collect();
                let moves = tens.iter().any(|one| Some(one) != tens.first());
                if moves && points.iter().all(|known| known.tens != tens) {
                    points.push(Point { scaling, at, tens });
                }
            }
        }
        points
    }
}

fn tens_of(scaling: Scaling, byte: u8) -> Option<i32> {
    match scaling {
        Scaling::Exponent { .. } => Some(i32::from(byte.cast_signed())),
        Scaling::Decimals { mask, .. } => {
            Some(-i32::from((byte & mask) >> mask.trailing_zeros().min(7)))
        }
        Scaling::Factor(_) => None,
    }
}
