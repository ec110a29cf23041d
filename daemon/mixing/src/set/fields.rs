//! Turns the texts of a set's fields into values, or says what is wrong with them.

use std::fmt::Display;
use std::str::FromStr;

use tarehand_protocol::Mass;
use toml::Spanned;
use toml::de::DeValue;

use super::Basis;
use super::shares::WrittenShare;
use crate::document::{Fields, Problems, quantity};
use crate::ratio::Ratio;
use crate::units::{Measure, Measures, Quantity, Volume, parse_number, parse_percent};

/// The most pieces of one kind.
const MOST_PIECES: u32 = 10_000;

/// Reads a text of a type that says itself what is wrong.
pub(super) fn read<T>(text: &Spanned<String>, problems: &mut Problems<'_>) -> Option<T>
where
    T: FromStr,
    T::Err: Display,
{
    match text.get_ref().parse() {
        Ok(value) => Some(value),
        Err(error) => {
            problems.error(text.span(), format!("{error}"));
            None
        }
    }
}

/// Reads a percentage from nothing to a hundredfold.
pub(super) fn percent(
    key: &str,
    text: &Spanned<String>,
    problems: &mut Problems<'_>,
) -> Option<Ratio> {
    let sensible = Ratio::zero()..=Ratio::new(100, 1);
    let fraction = parse_percent(text.get_ref()).filter(|fraction| sensible.contains(fraction));
    if fraction.is_none() {
        let message = format!("`{}` is no percentage from 0 to 10000", text.get_ref());
        problems.error(text.span(), message).help = Some(format!("write {key} = \"10 %\""));
    }
    fraction
}

pub(super) fn mass(key: &str, text: &Spanned<String>, problems: &mut Problems<'_>) -> Option<Mass> {
    let mass = quantity(text, problems)?
        .mass()
        .filter(|mass| Mass::ZERO < *mass);
    if mass.is_none() {
        problems
            .error(
                text.span(),
                format!("`{key}` is a mass that can be weighed"),
            )
            .help = Some(format!("write {key} = \"40 g\""));
    }
    mass
}

/// Reads what a jar holds.
pub(super) fn volume(
    text: &Spanned<String>,
    measures: &Measures,
    problems: &mut Problems<'_>,
) -> Option<Volume> {
    let quantity: Quantity = read(text, problems)?;
    let Measure::Volume(unit) = quantity.measure else {
        problems
            .error(text.span(), "what a jar holds is a volume")
            .help = Some("write jar = \"250 ml\"".to_owned());
        return None;
    };
    let Some(one) = unit.one(measures.fluid_ounce) else {
        let missing = crate::shelf::Missing::FluidOunceSetting;
        problems.error(text.span(), missing.message("jar")).help = Some(missing.help("jar"));
        return None;
    };
    Some(Volume::from_microlitres(
        &quantity.exact() * one.microlitres(),
    ))
}

/// Reads a share of the pour: `15 %` or `4 parts`.
pub(super) fn share(text: &Spanned<String>, problems: &mut Problems<'_>) -> Option<WrittenShare> {
    let (number, unit) = match parse_number(text.get_ref().trim()) {
        Ok(parsed) => parsed,
        Err(error) => {
            problems.error(text.span(), format!("{error}")).help = Some(SHARE.to_owned());
            return None;
        }
    };
    let exact = Ratio::from_decimal(number);
    if exact <= Ratio::zero() {
        problems
            .error(text.span(), "a share must be more than nothing")
            .help = Some("leave the jar out, or give it a share".to_owned());
        return None;
    }
    match unit {
        "%" => Some(WrittenShare::Percent(&exact * &Ratio::new(1, 100))),
        "part" | "parts" => Some(WrittenShare::Parts(exact)),
        other => {
            let message = format!("`{other}` is no unit of a share");
            problems.error(text.span(), message).help = Some(SHARE.to_owned());
            None
        }
    }
}

const SHARE: &str = "a share of the pour is \"15 %\" or \"4 parts\"; grams that do not depend on the surface are make = \"40 g\"";

pub(super) fn basis(text: &Spanned<String>, problems: &mut Problems<'_>) -> Option<Basis> {
    let found = [Basis::Volume, Basis::Weight]
        .into_iter()
        .find(|basis| basis.word() == text.get_ref().trim());
    if found.is_none() {
        problems
            .error(
                text.span(),
                format!("`{}` is no basis of shares", text.get_ref()),
            )
            .help = Some("write basis = \"volume\" or basis = \"weight\"".to_owned());
    }
    found
}

/// Reads how many pieces there are; one where nobody says.
pub(super) fn count(fields: &mut Fields<'_, '_>, problems: &mut Problems<'_>) -> Option<u32> {
    let Some(value) = fields.value("count") else {
        return Some(1);
    };
    let text = match value.get_ref() {
        DeValue::Integer(number) => number.as_str(),
        DeValue::String(text) => text.as_ref(),
        _ => "",
    };
    let count = text.trim().parse::<u32>().ok();
    let count = count.filter(|count| (1..=MOST_PIECES).contains(count));
    if count.is_none() {
        problems
            .error(
                value.span(),
                format!("how many pieces is a whole number from 1 to {MOST_PIECES}"),
            )
            .help = Some("write count = 8".to_owned());
    }
    count
}
