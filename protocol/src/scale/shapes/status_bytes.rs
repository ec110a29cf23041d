//! Three status bytes, six characters of weight, six of tare, between STX and CR.
//!
//! That the decimal point is in the low bits of the first status byte is documented; the other
//! bits are from memory: first byte, bits 0–2 tens to multiply by (0 = ×100, 2 = ×1, 7 =
//! ×0.00001) and 3–4 the step (1, 2 or 5, never 0); second byte, bit 0 net, 1 negative, 2 out
//! of range, 3 moving, 4 kilograms rather than pounds; third byte, bits 0–2 another unit. Bit 5
//! is always set. Status bytes that say no step say nothing, as those of a public question
//! do; point and unit are then told.

use crate::decimal::Decimal;
use crate::mass::MassUnit;
use crate::reading::{Motion, NoWeight, Reading};
use crate::scale::figures::{Amount, Figures, Measured};
use crate::scale::sense::{Kind, Sense, trim};
use crate::scale::why::{Why, scrap};

const FIELD: usize = 6;

pub(super) fn read(body: &[u8], sense: &Sense) -> Result<Reading, Why> {
    let [point, state, unit, fields @ ..] = body else {
        return Err(Why::Unrecognised);
    };
    let statuses = [point, state, unit];
    if fields.len() != 2 * FIELD || statuses.iter().any(|&byte| byte & 0xa0 != 0x20) {
        return Err(Why::Unrecognised);
    }
    let (weight, tare) = fields.split_at(FIELD);
    let bit = |mask: u8| state & mask != 0;
    let negative = bit(0x02);
    if bit(0x04) {
        return Ok(Reading::NoWeight(if negative {
            NoWeight::Under
        } else {
            NoWeight::Over
        }));
    }
    let silent = point & 0x18 == 0;
    let decimals = match (silent, sense.notation.decimals) {
        (false, _) => i8::try_from(point & 0x07).map_or(0, |code| code - 2),
        (true, Some(decimals)) => i8::try_from(decimals).unwrap_or(i8::MAX),
        (true, None) => return Err(Why::NoPoint),
    };
    let unit = match silent {
        true => None,
        false => Some(unit_of(*unit, bit(0x10))?),
    };
    let weight = measured(weight, decimals, negative, unit)?;
    let tare = match trim(tare) {
        [] => None,
        _ => Some(measured(tare, decimals, false, unit)?),
    };
    let kind = match (silent, sense.kind, bit(0x01)) {
        (true, Some(told), _) => told,
        (_, _, true) => Kind::Net,
        (_, _, false) => Kind::Gross,
    };
    let motion = if bit(0x08) {
        Motion::Moving
    } else {
        Motion::Stable
    };
    Figures {
        weight,
        tare,
        kind: Some(kind),
        motion,
    }
    .reading(sense)
}

fn unit_of(byte: u8, kilograms: bool) -> Result<MassUnit, Why> {
    Ok(match byte & 0x07 {
        0 if kilograms => MassUnit::Kilogram,
        0 => MassUnit::Pound,
        1 => MassUnit::Gram,
        3 => MassUnit::Ounce,
        4 => MassUnit::TroyOunce,
        2 => return Err(Why::UnknownUnit(scrap(b"t"))),
        5 => return Err(Why::UnknownUnit(scrap(b"dwt"))),
        6 => return Err(Why::UnknownUnit(scrap(b"ton"))),
        _ => return Err(Why::UnknownUnit(scrap(b"custom unit"))),
    })
}

fn measured(
    field: &[u8],
    decimals: i8,
    negative: bool,
    unit: Option<MassUnit>,
) -> Result<Measured, Why> {
    let digits = trim(field);
    // Blanks pad on the left alone: a blank behind a digit is a torn number.
    if !field.ends_with(digits) || !digits.iter().all(u8::is_ascii_digit) {
        return Err(Why::Unrecognised);
    }
    let number = Decimal::parse(digits, b'.').map_err(|_| Why::Unrecognised)?;
    let tens = 10_i64.pow(u32::from(decimals.min(0).unsigned_abs()));
    let sign = if negative { -1 } else { 1 };
    let scale = decimals.max(0).unsigned_abs();
    let number = Decimal::new(number.mantissa() * tens * sign, scale).ok_or(Why::TooLarge)?;
    Ok(Measured {
        amount: Amount::Number(number),
        unit,
    })
}
