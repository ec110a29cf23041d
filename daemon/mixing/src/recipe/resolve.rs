//! Turns a written recipe into a checked one: names looked up, amounts made exact shares.

use std::collections::BTreeMap;
use std::ops::Range;

use toml::Spanned;

use super::build::Builder;
use super::check::Checker;
use super::model::{Recipe, RecipeStep};
use super::names::Names;
use super::shares::{Line, LineAmount, SharesError, solve};
use super::written::{Written, WrittenKind, WrittenStep};
use super::{convert, remarks};
use crate::diagnostic::nearest;
use crate::document::Problems;
use crate::shelf::Missing;
use crate::units::{Measure, Measures, Quantity, Volume};

/// Resolves a written recipe; whatever is wrong is reported, and then there is no recipe.
pub(super) fn resolve(
    stem: &str,
    written: Written,
    checker: &mut Checker<'_>,
    problems: &mut Problems<'_>,
) -> Option<Recipe> {
    let measures = checker.settings.measures;
    let mut names = Names::default();
    let mut lines = Vec::new();
    let mut spans = Vec::new();
    let mut placed = Vec::new();
    let mut complete = written.complete;
    let mut mentioned = BTreeMap::new();
    for step in written.steps {
        let mut line = None;
        if let WrittenKind::Add { name, .. } | WrittenKind::Thin { with: name, .. } = &step.kind {
            mentioned
                .entry(name.get_ref().clone())
                .or_insert_with(|| name.span());
        }
        match place(&step, &mut names, checker, problems) {
            Place::Inside(amount, name, span) => {
                line = Some(lines.len());
                spans.push(span);
                lines.push(Line { name, amount });
            }
            Place::Outside => {}
            Place::Unknown => complete = false,
        }
        placed.push((step, line));
    }
    let at_jar = written
        .jar
        .as_ref()
        .map_or(written.head.clone(), Spanned::span);
    let jar = written
        .jar
        .and_then(|jar| jar_volume(&jar, &measures, problems));
    if !complete {
        return None;
    }
    let makes = written
        .makes
        .as_ref()
        .and_then(|makes| makes.get_ref().micrograms());
    let at_makes = written
        .makes
        .as_ref()
        .map_or(written.head.clone(), Spanned::span);
    let shares = match solve(&lines, makes.as_ref()) {
        Ok(shares) => shares,
        Err(error) => {
            let at = match &error {
                SharesError::OfWhat { line, .. } | SharesError::Circle { line, .. } => {
                    spans[*line].clone()
                }
                SharesError::NothingLeft { .. } | SharesError::NotMakes { .. } => at_makes,
                SharesError::Nothing | SharesError::NoRoom { .. } | SharesError::LeftOfWhat => {
                    written.head
                }
            };
            let help = match &error {
                SharesError::OfWhat { of, .. } => {
                    nearest(of, lines.iter().map(|line| line.name.as_str()))
                        .map(|meant| format!("did you mean `{meant}`?"))
                }
                other => other.help(),
            };
            problems.error(at, error.to_string()).help = help;
            return None;
        }
    };
    if let Some(remark) = &shares.remark {
        remarks::on_shares(remark, at_makes, makes.as_ref(), problems);
    }
    let mut builder = Builder {
        names: &mut names,
        checker,
        problems,
        shares: &shares,
        within: &written.within,
    };
    let steps: Vec<Option<RecipeStep>> = placed
        .into_iter()
        .map(|(step, line)| builder.step(step, line))
        .collect();
    let recipe = Recipe {
        stem: stem.to_owned(),
        name: written.name,
        makes: makes.or(shares.base).map(|micrograms| micrograms.to_mass()),
        trail: written.trail,
        jar,
        steps: steps.into_iter().collect::<Option<_>>()?,
        premixes: names.premixes(),
    };
    remarks::on_jar(&recipe, &at_jar, problems);
    remarks::on_stock(&recipe, &mentioned, &written.head, problems);
    Some(recipe)
}

/// Where a step stands towards the ratio.
enum Place {
    /// It has a share.
    Inside(LineAmount, String, Range<usize>),
    /// It has none.
    Outside,
    /// What it pours cannot be worked out; that has been reported.
    Unknown,
}

/// Looks up what a step pours and works out its weight, so that every problem is said at once.
fn place(
    step: &WrittenStep,
    names: &mut Names,
    checker: &mut Checker<'_>,
    problems: &mut Problems<'_>,
) -> Place {
    let measures = checker.settings.measures;
    let outside = |known: bool| {
        if known {
            Place::Outside
        } else {
            Place::Unknown
        }
    };
    match &step.kind {
        WrittenKind::Add { name, amount, .. } => {
            let Some(found) = names.find(name, checker, problems) else {
                return Place::Unknown;
            };
            if amount.get_ref().is_inside() {
                return match convert::inside(amount, found, &measures, problems) {
                    Some(inside) => Place::Inside(inside, name.get_ref().clone(), amount.span()),
                    None => Place::Unknown,
                };
            }
            outside(convert::is_known(amount, found, &measures, problems))
        }
        WrittenKind::Thin {
            with, by, at_most, ..
        } => {
            let Some(found) = names.find(with, checker, problems) else {
                return Place::Unknown;
            };
            let once = convert::is_known(by, found, &measures, problems);
            let most = at_most.as_ref().filter(|_| once);
            outside(
                once && most.is_none_or(|most| convert::is_known(most, found, &measures, problems)),
            )
        }
        WrittenKind::Stir(_)
        | WrittenKind::Rest(_)
        | WrittenKind::Strain(_)
        | WrittenKind::Look(_)
        | WrittenKind::Trail(_)
        | WrittenKind::Note(_) => Place::Outside,
    }
}

fn jar_volume(
    jar: &Spanned<Quantity>,
    measures: &Measures,
    problems: &mut Problems<'_>,
) -> Option<Volume> {
    let quantity = jar.get_ref();
    let Measure::Volume(unit) = quantity.measure else {
        return None;
    };
    match unit.one(measures.fluid_ounce) {
        Some(one) => Some(Volume::from_microlitres(
            &quantity.exact() * one.microlitres(),
        )),
        None => {
            let missing = Missing::FluidOunceSetting;
            problems.error(jar.span(), missing.message("jar")).help = Some(missing.help("jar"));
            None
        }
    }
}
