//! Turns written amounts into micrograms, or says what must be known first.

use toml::Spanned;

use super::WrittenAmount;
use super::names::Found;
use super::shares::LineAmount;
use crate::document::Problems;
use crate::procedure::CountUnit;
use crate::ratio::Ratio;
use crate::shelf::{one_count, weight};
use crate::units::{Measure, Measures, Quantity};

/// Returns the exact micrograms of a quantity.
pub(super) fn micrograms(
    quantity: &Quantity,
    at: &Spanned<WrittenAmount>,
    found: &Found,
    measures: &Measures,
    problems: &mut Problems<'_>,
) -> Option<Ratio> {
    match weight(quantity, &found.item, measures) {
        Ok(micrograms) => Some(micrograms),
        Err(missing) => {
            let key = &found.ingredient.key;
            problems.error(at.span(), missing.message(key)).help = Some(missing.help(key));
            None
        }
    }
}

/// Returns an amount inside the ratio in the solver's terms; `None` for one outside, or in error.
pub(super) fn inside(
    amount: &Spanned<WrittenAmount>,
    found: &Found,
    measures: &Measures,
    problems: &mut Problems<'_>,
) -> Option<LineAmount> {
    let hundredth = Ratio::new(1, 100);
    match amount.get_ref() {
        WrittenAmount::Quantity(quantity) => {
            micrograms(quantity, amount, found, measures, problems).map(LineAmount::Fixed)
        }
        WrittenAmount::Percent(percent) => Some(LineAmount::OfTotal(
            &Ratio::from_decimal(*percent) * &hundredth,
        )),
        WrittenAmount::PercentOf {
            percent,
            ingredient,
        } => Some(LineAmount::Of {
            fraction: &Ratio::from_decimal(*percent) * &hundredth,
            name: ingredient.clone(),
        }),
        WrittenAmount::Parts(parts) => Some(LineAmount::Parts(Ratio::from_decimal(*parts))),
        WrittenAmount::ByEye | WrittenAmount::Range { .. } | WrittenAmount::Whole { .. } => None,
    }
}

/// Returns what a quantity counts and the exact micrograms of one, where it counts at all.
pub(super) fn counted(
    quantity: &Quantity,
    found: &Found,
    measures: &Measures,
) -> Option<(CountUnit, Ratio)> {
    match quantity.measure {
        Measure::Count(unit) => one_count(unit, &found.item, measures)
            .ok()
            .map(|each| (unit, each)),
        Measure::Mass(_) | Measure::Volume(_) => None,
    }
}

/// Returns whether the weight of an amount can be worked out; if not, what is missing is reported.
pub(super) fn is_known(
    amount: &Spanned<WrittenAmount>,
    found: &Found,
    measures: &Measures,
    problems: &mut Problems<'_>,
) -> bool {
    match amount.get_ref() {
        WrittenAmount::Quantity(quantity) | WrittenAmount::Range { low: quantity, .. } => {
            micrograms(quantity, amount, found, measures, problems).is_some()
        }
        WrittenAmount::Percent(_)
        | WrittenAmount::PercentOf { .. }
        | WrittenAmount::Parts(_)
        | WrittenAmount::ByEye
        | WrittenAmount::Whole { .. } => true,
    }
}
