//! Numbers written in bits.

use super::bits::Bits;
use crate::reading::NoWeight;
use crate::scale::exact::Exact;

/// Which byte of a number comes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Order {
    /// The least one.
    Little,
    /// The greatest one.
    Big,
}

/// How the bits of a number are to be taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// A whole number from zero; 1 to 4 bytes.
    Unsigned,
    /// A whole number in two's complement; 1 to 4 bytes.
    Signed,
    /// The highest bit is the sign, the others the size; 1 to 4 bytes.
    SignMagnitude,
    /// Two decimal digits in each byte; 1 to 6 bytes.
    Bcd,
    /// IEEE 11073-20601: exponent and mantissa, `SFLOAT` in 2 bytes or `FLOAT` in 4.
    Medical,
    /// IEEE 754 in 4 or 8 bytes: the shortest decimal number that stands for it.
    Float,
}

impl Form {
    /// Every form with its name in a profile.
    pub(in crate::scale) const NAMES: [(&'static str, Self); 6] = [
        ("unsigned", Self::Unsigned),
        ("signed", Self::Signed),
        ("sign-magnitude", Self::SignMagnitude),
        ("bcd", Self::Bcd),
        ("medical", Self::Medical),
        ("float", Self::Float),
    ];

    /// Returns how many bytes it may take.
    pub(in crate::scale) const fn lengths(self) -> &'static [u8] {
        match self {
            Self::Unsigned | Self::Signed | Self::SignMagnitude => &[1, 2, 3, 4],
            Self::Bcd => &[1, 2, 3, 4, 5, 6],
            Self::Medical => &[2, 4],
            Self::Float => &[4, 8],
        }
    }

    /// Returns whether its sign may stand elsewhere in the frame.
    pub(in crate::scale) const fn takes_sign(self) -> bool {
        matches!(self, Self::Unsigned | Self::Bcd)
    }
}

/// Where a number stands and how it is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Number {
    /// Its first byte, from 0 at the frame's start.
    pub at: u8,
    /// How many bytes it takes.
    pub length: u8,
    /// Which of them comes first.
    pub order: Order,
    /// How they are to be taken.
    pub form: Form,
    /// Bits that make it negative, where its sign stands elsewhere.
    pub minus: Option<Bits>,
}

/// What a number's bits say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::scale) enum Value {
    Number(Exact),
    NoWeight(NoWeight),
}

impl Number {
    /// Reads it; `None` when the frame is too short or a digit is none.
    pub(super) fn read(&self, frame: &[u8]) -> Option<Value> {
        let from = usize::from(self.at);
        let bytes = frame.get(from..from + usize::from(self.length))?;
        let mut low_first = [0_u8; 8];
        let places = low_first.get_mut(..bytes.len())?;
        places.copy_from_slice(bytes);
        if self.order == Order::Big {
            places.reverse();
        }
        let bits = u64::from_le_bytes(low_first);
        let value = value(bits, self.length, self.form)?;
        let negative = match self.minus {
            Some(minus) => minus.hold(frame)?,
            None => false,
        };
        Some(match value {
            Value::Number(number) if negative => Value::Number(Exact {
                whole: -number.whole,
                ..number
            }),
            value => value,
        })
    }
}

/// Takes so many bytes, the least one lowest.
pub(in crate::scale) fn value(bits: u64, length: u8, form: Form) -> Option<Value> {
    let width = u32::from(length) * 8;
    let whole = |whole: i64| Value::Number(Exact::new(whole, 0));
    Some(match (form, length) {
        (Form::Unsigned, 1..=4) => whole(i64::try_from(bits).ok()?),
        (Form::Signed, 1..=4) => whole(signed(bits, width)),
        (Form::SignMagnitude, 1..=4) => {
            let sign = 1 << (width - 1);
            let size = i64::try_from(bits & (sign - 1)).ok()?;
            whole(if bits & sign == 0 { size } else { -size })
        }
        (Form::Bcd, 1..=6) => whole(packed_digits(bits, width)?),
        (Form::Medical, 2) => medical(bits, 12, 4),
        (Form::Medical, 4) => medical(bits, 24, 8),
        (Form::Float, 4) => {
            let float = f32::from_bits(u32::try_from(bits).ok()?);
            float_value(
                float.is_nan(),
                float.is_sign_negative(),
                &format!("{float:e}"),
            )?
        }
        (Form::Float, 8) => {
            let float = f64::from_bits(bits);
            float_value(
                float.is_nan(),
                float.is_sign_negative(),
                &format!("{float:e}"),
            )?
        }
        _ => return None,
    })
}

