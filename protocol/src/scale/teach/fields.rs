//! Which bytes of a frame may be a number, in which form.

use super::columns::Column;
use super::framing::Frame;
use crate::scale::binary::{Bits, Form, Number, Order};

/// Returns every number that may stand in the frames: of its bytes at least one changes.
pub(super) fn numbers(columns: &[Column]) -> Vec<Number> {
    let mut numbers = Vec::new();
    for at in 0..columns.len() {
        for (_, form) in Form::NAMES {
            for &length in form.lengths() {
                let Some(taken) = columns.get(at..at + usize::from(length)) else {
                    continue;
                };
                for order in [Order::Big, Order::Little] {
                    let ticks = taken.iter().any(|column| column.ticks);
                    if (length == 1 && order == Order::Little)
                        || ticks
                        || !sensible(taken, order, form)
                    {
                        continue;
                    }
                    let Ok(at) = u8::try_from(at) else { continue };
                    numbers.push(Number {
                        at,
                        length,
                        order,
                        form,
                        minus: None,
                    });
                }
            }
        }
    }
    numbers
}

/// A number's lowest byte changes; whether its high ones belong to it is unknown while they are the same.
fn sensible(taken: &[Column], order: Order, form: Form) -> bool {
    let (low, high) = match order {
        Order::Big => (taken.last(), taken.first()),
        Order::Little => (taken.first(), taken.last()),
    };
    let (Some(low), Some(high)) = (low, high) else {
        return false;
    };
    match form {
        Form::Float => taken.iter().any(|column| !column.is_constant()),
        Form::Medical => low.ever_changes,
        Form::Unsigned | Form::Signed | Form::SignMagnitude | Form::Bcd => {
            low.ever_changes && (taken.len() == 1 || !high.is_constant())
        }
    }
}

/// Reads one number from all frames, as an estimate.
pub(super) fn row(frames: &[Frame], number: &Number) -> Vec<Option<f64>> {
    frames
        .iter()
        .map(|frame| estimate(&frame.bytes, number))
        .collect()
}

fn estimate(frame: &[u8], number: &Number) -> Option<f64> {
    let from = usize::from(number.at);
    let bytes = frame.get(from..from + usize::from(number.length))?;
    let shifted = |bits: u64, &byte: &u8| bits << 8 | u64::from(byte);
    let bits = match number.order {
        Order::Big => bytes.iter().fold(0, shifted),
        Order::Little => bytes.iter().rev().fold(0, shifted),
    };
    let width = u32::from(number.length) * 8;
    let size = estimate_bits(bits, width, number.form)?;
    Some(match number.minus {
        Some(minus) if holds(minus, frame) => -size,
        _ => size,
    })
}

fn estimate_bits(bits: u64, width: u32, form: Form) -> Option<f64> {
    let whole = |whole: i64| i32::try_from(whole).ok().map(f64::from);
    match form {
        Form::Unsigned => u32::try_from(bits).ok().map(f64::from),
        Form::Signed => whole(signed(bits, width)),
        Form::SignMagnitude => {
            let sign = 1 << (width - 1);
            let size = whole(i64::try_from(bits & (sign - 1)).ok()?)?;
            Some(if bits & sign == 0 { size } else { -size })
        }
        Form::Bcd => (0..width).step_by(4).rev().try_fold(0.0, |number, place| {
            let digit = u32::try_from(bits >> place & 0xf).ok()?;
            (digit <= 9).then(|| number * 10.0 + f64::from(digit))
        }),
        Form::Medical => {
            let (mantissa, exponent) = if width == 16 { (12, 4) } else { (24, 8) };
            let tens = i32::try_from(signed(bits >> mantissa, exponent)).ok()?;
            let value = whole(signed(bits, mantissa))?;
            (-9..=6).contains(&tens).then(|| decimal(value, tens))
        }
        Form::Float => {
            let value = match width {
                32 => f64::from(f32::from_bits(u32::try_from(bits).ok()?)),
                _ => f64::from_bits(bits),
            };
            // Far below what any scale tells, or above it: not a number of a scale.
            let sane = value == 0.0 || (1e-7..1e9).contains(&value.abs());
            sane.then_some(value)
        }
    }
}

/// Shifts the decimal point, by a division where that is exact.
pub(super) fn decimal(value: f64, tens: i32) -> f64 {
    if tens < 0 {
        value / 10_f64.powi(-tens)
    } else {
        value * 10_f64.powi(tens)
    }
}

const fn signed(bits: u64, width: u32) -> i64 {
    let unused = u64::BITS - width;
    (bits << unused).cast_signed() >> unused
}

pub(super) fn holds(bits: Bits, frame: &[u8]) -> bool {
    frame
        .get(usize::from(bits.at))
        .is_some_and(|byte| byte & bits.mask == bits.is)
}

/// Returns whether the byte belongs to the number.
pub(super) fn covers(number: &Number, at: usize) -> bool {
    let from = usize::from(number.at);
    (from..from + usize::from(number.length)).contains(&at)
}
