//! Exact ratios of a recipe.

use std::cmp::Ordering;

use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{Signed, ToPrimitive, Zero};
use serde::{Deserialize, Serialize};
use tarehand_protocol::{Decimal, Mass};

/// An exact rational: a share of a recipe, a percentage, a factor. Never a float.
///
/// In JSON it is written as a fraction in lowest terms, `"2/3"`.
///
/// Most ratios of a recipe are small numbers: those are kept in two machine integers and not put in lowest terms
/// after every step, since finding a common divisor costs more than all the rest. What does not fit goes on as
/// integers of any size; nobody outside sees which it is.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub struct Ratio(Form);

#[derive(Clone, Debug)]
enum Form {
    /// The denominator is above zero.
    Small {
        numerator: i128,
        denominator: i128,
    },
    Big(Box<BigRational>),
}

impl Ratio {
    /// Returns nothing.
    #[must_use]
    pub const fn zero() -> Self {
        Self::small(0, 1)
    }

    /// Returns the whole.
    #[must_use]
    pub const fn one() -> Self {
        Self::small(1, 1)
    }

    /// Makes `numerator / denominator`.
    ///
    /// # Panics
    /// When the denominator is zero: callers have parsed it already.
    #[must_use]
    pub const fn new(numerator: i64, denominator: i64) -> Self {
        assert!(denominator != 0, "a ratio has no denominator of zero");
        let sign = if denominator < 0 { -1 } else { 1 };
        Self::small(numerator as i128 * sign, (denominator as i128).abs())
    }

    const fn small(numerator: i128, denominator: i128) -> Self {
        Self(Form::Small {
            numerator,
            denominator,
        })
    }

    fn big(number: BigRational) -> Self {
        match (number.numer().to_i128(), number.denom().to_i128()) {
            (Some(numerator), Some(denominator)) => Self::small(numerator, denominator),
            _ => Self(Form::Big(Box::new(number))),
        }
    }

    /// Returns it with integers of any size, in lowest terms.
    fn to_big(&self) -> BigRational {
        match &self.0 {
            Form::Small {
                numerator,
                denominator,
            } => BigRational::new(BigInt::from(*numerator), BigInt::from(*denominator)),
            Form::Big(number) => (**number).clone(),
        }
    }

    /// Returns the mass as an exact number of micrograms.
    #[must_use]
    pub const fn from_mass(mass: Mass) -> Self {
        Self::new(mass.micrograms(), 1)
    }

    /// Returns the decimal number exactly.
    #[must_use]
    pub fn from_decimal(number: Decimal) -> Self {
        Self::big(BigRational::new(
            BigInt::from(number.mantissa()),
            BigInt::from(10).pow(u32::from(number.scale())),
        ))
    }

    /// Returns the nearest whole number of billionths; `None` for what is no number.
    ///
    /// For the results of a numerical solver, whose digits beyond that mean nothing.
    #[must_use]
    pub fn from_estimate(number: f64) -> Option<Self> {
        const PARTS: i64 = 1_000_000_000;
        let parts = BigInt::from(PARTS);
        let exact = BigRational::from_float(number)? * BigRational::from_integer(parts.clone());
        Some(Self::big(BigRational::new(
            exact.round().to_integer(),
            parts,
        )))
    }

    /// Returns this many micrograms as a mass, rounded once, half to even; saturates at the ends of `Mass`.
    #[must_use]
    pub fn to_mass(&self) -> Mass {
        let number = self.to_big();
        let floor = number.floor();
        let rest = &number - &floor;
        let half = BigRational::new(BigInt::from(1), BigInt::from(2));
        let floor = floor.to_integer();
        let odd = &floor % BigInt::from(2) != BigInt::zero();
        let up = half < rest || (rest == half && odd);
        let whole = floor + BigInt::from(u8::from(up));
        let limit = if whole < BigInt::zero() {
            i64::MIN
        } else {
            i64::MAX
        };
        Mass::from_micrograms(whole.to_i64().unwrap_or(limit))
    }

