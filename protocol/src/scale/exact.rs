//! A number of bits and bytes, exact until it is rounded once.

use std::fmt;
use std::str::FromStr;

use super::sense::Kind;
use super::why::Why;
use crate::decimal::{Decimal, MAX_DIGITS};
use crate::mass::{Mass, MassUnit};
use crate::reading::{Basis, Motion, Reading, Sent, Weighed};

/// What a raw number is multiplied by: an exact fraction above zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Factor {
    numerator: i64,
    denominator: i64,
}

impl Factor {
    /// The number as it is.
    pub const ONE: Self = Self {
        numerator: 1,
        denominator: 1,
    };

    /// Largest numerator and denominator.
    pub const LIMIT: i64 = 1_000_000_000;

    /// Makes a fraction in its lowest terms; `None` unless both parts are from 1 to [`Self::LIMIT`].
    #[must_use]
    pub const fn new(numerator: i64, denominator: i64) -> Option<Self> {
        if numerator < 1 || denominator < 1 || Self::LIMIT < numerator || Self::LIMIT < denominator
        {
            return None;
        }
        let (mut greater, mut less) = (numerator, denominator);
        while less != 0 {
            (greater, less) = (less, greater % less);
        }
        Some(Self {
            numerator: numerator / greater,
            denominator: denominator / greater,
        })
    }

    /// Returns the fraction as a whole number and how many of its digits are decimals, if it has an end.
    fn digits(self) -> Option<(i64, i32)> {
        let mut tens: i64 = 1;
        for decimals in 0..=i32::from(MAX_DIGITS) {
            if tens % self.denominator == 0 {
                let digits = self.numerator.checked_mul(tens / self.denominator)?;
                return Some((digits, decimals));
            }
            tens = tens.checked_mul(10)?;
        }
        None
    }
}

/// `3/7`, or `3` for a whole number.
impl fmt::Display for Factor {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.denominator {
            1 => write!(f, "{}", self.numerator),
            denominator => write!(f, "{}/{denominator}", self.numerator),
        }
    }
}

impl FromStr for Factor {
    type Err = &'static str;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        const EXAMPLE: &str =
            "write a number above zero, for example `0.005` or `1/200`, with at most nine digits";
        let parts = match text.split_once('/') {
            Some((numerator, denominator)) => {
                let part = |text: &str| text.trim().parse::<i64>().map_err(|_| EXAMPLE);
                (part(numerator)?, part(denominator)?)
            }
            None => {
                let number: Decimal = text.trim().parse().map_err(|_| EXAMPLE)?;
                let tens = 10_i64.checked_pow(u32::from(number.scale()));
                (number.mantissa(), tens.ok_or(EXAMPLE)?)
            }
        };
        Self::new(parts.0, parts.1).ok_or(EXAMPLE)
    }
}

/// `whole × 10^tens × factor`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Exact {
    pub(super) whole: i64,
    pub(super) tens: i32,
    pub(super) factor: Factor,
}

impl Exact {
    pub(super) const fn new(whole: i64, tens: i32) -> Self {
        Self {
            whole,
            tens,
            factor: Factor::ONE,
        }
    }

    /// Returns the number with its digits as sent, where they fit.
    pub(super) fn decimal(self) -> Option<Decimal> {
        let (digits, decimals) = self.factor.digits()?;
        let mut whole = i128::from(self.whole) * i128::from(digits);
        let mut tens = self.tens.checked_sub(decimals)?;
        if whole == 0 {
            tens = tens.clamp(-i32::from(MAX_DIGITS), 0);
        }
        while whole != 0 && whole % 10 == 0 && tens < -i32::from(MAX_DIGITS) {
            whole /= 10;
            tens += 1;
        }
        let whole = match u32::try_from(tens) {
            Ok(zeros) => whole.checked_mul(10_i128.checked_pow(zeros)?)?,
            Err(_) => whole,
        };
        let scale = u8::try_from(tens.min(0).unsigned_abs()).ok()?;
        Decimal::new(i64::try_from(whole).ok()?, scale)
    }

