//! What the shelf may say of an ingredient as part of a film.

use std::str::FromStr;

use crate::ratio::Ratio;
use crate::units::{Density, Quantity, parse_number};

/// What the shelf may say of an ingredient as part of a film; makers' data sheets state these figures.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FilmData {
    /// The fraction of its weight that is water.
    pub water: Option<Ratio>,
    /// The fraction of its weight that stays when it is dry.
    pub solids: Option<Ratio>,
    /// The density of what stays.
    pub dry_density: Option<Density>,
    /// Says that it is a pigment or filler, and how much oil its surface takes up.
    pub oil_absorption: Option<OilAbsorption>,
}

impl FilmData {
    /// Returns whether it is water and nothing else.
    #[must_use]
    pub fn is_plain_water(&self) -> bool {
        self.water.as_ref() == Some(&Ratio::one())
    }

    /// Returns the fraction of its weight that stays when it is dry; all of a pigment does, and none of water.
    #[must_use]
    pub fn staying(&self) -> Option<Ratio> {
        if self.solids.is_none() && self.oil_absorption.is_some() {
            return Some(Ratio::one());
        }
        if self.solids.is_none() && self.is_plain_water() {
            return Some(Ratio::zero());
        }
        self.solids.clone()
    }
}

/// Grams of oil that a hundred grams of a pigment take up until they are a paste (ISO 787-5).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OilAbsorption(Ratio);

impl OilAbsorption {
    /// Returns the grams of oil for one gram of pigment.
    #[must_use]
    pub const fn per_gram(&self) -> &Ratio {
        &self.0
    }

    /// Makes it from the grams for a hundred grams; `None` for nothing and for more than ten times its weight.
    #[must_use]
    pub fn from_grams_per_hundred(grams: &Ratio) -> Option<Self> {
        let per_gram = grams * &Ratio::new(1, 100);
        (Ratio::zero() < per_gram && per_gram <= Ratio::new(10, 1)).then_some(Self(per_gram))
    }
}

/// A text that is no oil absorption.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("an oil absorption is grams of oil for a hundred grams, as in `20 g per 100 g`")]
pub struct ParseOilAbsorptionError;

impl FromStr for OilAbsorption {
    type Err = ParseOilAbsorptionError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let split = text.split_once(" per ").or_else(|| text.split_once('/'));
        let (oil, pigment) = split.ok_or(ParseOilAbsorptionError)?;
        // `20 g/100g` and `20/100 g` are written too: the unit stands at least once.
        let grams = |text: &str| match parse_number(text.trim()) {
            Ok((number, "")) => Some(&Ratio::from_decimal(number) * &Ratio::new(1_000_000, 1)),
            Ok(_) => text.trim().parse::<Quantity>().ok()?.micrograms(),
            Err(_) => None,
        };
        let (oil, pigment) = (grams(oil), grams(pigment));
        let per_gram = oil
            .zip(pigment)
            .and_then(|(oil, pigment)| oil.checked_div(&pigment));
        per_gram
            .and_then(|per_gram| Self::from_grams_per_hundred(&(&per_gram * &Ratio::new(100, 1))))
            .ok_or(ParseOilAbsorptionError)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_oil_absorption_is_read_however_it_is_printed() {
        for text in ["20 g per 100 g", "20 g/100 g", "20g/100g", "20/100 g"] {
            let read: OilAbsorption = text.parse().unwrap();
            assert_eq!(read.per_gram(), &Ratio::new(1, 5), "{text}");
        }
        for text in [
            "20",
            "20 g",
            "20 per",
            "x per 100 g",
            "20 g per 0 g",
            "20 ml per 100 g",
            "5 kg per 100 g",
        ] {
            assert_eq!(
                text.parse::<OilAbsorption>(),
                Err(ParseOilAbsorptionError),
                "{text}"
            );
        }
    }
}
