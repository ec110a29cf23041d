//! The amount of an addition, exactly as written.

use std::fmt;
use std::str::FromStr;

use tarehand_protocol::Decimal;

use crate::units::{Measure, ParseQuantityError, Quantity, help, parse_number, unit_help};

/// The amount of an addition, exactly as written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum WrittenAmount {
    /// So much: `9 g`, `20 ml`, `6 drops`.
    Quantity(Quantity),
    /// A share of the total: `30 %`.
    Percent(Decimal),
    /// A share of another ingredient: `5 % of paste`.
    PercentOf {
        /// How many hundredths.
        percent: Decimal,
        /// Of which ingredient.
        ingredient: String,
    },
    /// A share of what is left: `3 parts`.
    Parts(Decimal),
    /// As much as looks right: `some`.
    ByEye,
    /// Anything between two amounts: `4..7 g`.
    Range {
        /// The least.
        low: Quantity,
        /// The most, in the same unit.
        high: Quantity,
    },
    /// A whole vessel: `all of the paste cup`; `all` alone is the ingredient's own vessel.
    Whole {
        /// Which vessel.
        vessel: Option<String>,
    },
}

impl WrittenAmount {
    /// Returns whether it lies inside the ratio.
    #[must_use]
    pub const fn is_inside(&self) -> bool {
        match self {
            Self::Quantity(_) | Self::Percent(_) | Self::PercentOf { .. } | Self::Parts(_) => true,
            Self::ByEye | Self::Range { .. } | Self::Whole { .. } => false,
        }
    }
}

/// Why a text is not a [`WrittenAmount`].
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ParseAmountError {
    /// Nothing is written.
    #[error("the amount is empty")]
    Empty,
    /// A number or unit is not one.
    #[error("{0}")]
    Quantity(#[from] ParseQuantityError),
    /// `% of` nothing.
    #[error("a percentage `of` what is missing")]
    OfNothing,
    /// A range with one end only.
    #[error("a range has a number on both sides")]
    RangeEnd,
    /// A range without a unit.
    #[error("`{0}` has no unit")]
    RangeUnit(String),
    /// A range whose units differ.
    #[error("both ends of a range have the same unit")]
    RangeUnits,
    /// A range of shares.
    #[error("a range is of weights, volumes or counts, not of shares")]
    RangeOfShares,
    /// A range that does not rise.
    #[error("a range goes from less to more")]
    RangeOrder,
    /// `all` and then something else.
    #[error("`all` is followed by `of` and the vessel")]
    AllOfWhat,
    /// An approximate amount.
    #[error("`{0}` is not an amount")]
    Vague(String),
}

impl ParseAmountError {
    /// Says what would be right instead.
    #[must_use]
    pub fn help(&self) -> Option<String> {
        let text = match self {
            Self::Quantity(ParseQuantityError::UnknownUnit(unit)) => {
                // Shares are units too, so a slip may have meant one of them.
                return Some(unit_help(unit, Measure::words().chain(["%", "parts"])));
            }
            Self::RangeUnit(range) => return Some(format!("write for example {range} g")),
            Self::Quantity(error) => return help(error),
            Self::Empty => "write for example 12 g, 30 %, 3 parts, 6 drops, 4..7 g or some",
            Self::OfNothing => "write for example 5 % of black-paste",
            Self::RangeUnits => "write the unit once, as in 4..7 g",
            Self::RangeOfShares => "write for example 4..7 g, or one share without a range",
            Self::RangeOrder | Self::RangeEnd => "write for example 4..7 g",
            Self::AllOfWhat => "write for example all of the paste cup",
            Self::Vague(_) => "what is judged by eye is written as some",
        };
        Some(text.to_owned())
    }
}

impl FromStr for WrittenAmount {
    type Err = ParseAmountError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let text = text.trim();
        match text {
            "" => return Err(ParseAmountError::Empty),
            "some" => return Ok(Self::ByEye),
            "all" => return Ok(Self::Whole { vessel: None }),
            "a bit" | "a little" | "a pinch" | "a dash" | "to taste" | "enough" => {
                return Err(ParseAmountError::Vague(text.to_owned()));
            }
            _ => {}
        }
        if let Some(rest) = text.strip_prefix("all ") {
            return parse_whole(rest);
        }
        if let Some((low, high)) = text.split_once("..") {
            return parse_range(low, high);
        }
        let (number, unit) = parse_number(text)?;
        if let Some(rest) = unit.strip_prefix('%') {
            return parse_percent(number, rest);
        }
        if unit == "parts" || unit == "part" {
            return positive(number).map(Self::Parts);
        }
        Ok(Self::Quantity(text.parse()?))
    }
}

