//! Turns a written recipe into a checked one: names looked up, amounts made exact shares.

use std::ops::Range;

use toml::Spanned;

use super::check::Checker;
use super::model::{Dose, Recipe, RecipeStep, RecipeStepKind, Tolerance};
use super::names::{Found, Names};
use super::shares::{Line, LineAmount, Shares, SharesError, solve};
use super::written::{Written, WrittenKind, WrittenStep};
use super::{WrittenAmount, convert, remarks};
use crate::diagnostic::nearest;
use crate::document::Problems;
use crate::procedure::Within;
use crate::ratio::Ratio;
use crate::shelf::Missing;
use crate::units::{Measure, Measures, Quantity, Volume};

/// A step whose name has been looked up and whose amount is in the solver's terms.
struct Placed {
    step: WrittenStep,
    /// Which line of the solver it is, when it lies inside the ratio.
    line: Option<usize>,
}

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
    for step in written.steps {
        let mut line = None;
        match place(&step, &mut names, checker, problems) {
            Place::Inside(amount, name, span) => {
                line = Some(lines.len());
                spans.push(span);
                lines.push(Line { name, amount });
            }
            Place::Outside => {}
            Place::Unknown => complete = false,
        }
        placed.push(Placed { step, line });
    }
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
        .map(|placed| builder.step(placed))
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
    remarks::on_recipe(&recipe, &written.head, problems);
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

/// Builds the steps of the checked recipe from the solved shares.
struct Builder<'b, 'c, 'p> {
    names: &'b mut Names,
    checker: &'b mut Checker<'c>,
    problems: &'b mut Problems<'p>,
    shares: &'b Shares,
    within: &'b Spanned<Within>,
}

impl Builder<'_, '_, '_> {
    fn step(&mut self, placed: Placed) -> Option<RecipeStep> {
        let WrittenStep { kind, note } = placed.step;
        let kind = match kind {
            WrittenKind::Add {
                name,
                amount,
                within,
            } => {
                let ingredient = self
                    .names
                    .find(&name, self.checker, self.problems)?
                    .ingredient
                    .clone();
                let dose = self.dose(&name, &amount, within.as_ref(), placed.line)?;
                RecipeStepKind::Add { ingredient, dose }
            }
            WrittenKind::Thin {
                with,
                by,
                at_most,
                wanted,
            } => {
                let ingredient = self
                    .names
                    .find(&with, self.checker, self.problems)?
                    .ingredient
                    .clone();
                let once = self.of_total(&with, &by)?;
                let most = match &at_most {
                    Some(at_most) => Some(self.of_total(&with, at_most)?),
                    None => None,
                };
                if let (Some(at_most), Some(most)) = (&at_most, &most)
                    && *most < once
                {
                    self.problems
                        .error(
                            at_most.span(),
                            "all splashes together are less than one of them",
                        )
                        .help = Some("`by` is one splash, `at_most` is all of them".to_owned());
                    return None;
                }
                RecipeStepKind::Thin {
                    with: ingredient,
                    by: once,
                    at_most: most,
                    wanted,
                }
            }
            WrittenKind::Stir(time) => RecipeStepKind::Stir(time),
            WrittenKind::Rest(time) => RecipeStepKind::Rest(time),
            WrittenKind::Strain(through) => RecipeStepKind::Strain(through),
            WrittenKind::Look(expect) => RecipeStepKind::Look(expect),
            WrittenKind::Trail(wanted) => RecipeStepKind::Trail(wanted),
            WrittenKind::Note(text) => RecipeStepKind::Note(text),
        };
        Some(RecipeStep { kind, note })
    }

    fn dose(
        &mut self,
        name: &Spanned<String>,
        amount: &Spanned<WrittenAmount>,
        within: Option<&Spanned<Within>>,
        line: Option<usize>,
    ) -> Option<Dose> {
        match amount.get_ref() {
            WrittenAmount::ByEye => return Some(Dose::ByEye),
            WrittenAmount::Whole { vessel } => {
                let named = vessel
                    .clone()
                    .unwrap_or_else(|| format!("the vessel of {}", name.get_ref()));
                return Some(Dose::Whole { vessel: named });
            }
            WrittenAmount::Range { low, high } => {
                let measures = self.checker.settings.measures;
                let found = self.names.find(name, self.checker, self.problems)?;
                let counted = convert::counted(low, found, &measures);
                let low = convert::micrograms(low, amount, found, &measures, self.problems)?;
                let high = convert::micrograms(high, amount, found, &measures, self.problems)?;
                return Some(Dose::Range {
                    low: self.over_base(&low, amount)?,
                    high: self.over_base(&high, amount)?,
                    counted,
                });
            }
            WrittenAmount::Quantity(_)
            | WrittenAmount::Percent(_)
            | WrittenAmount::PercentOf { .. }
            | WrittenAmount::Parts(_) => {}
        }
        let share = self.shares.shares.get(line?)?.clone();
        let counted = match amount.get_ref() {
            WrittenAmount::Quantity(quantity) => {
                let measures = self.checker.settings.measures;
                let found = self.names.find(name, self.checker, self.problems)?;
                convert::counted(quantity, found, &measures)
            }
            _ => None,
        };
        match counted {
            Some((unit, each)) => Some(Dose::Counted {
                share,
                unit,
                each,
                within: match within {
                    Some(within) => Some(self.tolerance(within)?),
                    None => None,
                },
            }),
            None => {
                let within = within.unwrap_or(self.within);
                if let Some(base) = &self.shares.base {
                    remarks::on_within(within, &(&share * base), self.problems);
                }
                Some(Dose::Weighed {
                    within: self.tolerance(within)?,
                    share,
                })
            }
        }
    }

    fn tolerance(&mut self, within: &Spanned<Within>) -> Option<Tolerance> {
        match within.get_ref() {
            Within::Fraction(fraction) => Some(Tolerance::OfTarget(fraction.clone())),
            Within::Mass(mass) => {
                let over = self.shares.base.as_ref();
                let over = over.and_then(|base| Ratio::from_mass(*mass).checked_div(base));
                if over.is_none() {
                    self.refers_to_nothing(within.span());
                }
                over.map(Tolerance::OfTotal)
            }
        }
    }

    /// Returns one splash, or all of them, as a fraction of the total.
    fn of_total(
        &mut self,
        name: &Spanned<String>,
        amount: &Spanned<WrittenAmount>,
    ) -> Option<Ratio> {
        match amount.get_ref() {
            WrittenAmount::Percent(percent) => {
                Some(&Ratio::from_decimal(*percent) * &Ratio::new(1, 100))
            }
            WrittenAmount::Quantity(quantity) => {
                let measures = self.checker.settings.measures;
                let found: &Found = self.names.find(name, self.checker, self.problems)?;
                let micrograms =
                    convert::micrograms(quantity, amount, found, &measures, self.problems)?;
                self.over_base(&micrograms, amount)
            }
            _ => None,
        }
    }

    fn over_base(&mut self, micrograms: &Ratio, at: &Spanned<WrittenAmount>) -> Option<Ratio> {
        let over = self
            .shares
            .base
            .as_ref()
            .and_then(|base| micrograms.checked_div(base));
        if over.is_none() {
            self.refers_to_nothing(at.span());
        }
        over
    }

    fn refers_to_nothing(&mut self, at: Range<usize>) {
        if !self.problems.points_at(&at) {
            self.problems
                .error(at, "this is a mass, but the recipe has only shares and does not say how much it makes")
                .help = Some("write makes = \"…\" under [recipe], then it scales with the batch".to_owned());
        }
    }
}
