//! Turns a written recipe into a checked one: names looked up, amounts made exact shares.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use toml::Spanned;

use super::build::Builder;
use super::check::Checker;
use super::exchange::normalise;
use super::model::{Recipe, RecipeStep};
use super::names::Names;
use super::shares::{Line, LineAmount, SharesError, solve};
use super::written::{Written, WrittenKind, WrittenStep};
use super::{choice, convert, decant, remarks, stand_in};
use crate::choice::Choice;
use crate::diagnostic::nearest;
use crate::document::Problems;
use crate::shelf::Missing;
use crate::units::{Measure, Measures, Quantity, Volume};

/// Resolves a written recipe; whatever is wrong is reported, and then there is no recipe.
pub(super) fn resolve(
    stem: &str,
    mut written: Written,
    checker: &mut Checker<'_>,
    problems: &mut Problems<'_>,
) -> Option<Recipe> {
    let measures = checker.settings.measures;
    let chosen = choice::choose(stem, &mut written, checker, problems);
    let scaled = written.steps.iter().any(|step| step.ratio.is_some());
    let mut names = Names::default();
    let mentioned = mentions(&written.steps);
    let placed = Placed::place(written.steps, &mut names, checker, problems);
    let decants = decant::places(&placed.steps);
    let in_order = decant::in_order(&placed.steps, problems);
    let at_jar = span_or(written.jar.as_ref(), &written.head);
    let jar = written
        .jar
        .and_then(|jar| jar_volume(&jar, &measures, problems));
    if !written.complete || !placed.complete || !in_order {
        return None;
    }
    let at_makes = span_or(written.makes.as_ref(), &written.head);
    let makes = written.makes.and_then(|makes| makes.get_ref().micrograms());
    let shares = match solve(&placed.lines, makes.as_ref()) {
        Ok(shares) => shares,
        Err(error) => {
            report(&error, &placed, &at_makes, &written.head, problems);
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
    // All of them are built before one that failed ends it, so that every problem is said.
    let steps: Vec<Option<RecipeStep>> = placed
        .steps
        .into_iter()
        .map(|(step, line)| builder.step(step, line))
        .collect();
    let premixes = names.premixes();
    let mut recipe = Recipe {
        stem: stem.to_owned(),
        name: written.name,
        makes: makes.or(shares.base).map(|micrograms| micrograms.to_mass()),
        trail: written.trail,
        jar,
        pot_life: written.pot_life,
        steps: steps.into_iter().collect::<Option<_>>()?,
        choices: with_premixes(chosen.made, &premixes),
        otherwise: chosen.otherwise,
        premixes,
        replaced: Vec::new(),
        as_written: Vec::new(),
    };
    if !decant::there_is_enough(&recipe, &decants, problems) {
        return None;
    }
    if scaled {
        normalise(&mut recipe);
    }
    let recipe = match stand_in::stand_in(recipe, checker.shelf) {
        Ok(recipe) => recipe,
        Err(error) => {
            problems.error(written.head, error.to_string()).help = Some(
                "put another stand-in first on the shelf, or change what it takes away".to_owned(),
            );
            return None;
        }
    };
    remarks::on_stand_ins(&recipe, &mentioned, &written.head, problems);
    remarks::on_jar(&recipe, &at_jar, problems);
    remarks::on_stock(&recipe, &mentioned, &written.head, problems);
    remarks::on_families(&recipe, checker.shelf, &mentioned, &written.head, problems);
    Some(recipe)
}

/// Returns the choices of a recipe and those only its premixes leave; each once.
fn with_premixes(
    mut choices: Vec<Choice>,
    premixes: &BTreeMap<String, Arc<Recipe>>,
) -> Vec<Choice> {
    for choice in premixes.values().flat_map(|premix| &premix.choices) {
        if !choices.iter().any(|known| known.name == choice.name) {
            choices.push(choice.clone());
        }
    }
    choices
}

fn span_or<T>(value: Option<&Spanned<T>>, otherwise: &Range<usize>) -> Range<usize> {
    value.map_or_else(|| otherwise.clone(), Spanned::span)
}

/// Returns where each name is poured first.
fn mentions(steps: &[WrittenStep]) -> BTreeMap<String, Range<usize>> {
    let mut mentions = BTreeMap::new();
    for step in steps {
        if let WrittenKind::Add { name, .. } | WrittenKind::Thin { with: name, .. } = &step.kind {
            let first = mentions.entry(name.get_ref().clone());
            first.or_insert_with(|| name.span());
        }
    }
    mentions
}

/// Reports why the amounts make no recipe, at the amount or the total that is to blame.
fn report(
    error: &SharesError,
    placed: &Placed,
    at_makes: &Range<usize>,
    head: &Range<usize>,
    problems: &mut Problems<'_>,
) {
    let at = match error {
        SharesError::OfWhat { line, .. } | SharesError::Circle { line, .. } => &placed.spans[*line],
        SharesError::NothingLeft { .. } | SharesError::NotMakes { .. } => at_makes,
        SharesError::Nothing | SharesError::NoRoom { .. } | SharesError::LeftOfWhat => head,
    };
    let help = match error {
        SharesError::OfWhat { of, .. } => {
            let known = placed.lines.iter().map(|line| line.name.as_str());
            nearest(of, known).map(|meant| format!("did you mean `{meant}`?"))
        }
        other => other.help(),
    };
    problems.error(at.clone(), error.to_string()).help = help;
}

/// The steps of a recipe with what they pour looked up and weighed.
struct Placed {
    /// Each step, with its line in the shares when it lies inside the ratio.
    steps: Vec<(WrittenStep, Option<usize>)>,
    lines: Vec<Line>,
    /// Where each line's amount is written.
    spans: Vec<Range<usize>>,
    /// Whether everything could be worked out.
    complete: bool,
}

impl Placed {
    fn place(
        steps: Vec<WrittenStep>,
        names: &mut Names,
        checker: &mut Checker<'_>,
        problems: &mut Problems<'_>,
    ) -> Self {
        let mut placed = Self {
            steps: Vec::with_capacity(steps.len()),
            lines: Vec::new(),
            spans: Vec::new(),
            complete: true,
        };
        for step in steps {
            let mut line = None;
            match place(&step, names, checker, problems) {
                Place::Inside(amount, name, span) => {
                    line = Some(placed.lines.len());
                    placed.spans.push(span);
                    placed.lines.push(Line { name, amount });
                }
                Place::Outside => {}
                Place::Unknown => placed.complete = false,
            }
            placed.steps.push((step, line));
        }
        placed
    }
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
        | WrittenKind::Decant { .. }
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