    /// Returns the mass, rounded once, half to even.
    fn mass(self, unit: MassUnit) -> Option<Mass> {
        /// More decimals than any number here has figures before the microgram.
        const TINY: u32 = 28;
        let (micrograms, per) = unit.micrograms();
        let numerator = i128::from(self.whole)
            .checked_mul(i128::from(self.factor.numerator))?
            .checked_mul(i128::from(micrograms))?;
        let denominator = i128::from(self.factor.denominator) * i128::from(per);
        let mass = match u32::try_from(self.tens) {
            _ if numerator == 0 => Some(Mass::ZERO),
            Ok(zeros) => {
                let tens = 10_i128.checked_pow(zeros)?;
                Mass::from_ratio(numerator.checked_mul(tens)?, denominator)
            }
            Err(_) => {
                let decimals = self.tens.unsigned_abs();
                let tens = 10_i128.pow(decimals.min(TINY));
                let rounded = denominator
                    .checked_mul(tens)
                    .and_then(|denominator| Mass::from_ratio(numerator, denominator));
                match rounded {
                    Some(_) if TINY < decimals => Some(Mass::ZERO),
                    None if TINY <= decimals => Some(Mass::ZERO),
                    rounded => rounded,
                }
            }
        };
        mass.filter(|mass| mass.abs() <= Mass::LIMIT)
    }

    /// Makes a reading of a number in a unit.
    pub(super) fn reading(
        self,
        unit: MassUnit,
        kind: Option<Kind>,
        motion: Motion,
    ) -> Result<Reading, Why> {
        let gross = self.mass(unit).ok_or(Why::TooLarge)?;
        let sent = match self.decimal() {
            Some(number) => Sent::Single(number, unit),
            // A number that no digits can say, such as a third, is what it was rounded to.
            None => {
                let number = Decimal::new(gross.micrograms(), 6).ok_or(Why::TooLarge)?;
                Sent::Single(number, MassUnit::Gram)
            }
        };
        Ok(Reading::Weight(Weighed {
            gross,
            sent,
            basis: match kind {
                Some(Kind::Net) => Basis::Relative,
                Some(Kind::Gross) | None => Basis::Gross,
            },
            motion,
        }))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[track_caller]
    fn check(whole: i64, tens: i32, factor: &str, expect: Option<(&str, i64)>) {
        let exact = Exact {
            whole,
            tens,
            factor: factor.parse().unwrap(),
        };
        let got = exact.reading(MassUnit::Gram, None, Motion::Unknown).ok();
        let got = got.map(|reading| match reading {
            Reading::Weight(Weighed {
                gross,
                sent: Sent::Single(number, _),
                ..
            }) => (number.to_string(), gross.micrograms()),
            other => panic!("{other:?}"),
        });
        let expect = expect.map(|(number, mass)| (number.to_owned(), mass));
        assert_eq!(got, expect);
    }

    #[test]
    fn digits_are_kept_and_a_mass_is_rounded_once() {
        check(1_234, -2, "1", Some(("12.34", 12_340_000)));
        check(500, 0, "0.005", Some(("2.500", 2_500_000)));
        check(500, 0, "1/200", Some(("2.500", 2_500_000)));
        check(12, 2, "1", Some(("1200", 1_200_000_000)));
        check(1, 0, "1/3", Some(("0.333333", 333_333)));
        // Half a microgram goes to the even side, and is rounded in one step: 0.5000001 goes up.
        check(5, -7, "1", Some(("0.0000005", 0)));
        check(15, -7, "1", Some(("0.0000015", 2)));
        check(5_000_001, -13, "1", Some(("0.0000005000001", 1)));
    }

    #[test]
    fn the_ends_of_an_exponent_neither_overflow_nor_round_up() {
        check(i64::MAX, 127, "1", None);
        check(7, -128, "1", Some(("0.000000", 0)));
        check(0, 127, "1", Some(("0", 0)));
        check(70, -19, "1", Some(("0.000000000000000007", 0)));
        check(1, 10, "1", None);
    }

    #[test]
    fn a_factor_is_above_zero() {
        for text in ["0", "-1", "1/0", "x", "1/-2", "0/3", "12345678901"] {
            assert!(text.parse::<Factor>().is_err(), "{text}");
        }
        assert_eq!("2/4".parse::<Factor>().unwrap().to_string(), "1/2");
    }

    proptest! {
        #[test]
        fn what_was_sent_is_the_mass(whole: i64, tens in -130_i32..130, over in 1_i64..2_000, under in 1_i64..2_000) {
            let exact = Exact { whole, tens, factor: Factor::new(over, under).unwrap() };
            for unit in MassUnit::ALL {
                if let Ok(Reading::Weight(weighed)) = exact.reading(unit, None, Motion::Unknown) {
                    prop_assert_eq!(weighed.sent.mass(), Some(weighed.gross));
                }
            }
        }
    }
}
