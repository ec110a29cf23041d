//! A decimal number exactly as it was written.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

/// A decimal number with its digits kept: `12.30` stays two decimals long.
///
/// Exact: a whole mantissa and the count of digits after the decimal mark, never a float.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Decimal {
    mantissa: i64,
    scale: u8,
}

/// Why a text is not a [`Decimal`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ParseDecimalError {
    /// There is no digit at all.
    #[error("there is no number")]
    NoDigits,
    /// Something other than a sign, digits and one decimal mark.
    #[error("not a number")]
    NotANumber,
    /// More digits than fit (18 in all).
    #[error("the number has too many digits")]
    TooLong,
}

/// Most digits of a [`Decimal`]: what an `i64` always holds.
pub const MAX_DIGITS: u8 = 18;
const MOST: usize = MAX_DIGITS as usize;

impl Decimal {
    /// Makes `mantissa × 10^-scale`; `None` beyond [`MAX_DIGITS`] decimals.
    #[must_use]
    pub const fn new(mantissa: i64, scale: u8) -> Option<Self> {
        if scale <= MAX_DIGITS {
            Some(Self { mantissa, scale })
        } else {
            None
        }
    }

    /// Returns the digits as a whole number.
    #[must_use]
    pub const fn mantissa(self) -> i64 {
        self.mantissa
    }

    /// Returns how many of the digits stand after the decimal mark.
    #[must_use]
    pub const fn scale(self) -> u8 {
        self.scale
    }

    /// Parses an optional sign, digits and at most one `mark`; nothing else is allowed.
    ///
    /// A number may begin or end with the mark (`.5`, `5.`), as scales send them.
    ///
    /// # Errors
    /// When there is no digit, another byte, a second mark, or more than 18 digits.
    pub fn parse(bytes: &[u8], mark: u8) -> Result<Self, ParseDecimalError> {
        let (negative, digits) = match bytes {
            [b'-', rest @ ..] => (true, rest),
            [b'+', rest @ ..] => (false, rest),
            rest => (false, rest),
        };
        let mut mantissa: i64 = 0;
        let mut seen: u8 = 0;
        let mut decimals: u8 = 0;
        let mut had_digit = false;
        let mut marked = false;
        for &byte in digits {
            match byte {
                b'0'..=b'9' => {
                    had_digit = true;
                    // Leading zeros cost nothing: `000000000000000000000.5` is a padded 0.5.
                    seen += u8::from(mantissa != 0 || byte != b'0' || marked);
                    if MAX_DIGITS < seen {
                        return Err(ParseDecimalError::TooLong);
                    }
                    mantissa = mantissa * 10 + i64::from(byte - b'0');
                    decimals += u8::from(marked);
                }
                _ if byte == mark && !marked => marked = true,
                _ => return Err(ParseDecimalError::NotANumber),
            }
        }
        if !had_digit {
            return Err(ParseDecimalError::NoDigits);
        }
        Ok(Self {
            mantissa: if negative { -mantissa } else { mantissa },
            scale: decimals,
        })
    }

    /// Reads the unsigned number that a text begins with, and returns what stands behind it.
    ///
    /// One pass, for the many lines of a scale; `None` where there is no number, where it has
    /// more than 18 places (padding included), and where another mark follows it.
    #[must_use]
    #[inline]
    pub fn leading(bytes: &[u8]) -> Option<(Self, &[u8])> {
        let (whole, behind) = digits(0, bytes);
        let places = bytes.len() - behind.len();
        let (mantissa, rest, decimals) = match behind {
            [b'.', fraction @ ..] => {
                let (mantissa, rest) = digits(whole, fraction);
                (mantissa, rest, fraction.len() - rest.len())
            }
            _ => (whole, behind, 0),
        };
        if matches!(rest.first(), Some(b'.' | b',')) {
            return None;
        }
        let scale = u8::try_from(decimals).ok()?;
        matches!(places + decimals, 1..=MOST).then_some((Self { mantissa, scale }, rest))
    }
}

/// Appends the digits that `text` begins with to a number; too many of them wrap around.
#[inline]
fn digits(mut number: i64, mut text: &[u8]) -> (i64, &[u8]) {
    while let [digit @ b'0'..=b'9', rest @ ..] = text {
        number = number
            .wrapping_mul(10)
            .wrapping_add(i64::from(digit - b'0'));
        text = rest;
    }
    (number, text)
}

impl FromStr for Decimal {
    type Err = ParseDecimalError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        Self::parse(text.as_bytes(), b'.')
    }
}

impl fmt::Display for Decimal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let scale = usize::from(self.scale);
        let digits = self.mantissa.unsigned_abs().to_string();
        let digits = format!("{digits:0>width$}", width = scale + 1);
        let (whole, part) = digits.split_at(digits.len() - scale);
        let sign = if self.mantissa < 0 { "-" } else { "" };
        if scale == 0 {
            f.pad(&format!("{sign}{whole}"))
        } else {
            f.pad(&format!("{sign}{whole}.{part}"))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str, expect: Result<&str, ParseDecimalError>) {
        assert_eq!(
            text.parse::<Decimal>().map(|number| number.to_string()),
            expect.map(str::to_owned)
        );
    }

    #[test]
    fn digits_are_kept_as_written() {
        check("12.30", Ok("12.30"));
        check("-0.05", Ok("-0.05"));
        check("+007", Ok("7"));
        check(".5", Ok("0.5"));
        check("5.", Ok("5"));
    }

    #[test]
    fn a_number_at_the_front_is_the_same_as_one_alone() {
        for text in ["12.30", "007", ".5", "5.", "0.05", "123456789012345678"] {
            let line = format!("{text} g");
            let expect: Decimal = text.parse().unwrap();
            assert_eq!(
                Decimal::leading(line.as_bytes()),
                Some((expect, &b" g"[..])),
                "{text}"
            );
        }
        for text in ["", ".", "g", "-1", "1,5", "1.2.3", "1234567890123456789"] {
            assert_eq!(Decimal::leading(text.as_bytes()), None, "{text}");
        }
    }

    #[test]
    fn padding_zeros_do_not_count_as_digits() {
        check("0000000000000000000000012.5", Ok("12.5"));
    }

    #[test]
    fn anything_else_is_refused() {
        check("", Err(ParseDecimalError::NoDigits));
        check("-", Err(ParseDecimalError::NoDigits));
        check(".", Err(ParseDecimalError::NoDigits));
        check("1.2.3", Err(ParseDecimalError::NotANumber));
        check("1e3", Err(ParseDecimalError::NotANumber));
        check("--1", Err(ParseDecimalError::NotANumber));
        check("1234567890123456789", Err(ParseDecimalError::TooLong));
    }
}