/// Takes the lowest `width` bits as two's complement.
pub(in crate::scale) const fn signed(bits: u64, width: u32) -> i64 {
    let unused = u64::BITS.saturating_sub(width);
    if unused == u64::BITS {
        return 0;
    }
    (bits << unused).cast_signed() >> unused
}

fn packed_digits(bits: u64, width: u32) -> Option<i64> {
    let mut number = 0;
    for place in (0..width).step_by(4).rev() {
        let digit = i64::try_from(bits >> place & 0xf).ok()?;
        if 9 < digit {
            return None;
        }
        number = number * 10 + digit;
    }
    Some(number)
}

/// IEEE 11073-20601, 32-bit FLOAT and 16-bit SFLOAT: the exponent above the mantissa, both in
/// two's complement; around the middle of the mantissa's range stand values that are no numbers,
/// with an exponent of zero.
fn medical(bits: u64, mantissa: u32, exponent: u32) -> Value {
    let whole = signed(bits, mantissa);
    let tens = signed(bits >> mantissa, exponent);
    let most = (1_i64 << (mantissa - 1)) - 1;
    if tens == 0 {
        if whole == most - 1 {
            return Value::NoWeight(NoWeight::Over);
        }
        if whole == -(most - 1) {
            return Value::NoWeight(NoWeight::Under);
        }
        // Not a number, not at this resolution, and the one reserved.
        if whole == most || whole == -most || whole < -most {
            return Value::NoWeight(NoWeight::Fault);
        }
    }
    let tens = i32::try_from(tens).unwrap_or(0);
    Value::Number(Exact::new(whole, tens))
}

