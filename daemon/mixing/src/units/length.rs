//! Lengths and areas of what is poured on.

use std::str::FromStr;

use super::{ParseQuantityError, parse_number};
use crate::ratio::Ratio;

/// A length. Exact: a rational number of millimetres, above zero.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Length(Ratio);

/// An area. Exact: a rational number of square millimetres, above zero.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Area(Ratio);

/// Millimetres in each unit; the inch is 25.4 mm and the foot 304.8 mm by definition.
const UNITS: [(&str, i64); 5] = [
    ("mm", 10),
    ("cm", 100),
    ("m", 10_000),
    ("in", 254),
    ("ft", 3_048),
];

/// What the figures of [`UNITS`] are divided by.
const PER_MM: i64 = 10;

impl Length {
    /// Makes a length of so many millimetres; `None` unless it is above zero.
    #[must_use]
    pub fn from_mm(mm: Ratio) -> Option<Self> {
        (Ratio::zero() < mm).then_some(Self(mm))
    }

    /// Returns the exact millimetres.
    #[must_use]
    pub const fn mm(&self) -> &Ratio {
        &self.0
    }
}

impl Area {
    /// Makes an area of so many square millimetres; `None` unless it is above zero.
    #[must_use]
    pub fn from_mm2(mm2: Ratio) -> Option<Self> {
        (Ratio::zero() < mm2).then_some(Self(mm2))
    }

    /// Returns the exact square millimetres.
    #[must_use]
    pub const fn mm2(&self) -> &Ratio {
        &self.0
    }
}

/// Why a text is not a [`Length`] or an [`Area`].
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ParseLengthError {
    /// No number before the unit.
    #[error(transparent)]
    Number(ParseQuantityError),
    /// A number alone, or a unit this program does not know.
    #[error("`{found}` is not a unit of {what}; known are {known}")]
    Unit {
        /// What stood there.
        found: String,
        /// `length` or `area`.
        what: &'static str,
        /// What would be right.
        known: &'static str,
    },
    /// Zero, less, or a square kilometre.
    #[error("a {0} lies above zero and below a kilometre")]
    OutOfRange(&'static str),
}

/// The most of either: a kilometre or its square, so that no product leaves what can be weighed.
const MOST_MM: i64 = 1_000_000;

impl FromStr for Length {
    type Err = ParseLengthError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let (number, unit) = parse_number(text.trim()).map_err(ParseLengthError::Number)?;
        let unit = UNITS
            .iter()
            .find(|(word, _)| *word == unit)
            .ok_or_else(|| ParseLengthError::Unit {
                found: unit.to_owned(),
                what: "length",
                known: "mm, cm, m, in and ft",
            })?;
        let mm = &Ratio::from_decimal(number) * &Ratio::new(unit.1, PER_MM);
        Self::from_mm(mm)
            .filter(|length| *length.mm() < Ratio::new(MOST_MM, 1))
            .ok_or(ParseLengthError::OutOfRange("length"))
    }
}

impl FromStr for Area {
    type Err = ParseLengthError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let (number, unit) = parse_number(text.trim()).map_err(ParseLengthError::Number)?;
        let of_length = unit.strip_suffix('2').or_else(|| unit.strip_suffix('²'));
        let found = of_length.and_then(|unit| UNITS.iter().find(|(word, _)| *word == unit));
        let (_, tenths) = found.ok_or_else(|| ParseLengthError::Unit {
            found: unit.to_owned(),
            what: "area",
            known: "mm2, cm2, m2, in2 and ft2",
        })?;
        let side = Ratio::new(*tenths, PER_MM);
        let mm2 = &Ratio::from_decimal(number) * &(&side * &side);
        Self::from_mm2(mm2)
            .filter(|area| *area.mm2() < Ratio::new(MOST_MM * MOST_MM, 1))
            .ok_or(ParseLengthError::OutOfRange("area"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn length(text: &str, expect: &Result<Ratio, String>) {
        let mm = text.parse::<Length>().map(|length| length.mm().clone());
        assert_eq!(mm.map_err(|error| error.to_string()), *expect, "{text}");
    }

    // The inch of 25.4 mm: exact by definition; the same figure as PyPI `pint` gives.
    #[test]
    fn a_length_is_exact_in_every_unit() {
        length("1.5 in", &Ok(Ratio::new(381, 10)));
        length("1ft", &Ok(Ratio::new(3_048, 10)));
        length("30 cm", &Ok(Ratio::new(300, 1)));
        length("0.4 m", &Ok(Ratio::new(400, 1)));
    }

    #[test]
    fn an_area_is_the_square_of_its_unit() {
        let area: Area = "25 in2".parse().unwrap();
        assert_eq!(area.mm2(), &Ratio::new(16_129, 1));
        let area: Area = "0.5 m²".parse().unwrap();
        assert_eq!(area.mm2(), &Ratio::new(500_000, 1));
    }

    #[test]
    fn what_is_no_length_is_refused_with_what_would_be_right() {
        let unit = "is not a unit of length; known are mm, cm, m, in and ft";
        length("30", &Err(format!("`` {unit}")));
        length("30 cm2", &Err(format!("`cm2` {unit}")));
        length(
            "0 cm",
            &Err("a length lies above zero and below a kilometre".to_owned()),
        );
        length(
            "2000 m",
            &Err("a length lies above zero and below a kilometre".to_owned()),
        );
        length(
            "-3 cm",
            &Err("an amount must be more than nothing".to_owned()),
        );
    }
}