fn parse_whole(rest: &str) -> Result<WrittenAmount, ParseAmountError> {
    let vessel = rest.trim_start().strip_prefix("of ").map(str::trim);
    match vessel {
        None | Some("") => Err(ParseAmountError::AllOfWhat),
        Some(vessel) => Ok(WrittenAmount::Whole {
            vessel: Some(vessel.to_owned()),
        }),
    }
}

fn parse_percent(number: Decimal, rest: &str) -> Result<WrittenAmount, ParseAmountError> {
    let percent = positive(number)?;
    if rest.trim().is_empty() {
        return Ok(WrittenAmount::Percent(percent));
    }
    match rest.trim_start().strip_prefix("of") {
        None => Err(ParseQuantityError::UnknownUnit(format!("%{rest}")).into()),
        Some(of) if of.trim().is_empty() => Err(ParseAmountError::OfNothing),
        Some(of) if !of.starts_with(char::is_whitespace) => {
            Err(ParseQuantityError::UnknownUnit(format!("%{rest}")).into())
        }
        Some(of) => Ok(WrittenAmount::PercentOf {
            percent,
            ingredient: of.trim().to_owned(),
        }),
    }
}

fn parse_range(low: &str, high: &str) -> Result<WrittenAmount, ParseAmountError> {
    if low.trim().is_empty() || high.trim().is_empty() {
        return Err(ParseAmountError::RangeEnd);
    }
    let (low, low_unit) = parse_number(low.trim())?;
    let (high, unit) = parse_number(high.trim())?;
    if unit.starts_with('%') || unit.starts_with("part") {
        return Err(ParseAmountError::RangeOfShares);
    }
    if unit.is_empty() {
        return Err(ParseAmountError::RangeUnit(format!("{low}..{high}")));
    }
    let measure = Measure::from_word(unit)
        .ok_or_else(|| ParseQuantityError::UnknownUnit(unit.chars().take(40).collect()))?;
    if !low_unit.is_empty() && Measure::from_word(low_unit) != Some(measure) {
        return Err(ParseAmountError::RangeUnits);
    }
    let (low, high) = (Quantity::new(low, measure)?, Quantity::new(high, measure)?);
    if low.exact() < high.exact() {
        Ok(WrittenAmount::Range { low, high })
    } else {
        Err(ParseAmountError::RangeOrder)
    }
}

fn positive(number: Decimal) -> Result<Decimal, ParseAmountError> {
    if 0 < number.mantissa() {
        Ok(number)
    } else {
        Err(ParseQuantityError::Nothing.into())
    }
}

