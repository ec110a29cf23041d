//! Warnings and notes on a recipe that can be used.

use std::collections::BTreeMap;
use std::ops::Range;

use tarehand_protocol::Mass;
use toml::Spanned;

use super::Recipe;
use super::shares::{Remark, percent};
use crate::document::Problems;
use crate::procedure::Within;
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
    match remark {
        Remark::OnlyShares => {
            problems
                .note(
                    at,
                    "the recipe has only shares and no size of its own: they are shares of whatever is made",
                )
                .help = Some("write makes = \"…\" to give it a usual size".to_owned());
        }
        Remark::PercentNotWhole { sum } => {
            let message = format!(
                "the percentages come to {}: each is taken as its share of that",
                percent(sum)
            );
            problems.warning(at, message).help =
                Some("make them come to 100 %, or give one ingredient `parts`".to_owned());
        }
        Remark::WeightsNotMakes { sum } => {
            let makes = makes.cloned().unwrap_or_else(Ratio::one);
            let message = format!(
                "the amounts come to {}, not to {}: their ratio is kept",
                sum.to_mass(),
                makes.to_mass()
            );
            let hundredth = &makes * &Ratio::new(1, 100);
            let close = sum <= &(&makes + &hundredth) && &(&makes - &hundredth) <= sum;
            let problem = if close {
                problems.note(at, message)
            } else {
                problems.warning(at, message)
            };
            problem.help = Some(
                "change `makes`, or give one ingredient `parts`: it takes what is left".to_owned(),
            );
        }
    }
}

/// Warns of a tolerance that lets everything pass.
pub(super) fn on_within(within: &Spanned<Within>, target: &Ratio, problems: &mut Problems<'_>) {
    let lets_all_pass = match within.get_ref() {
        Within::Fraction(fraction) => Ratio::one() <= *fraction,
        Within::Mass(mass) => *target <= Ratio::from_mass(*mass),
    };
    if lets_all_pass && !problems.points_at(&within.span()) {
        let message = format!(
            "this tolerance is as large as an addition of {} it is for",
            target.to_mass()
        );
        problems.warning(within.span(), message).help =
            Some("nothing at all would be within it; write a smaller one".to_owned());
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
    let message = format!("up to {} go into a jar of {jar}", contents.volume);
    problems.warning(at.clone(), message).help = Some(match contents.assumed.as_slice() {
        [] => "make less, or take a larger jar".to_owned(),
        assumed => format!(
            "make less, or take a larger jar (taken as 1 g/ml: {})",
            assumed.join(", ")
        ),
    });
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
        Some((key, shelf.get(key)?.family.as_deref()?))
    });
    // Inside a premix it is not mentioned in this file.
    let place = |key: &str| mentioned.get(key).unwrap_or(otherwise).clone();
    let mut families: Vec<(&str, &str)> = families.collect();
    families.sort_by_key(|(key, _)| place(key).start);
    let Some(&(first, family)) = families.first() else {
        return;
    };
    let other = families.iter().find(|(_, other)| *other != family);
    if let Some((key, other)) = other {
        let message = format!("`{key}` is {other} and `{first}` is {family}");
        problems.warning(place(key), message).help = Some(
            "families that dry in different ways may curdle, crack or peel (common practice): keep to one, or make a dry test first"
                .to_owned(),
        );
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
        let message = format!(
            "up to {} of `{key}` are needed and {stock} are on the shelf",
            need.most
        );
        problems.warning(at, message).help = Some(format!(
            "get {} more, or make less; `stock` on the shelf says what there is",
            need.most - stock
        ));
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
        let message = format!(
            "{} is not to be had: {} stands in for it",
            replaced.missing.name, replaced.used.name
        );
        problems.warning(at.clone(), message).help = replaced.note.clone();
    }
}
