//! A procedure as flat lines, for tables and for JSON.

use serde::Serialize;

use super::count_text;
use crate::procedure::{Amount, Procedure, StepKind};

/// One addition of a procedure, flat.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Line {
    /// Which step it is, from 1.
    pub step: usize,
    /// The ingredient's key.
    pub ingredient: String,
    /// Its name for people.
    pub name: String,
    /// The grams it should be; only inside the ratio.
    pub target_g: Option<f64>,
    /// The least of a range, in grams.
    pub least_g: Option<f64>,
    /// The most of a range, or of all splashes together, in grams.
    pub at_most_g: Option<f64>,
    /// One splash of thinning, in grams.
    pub splash_g: Option<f64>,
    /// The exact share as a fraction, `2/3`; only inside the ratio.
    pub share: Option<String>,
    /// The share in percent, rounded; only inside the ratio.
    pub percent: Option<f64>,
    /// The count, `6 drops`, where it is counted.
    pub count: Option<String>,
    /// The tolerance in grams to either side, where it is judged.
    pub within_g: Option<f64>,
    /// What lies outside the ratio in words: `by eye`, `all of the paste cup`.
    pub amount: Option<String>,
}

/// Returns the additions of a procedure as flat lines, in the order of the steps.
#[must_use]
pub fn listing(procedure: &Procedure) -> Vec<Line> {
    let steps = procedure.steps.iter().enumerate();
    steps
        .filter_map(|(index, step)| line(index + 1, &step.kind))
        .collect()
}

fn line(step: usize, kind: &StepKind) -> Option<Line> {
    let ingredient = kind.ingredient()?;
    let mut line = Line {
        step,
        ingredient: ingredient.key.clone(),
        name: ingredient.name.clone(),
        target_g: None,
        least_g: None,
        at_most_g: None,
        splash_g: None,
        share: None,
        percent: None,
        count: None,
        within_g: None,
        amount: None,
    };
    match kind {
        StepKind::Add(addition) => fill(&mut line, &addition.amount),
        StepKind::Thin { by, at_most, .. } => {
            line.splash_g = Some(by.grams());
            line.at_most_g = at_most.map(|at_most| at_most.grams());
            line.amount = Some("until the trail is right".to_owned());
        }
        StepKind::Stir { .. }
        | StepKind::Rest { .. }
        | StepKind::Strain { .. }
        | StepKind::Look { .. }
        | StepKind::Trail { .. }
        | StepKind::TakeOut { .. }
        | StepKind::Decant { .. }
        | StepKind::Note { .. } => return None,
    }
    Some(line)
}

fn fill(line: &mut Line, amount: &Amount) {
    match amount {
        Amount::Weighed {
            share,
            target,
            within,
        } => {
            line.target_g = Some(target.grams());
            line.share = Some(share.to_string());
            line.percent = Some(share.to_f64() * 100.0);
            line.within_g = Some(within.of(*target).grams());
        }
        Amount::Counted {
            share,
            unit,
            each,
            expected,
            within,
        } => {
            line.target_g = Some(expected.grams());
            line.share = Some(share.to_string());
            line.percent = Some(share.to_f64() * 100.0);
            line.count = Some(count_text(*expected, *unit, *each));
            line.within_g = within.as_ref().map(|within| within.of(*expected).grams());
        }
        Amount::Range { low, high } => {
            line.least_g = Some(low.grams());
            line.at_most_g = Some(high.grams());
        }
        Amount::ByEye => line.amount = Some("by eye".to_owned()),
        Amount::Whole { vessel } => line.amount = Some(format!("all of {vessel}")),
    }
}