impl fmt::Display for WrittenAmount {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Quantity(quantity) => write!(f, "{quantity}"),
            Self::Percent(percent) => write!(f, "{percent} %"),
            Self::PercentOf {
                percent,
                ingredient,
            } => write!(f, "{percent} % of {ingredient}"),
            Self::Parts(parts) => write!(f, "{parts} parts"),
            Self::ByEye => f.write_str("some"),
            Self::Range { low, high } => write!(f, "{}..{high}", low.number),
            Self::Whole { vessel: None } => f.write_str("all"),
            Self::Whole {
                vessel: Some(vessel),
            } => write!(f, "all of {vessel}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[track_caller]
    fn check(text: &str, expect: &str) {
        let shown = match text.parse::<WrittenAmount>() {
            Ok(amount) => amount.to_string(),
            Err(error) => format!("! {error}"),
        };
        assert_eq!(shown, expect, "{text}");
    }

    #[test]
    fn every_kind_of_amount_is_read() {
        check("9 g", "9 g");
        check("9g", "9 g");
        check("0.50 kg", "0.50 kg");
        check("20ml", "20 ml");
        check("1.5 fl-oz", "1.5 fl-oz");
        check("1 drop", "1 drops");
        check("30%", "30 %");
        check("5 % of black-paste", "5 % of black-paste");
        check("1 part", "1 parts");
        check("some", "some");
        check("4..7 g", "4..7 g");
        check("4 g..7 g", "4..7 g");
        check("2 .. 4 drops", "2..4 drops");
        check("all", "all");
        check("all of the paste cup", "all of the paste cup");
    }

    #[test]
    fn what_is_no_amount_is_refused() {
        check("", "! the amount is empty");
        check("12", "! `12` has no unit");
        check("4..7", "! `4..7` has no unit");
        check("12 gr", "! `gr` is not a known unit");
        check("1,5 g", "! `1,5` has a comma; the decimal mark is a point");
        check(
            "1/2 tsp",
            "! `1/2` is a fraction; write it as a decimal number, `0.5` for a half",
        );
        check("0 g", "! an amount must be more than nothing");
        check("-3 g", "! an amount must be more than nothing");
        check("5 % of", "! a percentage `of` what is missing");
        check("5 % offset", "! `% offset` is not a known unit");
        check("7..4 g", "! a range goes from less to more");
        check("4 g..7 ml", "! both ends of a range have the same unit");
        check(
            "4..7 parts",
            "! a range is of weights, volumes or counts, not of shares",
        );
        check(
            "all the paste",
            "! `all` is followed by `of` and the vessel",
        );
        check("a pinch", "! `a pinch` is not an amount");
        check("2000000 kg", "! that is too much to be meant");
    }

    fn number() -> impl Strategy<Value = Decimal> {
        (1..1_000_000_i64, 0..6_u8).prop_map(|(digits, scale)| Decimal::new(digits, scale).unwrap())
    }

    fn measure() -> impl Strategy<Value = Measure> {
        let all: Vec<Measure> = Measure::words().filter_map(Measure::from_word).collect();
        prop::sample::select(all)
    }

    fn amount() -> impl Strategy<Value = WrittenAmount> {
        let words = "[a-z][a-z-]{0,8}( [a-z]{1,5})?";
        prop_oneof![
            (number(), measure())
                .prop_filter_map("fits", |(number, measure)| Quantity::new(number, measure)
                    .ok())
                .prop_map(WrittenAmount::Quantity),
            number().prop_map(WrittenAmount::Percent),
            (number(), words).prop_map(|(percent, ingredient)| WrittenAmount::PercentOf {
                percent,
                ingredient
            }),
            number().prop_map(WrittenAmount::Parts),
            Just(WrittenAmount::ByEye),
            (number(), number(), measure()).prop_filter_map("rises", |(low, high, measure)| {
                let low = Quantity::new(low, measure).ok()?;
                let high = Quantity::new(high, measure).ok()?;
                (low.exact() < high.exact()).then_some(WrittenAmount::Range { low, high })
            }),
            prop::option::of(words).prop_map(|vessel| WrittenAmount::Whole { vessel }),
        ]
    }

    proptest! {
        #[test]
        fn a_rendered_amount_parses_to_itself(amount in amount()) {
            prop_assert_eq!(amount.to_string().parse::<WrittenAmount>(), Ok(amount));
        }

        #[test]
        fn no_text_makes_the_amount_parser_panic(text in ".*") {
            let _outcome = text.parse::<WrittenAmount>();
        }
    }
}
