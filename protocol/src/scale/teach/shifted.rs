//! Numbers whose decimal point moves with another byte.

use super::binary::{Found, Look};
use super::fields;
use crate::scale::binary::{Form, Number, Scaling};

impl Look<'_> {
    /// Tries numbers whose decimal point moves with another byte.
    pub(super) fn shifted(&self, found: &mut Found) {
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
}
