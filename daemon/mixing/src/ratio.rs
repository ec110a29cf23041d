//! Exact ratios of a recipe.

use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{ToPrimitive, Zero};
use serde::{Deserialize, Serialize};
use tarehand_protocol::{Decimal, Mass};

/// An exact rational: a share of a recipe, a percentage, a factor. Never a float.
///
/// In JSON it is written as a fraction, `"2/3"`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub struct Ratio(BigRational);

impl Ratio {
    /// Returns nothing.
    #[must_use]
    pub fn zero() -> Self {
        Self(BigRational::zero())
    }

    /// Returns the whole.
    #[must_use]
    pub fn one() -> Self {
        Self::new(1, 1)
    }

    /// Makes `numerator / denominator`.
    ///
    /// # Panics
    /// When the denominator is zero: callers have parsed it already.
    #[must_use]
    pub fn new(numerator: i64, denominator: i64) -> Self {
        Self(BigRational::new(
            BigInt::from(numerator),
            BigInt::from(denominator),
        ))
    }

    /// Returns the mass as an exact number of micrograms.
    #[must_use]
    pub fn from_mass(mass: Mass) -> Self {
        Self::new(mass.micrograms(), 1)
    }

    /// Returns the decimal number exactly.
    #[must_use]
    pub fn from_decimal(number: Decimal) -> Self {
        Self(BigRational::new(
            BigInt::from(number.mantissa()),
            BigInt::from(10).pow(u32::from(number.scale())),
        ))
    }

    /// Returns this many micrograms as a mass, rounded once, half to even; saturates at the ends of `Mass`.
    #[must_use]
    pub fn to_mass(&self) -> Mass {
        let floor = self.0.floor();
        let rest = &self.0 - &floor;
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
        self.0.to_f64().unwrap_or(f64::NAN)
    }

    /// Returns whether this is exactly nothing.
    #[must_use]
    pub fn is_zero(&self) -> bool {
        self.0.is_zero()
    }

    /// Returns `self / other`, or `None` when `other` is zero.
    #[must_use]
    pub fn checked_div(&self, other: &Self) -> Option<Self> {
        if other.is_zero() {
            None
        } else {
            Some(Self(&self.0 / &other.0))
        }
    }
}

macro_rules! operator {
    ($trait:ident, $method:ident) => {
        impl std::ops::$trait for &Ratio {
            type Output = Ratio;

            fn $method(self, other: Self) -> Ratio {
                Ratio(std::ops::$trait::$method(&self.0, &other.0))
            }
        }

        impl std::ops::$trait for Ratio {
            type Output = Self;

            fn $method(self, other: Self) -> Self {
                Self(std::ops::$trait::$method(self.0, other.0))
            }
        }
    };
}

operator!(Add, add);
operator!(Sub, sub);
operator!(Mul, mul);

impl std::iter::Sum for Ratio {
    fn sum<I: Iterator<Item = Self>>(ratios: I) -> Self {
        ratios.fold(Self::zero(), std::ops::Add::add)
    }
}

impl std::fmt::Display for Ratio {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}/{}", self.0.numer(), self.0.denom())
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
            (BigInt::zero() < denominator).then(|| Self(BigRational::new(numerator, denominator)))
        });
        parsed.ok_or(ParseRatioError(text))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thirds_add_up_to_exactly_one() {
        let third = Ratio::new(1, 3);
        assert_eq!(&(&third + &third) + &third, Ratio::one());
    }

    #[test]
    fn masses_are_rounded_once_half_to_even() {
        assert_eq!(Ratio::new(5, 2).to_mass(), Mass::from_micrograms(2));
        assert_eq!(Ratio::new(7, 2).to_mass(), Mass::from_micrograms(4));
        assert_eq!(Ratio::new(-5, 2).to_mass(), Mass::from_micrograms(-2));
    }

    #[test]
    fn a_fraction_survives_json() {
        let ratio = Ratio::new(2, 3);
        let text = serde_json::to_string(&ratio).unwrap();
        assert_eq!(text, "\"2/3\"");
        assert_eq!(serde_json::from_str::<Ratio>(&text).unwrap(), ratio);
        assert!(serde_json::from_str::<Ratio>("\"2/0\"").is_err());
    }
}