    /// Returns the nearest float, for estimates and for JSON.
    #[must_use]
    pub fn to_f64(&self) -> f64 {
        /// Integers up to here are exact as floats, and their quotient is rounded once.
        const EXACT: u128 = 1 << f64::MANTISSA_DIGITS;
        match &self.0 {
            Form::Small {
                numerator,
                denominator,
            } if numerator.unsigned_abs() <= EXACT && denominator.unsigned_abs() <= EXACT => {
                #[expect(
                    clippy::cast_precision_loss,
                    reason = "both are within what a float holds exactly"
                )]
                let quotient = *numerator as f64 / *denominator as f64;
                quotient
            }
            _ => self.to_big().to_f64().unwrap_or(f64::NAN),
        }
    }

    /// Returns a float at most three last places away: quicker than the nearest one, for comparing what is estimated
    /// anyhow.
    #[must_use]
    pub fn estimate(&self) -> f64 {
        match &self.0 {
            Form::Small {
                numerator,
                denominator,
            } => float(*numerator) / float(*denominator),
            Form::Big(number) => number.to_f64().unwrap_or(f64::NAN),
        }
    }

    /// Returns whether this is exactly nothing.
    #[must_use]
    pub fn is_zero(&self) -> bool {
        match &self.0 {
            Form::Small { numerator, .. } => *numerator == 0,
            Form::Big(number) => number.is_zero(),
        }
    }

    /// Returns whether this is less than nothing.
    #[must_use]
    pub fn is_negative(&self) -> bool {
        match &self.0 {
            Form::Small { numerator, .. } => *numerator < 0,
            Form::Big(number) => number.is_negative(),
        }
    }

    /// Returns it without its sign.
    #[must_use]
    pub fn abs(&self) -> Self {
        if self.is_negative() {
            -self
        } else {
            self.clone()
        }
    }

    /// Returns `self / other`, or `None` when `other` is zero.
    #[must_use]
    pub fn checked_div(&self, other: &Self) -> Option<Self> {
        if other.is_zero() {
            return None;
        }
        let small = self.with(other, |a, b, c, d| {
            let sign = c.signum();
            Some((
                a.checked_mul(d * sign)?,
                b.checked_mul(c.checked_mul(sign)?)?,
            ))
        });
        Some(small.unwrap_or_else(|| Self::big(self.to_big() / other.to_big())))
    }

    /// Returns the ratios with one denominator for all of them, so that what is worked out of them stays small.
    #[must_use]
    pub fn on_one_denominator(ratios: &[Self]) -> Vec<Self> {
        let common = |all: Option<i128>, ratio: &Self| match ratio.reduced().0 {
            Form::Small { denominator, .. } => {
                let all = all?;
                all.checked_mul(denominator / divisor(all, denominator))
            }
            Form::Big(_) => None,
        };
        let Some(common) = ratios.iter().fold(Some(1), common) else {
            return ratios.to_vec();
        };
        let onto = |ratio: &Self| match ratio.reduced().0 {
            Form::Small {
                numerator,
                denominator,
            } => numerator
                .checked_mul(common / denominator)
                .map_or_else(|| ratio.clone(), |numerator| Self::small(numerator, common)),
            Form::Big(_) => ratio.clone(),
        };
        ratios.iter().map(onto).collect()
    }

    /// Returns it in lowest terms: the same, but what is worked out of it stays smaller.
    #[must_use]
    pub fn reduced(&self) -> Self {
        match &self.0 {
            Form::Small {
                numerator,
                denominator,
            } => {
                let divisor = divisor(*numerator, *denominator);
                Self::small(numerator / divisor, denominator / divisor)
            }
            // Numbers of any size always are.
            Form::Big(_) => self.clone(),
        }
    }

    /// Works on two small ratios `a/b` and `c/d`; `None` when one is not small or the outcome does not fit.
    ///
    /// What does not fit is tried once more in lowest terms.
    fn with(
        &self,
        other: &Self,
        work: impl Fn(i128, i128, i128, i128) -> Option<(i128, i128)>,
    ) -> Option<Self> {
        let attempt = |one: &Self, other: &Self| match (&one.0, &other.0) {
            (
                Form::Small {
                    numerator: a,
                    denominator: b,
                },
                Form::Small {
                    numerator: c,
                    denominator: d,
                },
            ) => work(*a, *b, *c, *d),
            _ => None,
        };
        attempt(self, other)
            .or_else(|| attempt(&self.reduced(), &other.reduced()))
            .map(|(numerator, denominator)| Self::small(numerator, denominator))
    }
}

/// Returns the number when it has at most 64 bits: most have, and then all is quicker.
#[inline]
fn short(number: i128) -> Option<i64> {
    i64::try_from(number).ok()
}