/// Takes a float by the shortest digits that stand for it and no other, as `-1.23e-4`.
///
/// A scale that sends the float nearest to 12.3 means 12.3; from here on it is exact.
fn float_value(not_a_number: bool, negative: bool, text: &str) -> Option<Value> {
    if not_a_number {
        return Some(Value::NoWeight(NoWeight::Fault));
    }
    let Some((digits, tens)) = text.split_once('e') else {
        return Some(Value::NoWeight(match negative {
            false => NoWeight::Over,
            true => NoWeight::Under,
        }));
    };
    let tens: i32 = tens.parse().ok()?;
    let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
    let decimals = i32::try_from(part.len()).ok()?;
    let whole: i64 = format!("{whole}{part}").parse().ok()?;
    Some(Value::Number(Exact::new(whole, tens - decimals)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(form: Form, bytes: &[u8], expect: Option<&str>) {
        for order in [Order::Little, Order::Big] {
            let mut frame = vec![0xaa];
            frame.extend_from_slice(bytes);
            if order == Order::Little {
                frame[1..].reverse();
            }
            let number = Number {
                at: 1,
                length: u8::try_from(bytes.len()).unwrap(),
                order,
                form,
                minus: None,
            };
            let got = number.read(&frame).map(|value| match value {
                Value::Number(number) => number.decimal().unwrap().to_string(),
                Value::NoWeight(state) => format!("{state:?}"),
            });
            assert_eq!(got.as_deref(), expect, "{form:?} {bytes:02x?}");
        }
    }

    #[test]
    fn whole_numbers_are_read_in_either_order() {
        check(Form::Unsigned, &[0xff], Some("255"));
        check(Form::Unsigned, &[0x01, 0x00, 0x02], Some("65538"));
        check(Form::Unsigned, &[0xff; 4], Some("4294967295"));
        check(Form::Signed, &[0xff, 0xfe], Some("-2"));
        check(Form::Signed, &[0x80, 0, 0, 0], Some("-2147483648"));
        check(Form::Signed, &[0x7f, 0xff, 0xff], Some("8388607"));
        check(Form::SignMagnitude, &[0x80, 0x02], Some("-2"));
        check(Form::SignMagnitude, &[0x80, 0x00], Some("0"));
        check(Form::SignMagnitude, &[0x00, 0x02], Some("2"));
    }

    // wire.md, line 7: `BB 00 35 50` holds 3.550 as packed digits.
    #[test]
    fn packed_digits_are_digits_or_nothing() {
        check(Form::Bcd, &[0x00, 0x35, 0x50], Some("3550"));
        check(
            Form::Bcd,
            &[0x12, 0x34, 0x56, 0x78, 0x90, 0x12],
            Some("123456789012"),
        );
        check(Form::Bcd, &[0x00, 0x3a], None);
    }

    // IEEE 11073-20601, special values; 72 × 10^-1 and 36.4 are the Bluetooth Health Thermometer's own examples.
    #[test]
    fn medical_floats_have_states() {
        check(Form::Medical, &[0x07, 0xff], Some("Fault"));
        check(Form::Medical, &[0x08, 0x00], Some("Fault"));
        check(Form::Medical, &[0x08, 0x01], Some("Fault"));
        check(Form::Medical, &[0x07, 0xfe], Some("Over"));
        check(Form::Medical, &[0x08, 0x02], Some("Under"));
        check(Form::Medical, &[0x00, 0x72], Some("114"));
        check(Form::Medical, &[0xf0, 0x48], Some("7.2"));
        check(Form::Medical, &[0xef, 0xff], Some("-0.01"));
        check(Form::Medical, &[0xff, 0x00, 0x01, 0x6c], Some("36.4"));
        check(Form::Medical, &[0x00, 0x7f, 0xff, 0xff], Some("Fault"));
        check(Form::Medical, &[0x00, 0x80, 0x00, 0x00], Some("Fault"));
        check(Form::Medical, &[0x00, 0x80, 0x00, 0x01], Some("Fault"));
        check(Form::Medical, &[0x00, 0x7f, 0xff, 0xfe], Some("Over"));
        check(Form::Medical, &[0x00, 0x80, 0x00, 0x02], Some("Under"));
        check(Form::Medical, &[0xfe, 0xff, 0xff, 0xff], Some("-0.01"));
        check(Form::Medical, &[0x02, 0x00, 0x00, 0x03], Some("300"));
    }

    #[test]
    fn a_float_is_the_number_its_sender_meant() {
        check(Form::Float, &12.3_f32.to_be_bytes(), Some("12.3"));
        check(Form::Float, &(-1_230.1_f32).to_be_bytes(), Some("-1230.1"));
        check(Form::Float, &0.1_f64.to_be_bytes(), Some("0.1"));
        check(Form::Float, &(-0.0_f32).to_be_bytes(), Some("0"));
        check(Form::Float, &f32::NAN.to_be_bytes(), Some("Fault"));
        check(Form::Float, &f64::NAN.to_be_bytes(), Some("Fault"));
        check(Form::Float, &f32::INFINITY.to_be_bytes(), Some("Over"));
        check(Form::Float, &f64::NEG_INFINITY.to_be_bytes(), Some("Under"));
    }

    #[test]
    fn a_sign_may_stand_elsewhere() {
        let minus = Bits {
            at: 0,
            mask: 0x20,
            is: 0x20,
        };
        let number = Number {
            at: 1,
            length: 1,
            order: Order::Big,
            form: Form::Bcd,
            minus: Some(minus),
        };
        assert_eq!(
            number.read(&[0x21, 0x42]),
            Some(Value::Number(Exact::new(-42, 0)))
        );
        assert_eq!(
            number.read(&[0x01, 0x42]),
            Some(Value::Number(Exact::new(42, 0)))
        );
        assert_eq!(number.read(&[0x01]), None);
    }
}
