//! Warnings and notes on a recipe that can be used.

use std::collections::BTreeMap;
use std::ops::Range;

use tarehand_protocol::Mass;
use toml::Spanned;

use super::Recipe;
use super::shares::Remark;
use crate::diagnostic::{Finding, Severity};
use crate::document::Problems;
use crate::procedure::{Ingredient, Within};
use crate::ratio::Ratio;
use crate::shelf::Shelf;
use crate::sizing::{contents, needs};

/// Says how the amounts were understood.
pub(super) fn on_shares(
    remark: &Remark,
    at: Range<usize>,
    makes: Option<&Ratio>,
    problems: &mut Problems<'_>,
) {
    let (severity, finding) = match remark {
        Remark::OnlyShares => (Severity::Note, Finding::OnlyShares),
        Remark::PercentNotWhole { sum } => {
            let sum = sum.clone();
            (Severity::Warning, Finding::PercentNotWhole { sum })
        }
        Remark::WeightsNotMakes { sum } => {
            let makes = makes.cloned().unwrap_or_else(Ratio::one);
            let hundredth = &makes * &Ratio::new(1, 100);
            let close = sum <= &(&makes + &hundredth) && &(&makes - &hundredth) <= sum;
            let finding = Finding::AmountsNotMakes {
                sum: sum.to_mass(),
                makes: makes.to_mass(),
            };
            let severity = if close {
                Severity::Note
            } else {
                Severity::Warning
            };
            (severity, finding)
        }
    };
    problems.found(severity, at, finding);
}

/// Warns of a tolerance that lets everything pass.
pub(super) fn on_within(within: &Spanned<Within>, target: &Ratio, problems: &mut Problems<'_>) {
    let lets_all_pass = match within.get_ref() {
        Within::Fraction(fraction) => Ratio::one() <= *fraction,
        Within::Mass(mass) => *target <= Ratio::from_mass(*mass),
    };
    if lets_all_pass && !problems.points_at(&within.span()) {
        let amount = target.to_mass();
        problems.found(
            Severity::Warning,
            within.span(),
            Finding::LetsAllPass { amount },
        );
    }
}

/// Warns of a jar that is too small.
pub(super) fn on_jar(recipe: &Recipe, at: &Range<usize>, problems: &mut Problems<'_>) {
    let (Some(makes), Some(jar)) = (recipe.makes(), recipe.jar()) else {
        return;
    };
    let contents = contents(recipe, makes);
    if contents.volume <= *jar {
        return;
    }
    let finding = Finding::JarTooSmall {
        contents: contents.volume,
        jar: jar.clone(),
        assumed: contents.assumed,
    };
    problems.found(Severity::Warning, at.clone(), finding);
}

/// Warns of paints of two families in one jar, at the first mention of the one that is not like the first.
///
/// What dries in different ways seldom dries well together (common practice).
pub(super) fn on_families(
    recipe: &Recipe,
    shelf: &Shelf,
    mentioned: &BTreeMap<String, Range<usize>>,
    otherwise: &Range<usize>,
    problems: &mut Problems<'_>,
) {
    let needs = needs(recipe, Mass::from_grams(1));
    let families = needs.iter().filter_map(|need| {
        let key = need.ingredient.key.as_str();
        Some((&need.ingredient, shelf.get(key)?.family.as_deref()?))
    });
    // Inside a premix it is not mentioned in this file.
    let place = |of: &Ingredient| mentioned.get(&of.key).unwrap_or(otherwise).clone();
    let mut families: Vec<(&Ingredient, &str)> = families.collect();
    families.sort_by_key(|(of, _)| place(of).start);
    let Some(&(first, family)) = families.first() else {
        return;
    };
    let other = families.iter().find(|(_, other)| *other != family);
    if let Some((unlike, other)) = other {
        let of = |one: &Ingredient, family: &str| (one.name.clone(), family.to_owned());
        let finding = Finding::Families {
            other: of(unlike, other),
            first: of(first, family),
        };
        problems.found(Severity::Warning, place(unlike), finding);
    }
}

/// Warns of too little on the shelf, at the first mention of the ingredient.
pub(super) fn on_stock(
    recipe: &Recipe,
    mentioned: &BTreeMap<String, Range<usize>>,
    otherwise: &Range<usize>,
    problems: &mut Problems<'_>,
) {
    let Some(makes) = recipe.makes() else {
        return;
    };
    for need in needs(recipe, makes) {
        let Some(stock) = need.stock.filter(|stock| *stock < need.most) else {
            continue;
        };
        let key = &need.ingredient.key;
        // Inside a premix it is not mentioned in this file.
        let at = mentioned.get(key).unwrap_or(otherwise).clone();
        let finding = Finding::StockShort {
            ingredient: need.ingredient.name.clone(),
            needed: need.most,
            stock,
        };
        problems.found(Severity::Warning, at, finding);
    }
}

/// Says what stands in for what.
pub(super) fn on_stand_ins(
    recipe: &Recipe,
    mentioned: &BTreeMap<String, Range<usize>>,
    otherwise: &Range<usize>,
    problems: &mut Problems<'_>,
) {
    for replaced in recipe.replaced() {
        let at = mentioned.get(&replaced.missing.key).unwrap_or(otherwise);
        let finding = Finding::StandsIn {
            missing: replaced.missing.name.clone(),
            used: replaced.used.name.clone(),
            note: replaced.note.clone(),
        };
        problems.found(Severity::Warning, at.clone(), finding);
    }
}
