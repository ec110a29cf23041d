//! What an ingredient costs.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};
use tarehand_protocol::{Decimal, Mass};

use crate::ratio::Ratio;
use crate::units::{Quantity, parse_number};

/// A price for a mass: `18.40 EUR per 250 g`.
///
/// In JSON it is written as on the shelf.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub struct Price {
    /// How much money.
    pub money: Decimal,
    /// The currency, three capital letters (ISO 4217), where it is said.
    pub currency: Option<String>,
    /// For how much.
    pub per: Mass,
}

impl Price {
    /// Returns the exact price of a mass, in the price's own currency.
    #[must_use]
    pub fn of(&self, mass: Mass) -> Ratio {
        self.rate().of(&Ratio::from_mass(mass))
    }

    /// Returns it for one microgram.
    #[must_use]
    pub fn rate(&self) -> Rate {
        let money = Ratio::from_decimal(self.money).checked_div(&Ratio::from_mass(self.per));
        Rate {
            money: money.expect("a price is for more than nothing"),
            currency: self.currency.clone(),
        }
    }
}

/// What one microgram costs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rate {
    /// How much money.
    pub money: Ratio,
    /// The currency, three capital letters (ISO 4217), where it is said.
    pub currency: Option<String>,
}

impl Rate {
    /// Returns the exact price of so many micrograms.
    #[must_use]
    pub fn of(&self, micrograms: &Ratio) -> Ratio {
        &self.money * micrograms
    }

    /// Returns what a mix costs, from the prices of its parts and their fractions; `None` while one is not known or
    /// two are in different currencies.
    #[must_use]
    pub fn blend<'r>(
        parts: impl IntoIterator<Item = (Option<&'r Self>, &'r Ratio)>,
    ) -> Option<Self> {
        let mut blend: Option<Self> = None;
        for (rate, fraction) in parts {
            let rate = rate?;
            let blend = blend.get_or_insert_with(|| Self {
                money: Ratio::zero(),
                currency: rate.currency.clone(),
            });
            if blend.currency != rate.currency {
                return None;
            }
            blend.money = &blend.money + &rate.of(fraction);
        }
        blend
    }
}

impl From<Price> for String {
    fn from(price: Price) -> Self {
        price.to_string()
    }
}

impl TryFrom<String> for Price {
    type Error = ParsePriceError;

    fn try_from(text: String) -> Result<Self, Self::Error> {
        text.parse()
    }
}

impl fmt::Display for Price {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.currency {
            Some(currency) => write!(f, "{} {currency} per {}", self.money, self.per),
            None => write!(f, "{} per {}", self.money, self.per),
        }
    }
}

/// Why a text is not a [`Price`].
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ParsePriceError {
    /// No `per`.
    #[error("a price says for how much")]
    NoPer,
    /// No number of money.
    #[error("the money is not a number")]
    Money,
    /// Not a currency.
    #[error("`{0}` is not a currency's three capital letters")]
    Currency(String),
    /// Not a mass.
    #[error("`{0}` is not a mass")]
    Per(String),
}

impl FromStr for Price {
    type Err = ParsePriceError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let (money, per) = text.split_once(" per ").ok_or(ParsePriceError::NoPer)?;
        let (money, currency) = parse_number(money.trim()).map_err(|_| ParsePriceError::Money)?;
        let letters = currency.len() == 3 && currency.bytes().all(|byte| byte.is_ascii_uppercase());
        if !currency.is_empty() && !letters {
            return Err(ParsePriceError::Currency(currency.to_owned()));
        }
        let per = per.trim();
        // `per kg` means per 1 kg.
        let counted = if per.starts_with(|c: char| c.is_ascii_digit()) {
            per.to_owned()
        } else {
            format!("1 {per}")
        };
        let mass = counted.parse::<Quantity>().ok();
        let mass = mass.and_then(|quantity| quantity.mass());
        let mass = mass.filter(|mass| Mass::ZERO < *mass);
        Ok(Self {
            money,
            currency: letters.then(|| currency.to_owned()),
            per: mass.ok_or_else(|| ParsePriceError::Per(per.to_owned()))?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str, mass: Mass, expect: &Ratio) {
        let price: Price = text.parse().unwrap();
        assert_eq!(&price.of(mass), expect, "{text}");
    }

    #[test]
    fn the_price_of_a_pour_is_exact() {
        check(
            "18.40 EUR per 250 g",
            Mass::from_grams(25),
            &Ratio::new(184, 100),
        );
        check("6 per kg", Mass::from_grams(50), &Ratio::new(3, 10));
    }

    #[test]
    fn a_price_without_a_mass_is_refused() {
        assert_eq!("6 EUR".parse::<Price>(), Err(ParsePriceError::NoPer));
        assert_eq!(
            "6 EUR per 100 ml".parse::<Price>(),
            Err(ParsePriceError::Per("100 ml".to_owned()))
        );
        assert_eq!(
            "6 euro per kg".parse::<Price>(),
            Err(ParsePriceError::Currency("euro".to_owned()))
        );
        assert_eq!("x per kg".parse::<Price>(), Err(ParsePriceError::Money));
    }
}
