//! A number with a unit of mass, volume or count, exactly as written.

use std::fmt;
use std::str::FromStr;

use tarehand_protocol::{Decimal, Mass, MassUnit};

use super::VolumeUnit;
use crate::diagnostic::nearest;
use crate::procedure::CountUnit;
use crate::ratio::Ratio;

/// What a number in a recipe counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// Weighed.
    Mass(MassUnit),
    /// Measured by volume, weighed through the density.
    Volume(VolumeUnit),
    /// Counted: drops and spoons.
    Count(CountUnit),
}

/// Every unit that may stand behind a number, as written in files.
const WORDS: [(&str, Measure); 11] = [
    ("g", Measure::Mass(MassUnit::Gram)),
    ("kg", Measure::Mass(MassUnit::Kilogram)),
    ("mg", Measure::Mass(MassUnit::Milligram)),
    ("oz", Measure::Mass(MassUnit::Ounce)),
    ("lb", Measure::Mass(MassUnit::Pound)),
    ("ml", Measure::Volume(VolumeUnit::Millilitre)),
    ("l", Measure::Volume(VolumeUnit::Litre)),
    ("tsp", Measure::Count(CountUnit::Teaspoon)),
    ("tbsp", Measure::Count(CountUnit::Tablespoon)),
    ("fl-oz", Measure::Volume(VolumeUnit::FluidOunce)),
    ("drops", Measure::Count(CountUnit::Drop)),
];

impl Measure {
    /// Returns the measure a word stands for.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        let word = match word {
            "drop" => "drops",
            "mL" => "ml",
            "L" => "l",
            other => other,
        };
        let found = WORDS.iter().find(|(known, _)| *known == word);
        found.map(|&(_, measure)| measure)
    }

    /// Returns the word it is written with.
    #[must_use]
    pub fn word(self) -> &'static str {
        let found = WORDS.iter().find(|&&(_, measure)| measure == self);
        found.map_or("ct", |&(word, _)| word)
    }

    /// Returns every word, for messages and suggestions.
    pub(crate) fn words() -> impl Iterator<Item = &'static str> {
        WORDS.iter().map(|&(word, _)| word)
    }
}

/// A number with its unit, exactly as written: `12.50 g`, `6 drops`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Quantity {
    /// The number, above zero.
    pub number: Decimal,
    /// What it counts.
    pub measure: Measure,
}

/// The most of any unit in one amount; a thousand tonnes for masses.
const MOST: i64 = 1_000_000_000;

impl Quantity {
    /// Makes a quantity from its parts.
    ///
    /// # Errors
    /// When the number is not above zero or too large.
    pub fn new(number: Decimal, measure: Measure) -> Result<Self, ParseQuantityError> {
        if number.mantissa() <= 0 {
            return Err(ParseQuantityError::Nothing);
        }
        let fits = match measure {
            Measure::Mass(unit) => unit.mass(number).is_some(),
            Measure::Volume(_) | Measure::Count(_) => {
                Ratio::from_decimal(number) <= Ratio::new(MOST, 1)
            }
        };
        if fits {
            Ok(Self { number, measure })
        } else {
            Err(ParseQuantityError::TooMuch)
        }
    }

    /// Returns the number as an exact ratio, in its own unit.
    #[must_use]
    pub fn exact(&self) -> Ratio {
        Ratio::from_decimal(self.number)
    }

    /// Returns the exact micrograms of a mass; `None` for volumes and counts.
    #[must_use]
    pub fn micrograms(&self) -> Option<Ratio> {
        match self.measure {
            Measure::Mass(unit) => {
                let (micrograms, per) = unit.micrograms();
                Some(&self.exact() * &Ratio::new(micrograms, per))
            }
            Measure::Volume(_) | Measure::Count(_) => None,
        }
    }

    /// Returns the mass, rounded once, half to even; `None` for volumes and counts.
    #[must_use]
    pub fn mass(&self) -> Option<Mass> {
        self.micrograms().map(|micrograms| micrograms.to_mass())
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{} {}", self.number, self.measure.word()))
    }
}

/// Why a text is not a [`Quantity`].
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ParseQuantityError {
    /// No number at the beginning.
    #[error("`{0}` does not begin with a number")]
    NoNumber(String),
    /// A decimal comma.
    #[error("`{0}` has a comma; the decimal mark is a point")]
    Comma(String),
    /// A fraction.
    #[error("`{0}` is a fraction; write it as a decimal number, `0.5` for a half")]
    Fraction(String),
    /// A sign, two points or too many digits.
    #[error("`{0}` is not a number (of at most 18 digits)")]
    NotANumber(String),
    /// A number alone.
    #[error("`{0}` has no unit")]
    MissingUnit(String),
    /// A unit this program does not know.
    #[error("`{0}` is not a known unit")]
    UnknownUnit(String),
    /// Zero or less.
    #[error("an amount must be more than nothing")]
    Nothing,
    /// Larger than anything mixed in a jar.
    #[error("that is too much to be meant")]
    TooMuch,
}

