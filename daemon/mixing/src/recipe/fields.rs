//! Turns the texts of single fields into values, or says what is wrong with them.

use std::time::Duration;

use toml::Spanned;

use super::WrittenAmount;
use super::written::WrittenDecant;
use tarehand_protocol::Mass;

use crate::document::Problems;
use crate::procedure::{Weigh, Within};
use crate::ratio::Ratio;
use crate::units::{self, Measure, Quantity, parse_number, parse_time};

/// Which trail is wanted.
#[derive(Clone, Copy)]
pub(super) enum Wanted {
    /// This one; zero leaves none.
    Time(Duration),
    /// The one the recipe's head says.
    Recipe,
}

/// The longest name or remark.
const LONGEST: usize = 2_000;

pub(super) fn words(text: &Spanned<String>, problems: &mut Problems<'_>) -> Option<String> {
    name(text, problems).map(Spanned::into_inner)
}

pub(super) fn name(text: &Spanned<String>, problems: &mut Problems<'_>) -> Option<Spanned<String>> {
    let range = text.span();
    let trimmed = text.get_ref().trim();
    if trimmed.is_empty() {
        problems.error(range, "the text is empty");
        return None;
    }
    if LONGEST < trimmed.len() {
        problems.error(range, format!("the text is longer than {LONGEST} bytes"));
        return None;
    }
    Some(Spanned::new(range, trimmed.to_owned()))
}

pub(super) fn time(text: &Spanned<String>, problems: &mut Problems<'_>) -> Option<Duration> {
    match parse_time(text.get_ref()) {
        Ok(time) if time.is_zero() => {
            problems.error(text.span(), "a time must be more than nothing");
            None
        }
        Ok(time) => Some(time),
        Err(error) => {
            problems.error(text.span(), error.to_string());
            None
        }
    }
}

pub(super) fn trail(
    text: &Spanned<String>,
    problems: &mut Problems<'_>,
) -> Option<Spanned<Wanted>> {
    let wanted = match text.get_ref().trim() {
        "none" => Wanted::Time(Duration::ZERO),
        "wanted" => Wanted::Recipe,
        other => match parse_time(other) {
            Ok(time) => Wanted::Time(time),
            Err(error) => {
                problems.error(text.span(), error.to_string()).help = Some(
                    "a trail is a time, `none`, or in a step `wanted` for the one the recipe's head says"
                        .to_owned(),
                );
                return None;
            }
        },
    };
    Some(Spanned::new(text.span(), wanted))
}

pub(super) fn within(
    text: &Spanned<String>,
    problems: &mut Problems<'_>,
) -> Option<Spanned<Within>> {
    let range = text.span();
    let parsed = match parse_number(text.get_ref().trim()) {
        Ok((number, "%")) => {
            let fraction = &Ratio::from_decimal(number) * &Ratio::new(1, 100);
            Some(Within::Fraction(fraction))
        }
        _ => {
            let quantity = text.get_ref().parse::<Quantity>().ok();
            quantity
                .and_then(|quantity| quantity.mass())
                .map(Within::Mass)
        }
    };
    match parsed {
        // Nothing is as near as the scale can tell: the weighing's uncertainty is always allowed.
        Some(within) => Some(Spanned::new(range, within)),
        None => {
            problems
                .error(
                    range,
                    "a tolerance is a percentage of the step's own target, or a mass",
                )
                .help = Some("write within = \"2 %\" or within = \"0.2 g\"".to_owned());
            None
        }
    }
}

pub(super) fn weigh(text: &Spanned<String>, problems: &mut Problems<'_>) -> Option<Weigh> {
    match text.get_ref().trim() {
        "jar" => Some(Weigh::Jar),
        "bottle" => Some(Weigh::Bottle),
        _ => {
            problems
                .error(text.span(), "what is weighed is the jar or the bottle")
                .help = Some(
                "write weigh = \"bottle\" where the bottle stands on the scale and grows lighter, or weigh = \"jar\""
                    .to_owned(),
            );
            None
        }
    }
}

pub(super) fn makes(
    text: &Spanned<String>,
    problems: &mut Problems<'_>,
) -> Option<Spanned<Quantity>> {
    let quantity = quantity(text, problems)?;
    match quantity.measure {
        Measure::Mass(_) => Some(Spanned::new(text.span(), quantity)),
        Measure::Volume(_) | Measure::Count(_) => {
            problems
                .error(text.span(), "what a recipe makes is a mass")
                .help = Some(
                "write grams, as in makes = \"180 g\"; how many millilitres a jar holds is `jar`"
                    .to_owned(),
            );
            None
        }
    }
}

pub(super) fn jar(
    text: &Spanned<String>,
    problems: &mut Problems<'_>,
) -> Option<Spanned<Quantity>> {
    let quantity = quantity(text, problems)?;
    match quantity.measure {
        Measure::Volume(_) => Some(Spanned::new(text.span(), quantity)),
        Measure::Mass(_) | Measure::Count(_) => {
            problems
                .error(text.span(), "what a jar holds is a volume")
                .help = Some("write jar = \"250 ml\"".to_owned());
            None
        }
    }
}

pub(super) fn amount(
    text: &Spanned<String>,
    problems: &mut Problems<'_>,
) -> Option<Spanned<WrittenAmount>> {
    match text.get_ref().parse::<WrittenAmount>() {
        Ok(amount) => Some(Spanned::new(text.span(), amount)),
        Err(error) => {
            problems.error(text.span(), error.to_string()).help = error.help();
            None
        }
    }
}

/// Reads what one splash, or all of them together, may be: an amount or a percentage of the total.
pub(super) fn splash(
    text: &Spanned<String>,
    problems: &mut Problems<'_>,
) -> Option<Spanned<WrittenAmount>> {
    let amount = amount(text, problems)?;
    match amount.get_ref() {
        WrittenAmount::Quantity(_) | WrittenAmount::Percent(_) => Some(amount),
        WrittenAmount::PercentOf { .. }
        | WrittenAmount::Parts(_)
        | WrittenAmount::ByEye
        | WrittenAmount::Range { .. }
        | WrittenAmount::Whole { .. } => {
            problems
                .error(
                    text.span(),
                    "a splash is an amount or a percentage of the total",
                )
                .help = Some("write for example 1.5 g or 1 %".to_owned());
            None
        }
    }
}

/// Reads how much of the mix is decanted.
pub(super) fn decant(
    text: &Spanned<String>,
    problems: &mut Problems<'_>,
) -> Option<Spanned<WrittenDecant>> {
    if text.get_ref().trim() == "all" {
        return Some(Spanned::new(text.span(), WrittenDecant::All));
    }
    let quantity = text.get_ref().parse::<Quantity>().ok();
    match quantity.and_then(|quantity| quantity.mass()) {
        Some(mass) if Mass::ZERO < mass => {
            Some(Spanned::new(text.span(), WrittenDecant::Mass(mass)))
        }
        Some(_) => {
            problems
                .error(text.span(), "nothing would be decanted")
                .help = Some("write decant = \"40 g\", or leave the step out".to_owned());
            None
        }
        None => {
            problems
                .error(text.span(), "what is decanted is a mass, or all of it")
                .help = Some("write decant = \"40 g\" or decant = \"all\"".to_owned());
            None
        }
    }
}

fn quantity(text: &Spanned<String>, problems: &mut Problems<'_>) -> Option<Quantity> {
    match text.get_ref().parse::<Quantity>() {
        Ok(quantity) => Some(quantity),
        Err(error) => {
            let help = units::help(&error);
            problems.error(text.span(), error.to_string()).help = help;
            None
        }
    }
}
