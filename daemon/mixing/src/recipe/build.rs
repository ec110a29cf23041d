//! Builds the steps of a checked recipe from what is written and the solved shares.

use std::ops::Range;

use toml::Spanned;

use super::check::Checker;
use super::exchange::times;
use super::model::{DecantDose, Dose, RecipeStep, RecipeStepKind, Tolerance};
use super::names::{Found, Names};
use super::shares::Shares;
use super::written::{WrittenDecant, WrittenKind, WrittenStep};
use super::{WrittenAmount, convert, remarks};
use crate::document::Problems;
use crate::procedure::Within;
use crate::ratio::Ratio;

/// Builds the steps of the checked recipe from the solved shares.
pub(super) struct Builder<'b, 'c, 'p> {
    pub names: &'b mut Names,
    pub checker: &'b mut Checker<'c>,
    pub problems: &'b mut Problems<'p>,
    pub shares: &'b Shares,
    pub within: &'b Spanned<Within>,
}

impl Builder<'_, '_, '_> {
    /// Builds one step; `line` is its line in the shares, when it lies inside the ratio.
    pub(super) fn step(&mut self, step: WrittenStep, line: Option<usize>) -> Option<RecipeStep> {
        let WrittenStep {
            kind,
            note,
            weigh,
            ratio,
        } = step;
        let mut kind = match kind {
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
                let dose = self.dose(&name, &amount, within.as_ref(), line)?;
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
            WrittenKind::Decant { amount, into } => RecipeStepKind::Decant {
                amount: self.decanted(&amount)?,
                into,
            },
            WrittenKind::Note(text) => RecipeStepKind::Note(text),
        };
        if let Some(ratio) = &ratio {
            times(&mut kind, ratio);
        }
        Some(RecipeStep { kind, note, weigh })
    }

    fn decanted(&mut self, amount: &Spanned<WrittenDecant>) -> Option<DecantDose> {
        match amount.get_ref() {
            WrittenDecant::All => Some(DecantDose::All),
            WrittenDecant::Mass(mass) => {
                let over = self.shares.base.as_ref();
                let part = over.and_then(|base| Ratio::from_mass(*mass).checked_div(base));
                if part.is_none() {
                    self.refers_to_nothing(amount.span());
                }
                Some(DecantDose::Weighed {
                    part: part?,
                    within: self.tolerance(self.within)?,
                })
            }
        }
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