/// Splits `12.5 g` into its number and the trimmed rest.
pub(crate) fn parse_number(text: &str) -> Result<(Decimal, &str), ParseQuantityError> {
    let of_number = |c: char| {
        c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-' | '–' | '/' | '½' | '¼' | '¾')
    };
    let end = text.find(|c: char| !of_number(c)).unwrap_or(text.len());
    let (number, rest) = text.split_at(end);
    let owned = || shortened(number);
    if !number
        .chars()
        .any(|c| c.is_ascii_digit() || "½¼¾".contains(c))
    {
        return Err(ParseQuantityError::NoNumber(shortened(text)));
    }
    if number.contains(',') {
        return Err(ParseQuantityError::Comma(owned()));
    }
    if number.contains(['/', '½', '¼', '¾']) {
        return Err(ParseQuantityError::Fraction(owned()));
    }
    match number.strip_prefix('-') {
        Some(rest) if rest.parse::<Decimal>().is_ok() => return Err(ParseQuantityError::Nothing),
        _ if number.starts_with('+') => return Err(ParseQuantityError::NotANumber(owned())),
        _ => {}
    }
    let number = number
        .parse()
        .map_err(|_| ParseQuantityError::NotANumber(owned()))?;
    Ok((number, rest.trim()))
}

/// Keeps a message readable when somebody pastes a page into a field.
fn shortened(text: &str) -> String {
    match text.char_indices().nth(40) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_owned(),
    }
}

impl FromStr for Quantity {
    type Err = ParseQuantityError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let text = text.trim();
        let (number, unit) = parse_number(text)?;
        if unit.is_empty() {
            return Err(ParseQuantityError::MissingUnit(shortened(text)));
        }
        let measure = Measure::from_word(unit)
            .ok_or_else(|| ParseQuantityError::UnknownUnit(shortened(unit)))?;
        Self::new(number, measure)
    }
}

/// Says what would be right instead.
pub(crate) fn help(error: &ParseQuantityError) -> Option<String> {
    match error {
        ParseQuantityError::NoNumber(_) => {
            Some("write a number and a unit, as in 12.5 g".to_owned())
        }
        ParseQuantityError::Comma(number) => Some(format!("write {}", number.replace(',', "."))),
        ParseQuantityError::MissingUnit(number) => Some(format!(
            "grams are never assumed: write {number} g, or {number} parts in a recipe"
        )),
        ParseQuantityError::UnknownUnit(unit) => Some(unit_help(unit, Measure::words())),
        ParseQuantityError::NotANumber(number) => number
            .contains(['-', '–'])
            .then(|| "a range is written with two points, as in 4..7 g".to_owned()),
        ParseQuantityError::Fraction(_)
        | ParseQuantityError::Nothing
        | ParseQuantityError::TooMuch => None,
    }
}

/// Says which unit was probably meant, and which there are.
pub(crate) fn unit_help(unit: &str, words: impl Iterator<Item = &'static str>) -> String {
    let words: Vec<&str> = words.collect();
    let known = words.join(", ");
    let lower = unit.to_lowercase();
    let spelt_out = match lower.trim_end_matches('s') {
        "gr" | "gm" | "grm" | "gram" | "gramm" | "gramme" => Some("g"),
        "kilo" | "kgm" | "kilogram" | "kilogramme" => Some("kg"),
        "milligram" | "milligramme" => Some("mg"),
        "ounce" | "onz" => Some("oz"),
        "lb" | "pound" => Some("lb"),
        "cc" | "cm3" | "mil" | "millilitre" | "milliliter" => Some("ml"),
        "litre" | "liter" | "ltr" => Some("l"),
        "teaspoon" | "teaspoonful" => Some("tsp"),
        "tablespoon" | "tablespoonful" => Some("tbsp"),
        "fl oz" | "floz" | "fl. oz" | "fluid ounce" | "fl_oz" => Some("fl-oz"),
        "percent" | "per cent" | "pct" => Some("%"),
        _ => None,
    };
    let spelt_out = spelt_out.filter(|meant| words.contains(meant));
    match spelt_out.or_else(|| nearest(unit, words.iter().copied())) {
        Some(meant) => format!("did you mean `{meant}`? known are {known}"),
        None => format!("known are {known}"),
    }
}