/// Multiplies; two short numbers always fit.
#[inline]
fn product(one: i128, other: i128) -> Option<i128> {
    match (short(one), short(other)) {
        (Some(one), Some(other)) => Some(i128::from(one) * i128::from(other)),
        _ => one.checked_mul(other),
    }
}

/// Returns the greatest common divisor, above zero.
fn divisor(one: i128, other: i128) -> i128 {
    match (short(one), short(other)) {
        (Some(one), Some(other)) => {
            num_integer::gcd(one.unsigned_abs(), other.unsigned_abs()).into()
        }
        _ => num_integer::gcd(one, other),
    }
}

#[inline]
#[expect(clippy::cast_precision_loss, reason = "the last places are not wanted")]
fn float(number: i128) -> f64 {
    short(number).map_or_else(|| number as f64, |number| number as f64)
}

impl std::ops::Add for &Ratio {
    type Output = Ratio;

    fn add(self, other: Self) -> Ratio {
        let small = self.with(other, |a, b, c, d| {
            if b == d {
                return Some((a.checked_add(c)?, b));
            }
            let sum = product(a, d)?.checked_add(product(c, b)?)?;
            Some((sum, product(b, d)?))
        });
        small.unwrap_or_else(|| Ratio::big(self.to_big() + other.to_big()))
    }
}

impl std::ops::Sub for &Ratio {
    type Output = Ratio;

    fn sub(self, other: Self) -> Ratio {
        self + &-other
    }
}

impl std::ops::Neg for &Ratio {
    type Output = Ratio;

    fn neg(self) -> Ratio {
        match &self.0 {
            Form::Small {
                numerator,
                denominator,
            } => match numerator.checked_neg() {
                Some(numerator) => Ratio::small(numerator, *denominator),
                None => Ratio::big(-self.to_big()),
            },
            Form::Big(number) => Ratio::big(-(**number).clone()),
        }
    }
}

impl std::ops::Mul for &Ratio {
    type Output = Ratio;

    fn mul(self, other: Self) -> Ratio {
        let small = self.with(other, |a, b, c, d| Some((product(a, c)?, product(b, d)?)));
        small.unwrap_or_else(|| Ratio::big(self.to_big() * other.to_big()))
    }
}

macro_rules! of_values {
    ($trait:ident, $method:ident) => {
        impl std::ops::$trait for Ratio {
            type Output = Self;

            fn $method(self, other: Self) -> Self {
                std::ops::$trait::$method(&self, &other)
            }
        }
    };
}

of_values!(Add, add);
of_values!(Sub, sub);
of_values!(Mul, mul);

impl Ord for Ratio {
    fn cmp(&self, other: &Self) -> Ordering {
        if let (
            Form::Small {
                numerator: a,
                denominator: b,
            },
            Form::Small {
                numerator: c,
                denominator: d,
            },
        ) = (&self.0, &other.0)
        {
            if b == d {
                return a.cmp(c);
            }
            if let (Some(left), Some(right)) = (product(*a, *d), product(*c, *b)) {
                return left.cmp(&right);
            }
        }
        self.to_big().cmp(&other.to_big())
    }
}

impl PartialOrd for Ratio {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Ratio {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Ratio {}

impl std::iter::Sum for Ratio {
    fn sum<I: Iterator<Item = Self>>(ratios: I) -> Self {
        ratios.fold(Self::zero(), std::ops::Add::add)
    }
}

impl std::fmt::Display for Ratio {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let number = self.to_big();
        write!(f, "{}/{}", number.numer(), number.denom())
    }
}

impl From<Ratio> for String {
    fn from(ratio: Ratio) -> Self {
        ratio.to_string()
    }
}

/// A text that is not a fraction of whole numbers with a denominator above zero.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not a fraction of two whole numbers")]
pub struct ParseRatioError(String);

impl TryFrom<String> for Ratio {
    type Error = ParseRatioError;

    fn try_from(text: String) -> Result<Self, Self::Error> {
        let parsed = text.split_once('/').and_then(|(numerator, denominator)| {
            let numerator: BigInt = numerator.parse().ok()?;
            let denominator: BigInt = denominator.parse().ok()?;
            (BigInt::zero() < denominator)
                .then(|| Self::big(BigRational::new(numerator, denominator)))
        });
        parsed.ok_or(ParseRatioError(text))
    }
}

#[cfg(test)]
mod tests;
