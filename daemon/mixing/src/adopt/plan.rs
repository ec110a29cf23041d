//! Which amounts of a recipe become which grams.
//!
//! What was judged comes into the ratio, so the total grows by it. What hung on the total, percentages
//! and percentages of something there is more of now, is written in grams, so that it stays as much as
//! it was; parts share what is left, which is what it was.

use tarehand_protocol::Mass;

use super::AdoptError;
use super::outcome::{Decided, Outcome, StepOutcome};
use super::written::Written;
use crate::ratio::Ratio;
use crate::recipe::WrittenAmount;

/// What is to be written.
#[derive(Debug)]
pub(super) struct Plan {
    /// What the recipe makes now, where its file has to say it.
    pub makes: Option<Mass>,
    /// What becomes of each step.
    pub steps: Vec<Fate>,
    /// What was judged and stays, and why.
    pub notes: Vec<String>,
}

/// What becomes of a step.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Fate {
    /// It stays as it is written.
    Stays,
    /// It was judged, and becomes this many grams.
    Becomes {
        /// The grams in the file.
        grams: Mass,
        /// What was poured of it in the batch.
        poured: Mass,
        /// The trail that was reached, where it was thinned.
        trail_s: Option<f64>,
    },
    /// It hung on the total, and is as many grams as it was.
    InGrams(Mass),
}

/// So many times the uncertainty of the weighing a counted amount must be, to be known better than by its count.
const KNOWN_BETTER: i64 = 10;

/// Decides what becomes of every step.
pub(super) fn of(outcome: &Outcome, written: &Written) -> Result<Plan, AdoptError> {
    let mut notes = Vec::new();
    let mut judged = false;
    let taken: Vec<bool> = outcome
        .steps
        .iter()
        .zip(1..)
        .map(|(step, number)| match why_not(step, outcome.uncertainty) {
            Judgement::None => false,
            Judgement::Taken => {
                judged = true;
                true
            }
            Judgement::Left(why) => {
                judged = true;
                notes.push(format!("step {number} stays as it is written: {why}"));
                false
            }
        })
        .collect();
    if !taken.contains(&true) {
        return Err(if judged {
            AdoptError::NothingToTake(notes)
        } else {
            AdoptError::NothingJudged
        });
    }
    let base = base(outcome, written);
    let stay = outcome.steps.iter().zip(&taken);
    let inside = stay.filter_map(|(step, &taken)| Some((step, share(step).filter(|_| !taken)?)));
    let (mut share_inside, mut left_inside) = (Ratio::zero(), outcome.more_inside);
    for (step, share) in inside {
        share_inside = &share_inside + share;
        left_inside += step.left;
    }
    let of_file = &share_inside * &base;
    let factor = of_file
        .checked_div(&Ratio::from_mass(left_inside))
        .filter(|factor| Ratio::zero() < *factor)
        .ok_or(AdoptError::NothingInside)?;
    let steps = outcome.steps.iter().zip(&taken).map(|(step, &taken)| {
        if taken {
            Fate::Becomes {
                grams: readable(&(&factor * &Ratio::from_mass(step.left))),
                poured: step.left,
                trail_s: step.trail_s,
            }
        } else {
            Fate::Stays
        }
    });
    let steps = with_references(steps.collect(), outcome, written, &base);
    Ok(Plan {
        makes: makes(&steps, outcome, written, &base),
        steps,
        notes,
    })
}

enum Judgement {
    None,
    Taken,
    Left(String),
}

fn why_not(step: &StepOutcome, uncertainty: Mass) -> Judgement {
    let Some((key, decided)) = &step.pours else {
        return Judgement::None;
    };
    match decided {
        Decided::ByRecipe(_) | Decided::Whole => Judgement::None,
        Decided::ByPerson | Decided::ByCount(..) if step.after_decanting => {
            Judgement::Left(format!("`{key}` comes after some of the mix was decanted"))
        }
        Decided::ByPerson | Decided::ByCount(..) if step.left <= Mass::ZERO => {
            Judgement::Left(format!("no `{key}` was poured"))
        }
        Decided::ByCount(..)
            if step.left.micrograms() < uncertainty.micrograms().saturating_mul(KNOWN_BETTER) =>
        {
            Judgement::Left(format!(
                "the count of `{key}` says more than {} on this scale",
                step.left
            ))
        }
        Decided::ByPerson | Decided::ByCount(..) => Judgement::Taken,
    }
}

const fn share(step: &StepOutcome) -> Option<&Ratio> {
    match &step.pours {
        Some((_, Decided::ByRecipe(share) | Decided::ByCount(share, _))) => Some(share),
        Some((_, Decided::ByPerson | Decided::Whole)) | None => None,
    }
}

/// Returns the micrograms that absolute amounts in the file refer to; the batch's total where there are none.
fn base(outcome: &Outcome, written: &Written) -> Ratio {
    let over_share =
        |place: usize, micrograms: &Ratio| micrograms.checked_div(share(&outcome.steps[place])?);
    let places = || 0..outcome.steps.len();
    let weighed =
        || places().find_map(|place| over_share(place, &written.mass(place)?.micrograms()?));
    let counted = || {
        places().find_map(|place| match &outcome.steps[place].pours {
            Some((_, Decided::ByCount(_, each))) => over_share(
                place,
                &(&written.count(place)?.exact() * &Ratio::from_mass(*each)),
            ),
            _ => None,
        })
    };
    let makes = || written.makes.and_then(|makes| makes.micrograms());
    let found = if written.has_shares() {
        makes().or_else(weighed).or_else(counted)
    } else {
        // Weights alone may come to something else than `makes`, and then their sum is what counts.
        weighed().or_else(makes).or_else(counted)
    };
    found.unwrap_or_else(|| Ratio::from_mass(outcome.planned))
}

/// Turns what hangs on the total, or on an ingredient there is more of now, into grams.
fn with_references(
    mut steps: Vec<Fate>,
    outcome: &Outcome,
    written: &Written,
    base: &Ratio,
) -> Vec<Fate> {
    let taken: Vec<&str> = steps
        .iter()
        .zip(&outcome.steps)
        .filter(|(fate, _)| matches!(fate, Fate::Becomes { .. }))
        .filter_map(|(_, step)| step.pours.as_ref().map(|(key, _)| key.as_str()))
        .collect();
    let hangs = |amount: Option<&WrittenAmount>| match amount {
        Some(WrittenAmount::Percent(_)) => true,
        Some(WrittenAmount::PercentOf { ingredient, .. }) => taken.contains(&ingredient.as_str()),
        _ => false,
    };
    let in_grams: Vec<Option<Mass>> = outcome
        .steps
        .iter()
        .zip(&written.amounts)
        .map(|(step, amount)| {
            share(step)
                .filter(|_| hangs(amount.as_ref()))
                .map(|share| (share * base).to_mass())
        })
        .collect();
    for (fate, grams) in steps.iter_mut().zip(in_grams) {
        if let (Fate::Stays, Some(grams)) = (&*fate, grams) {
            *fate = Fate::InGrams(grams);
        }
    }
    steps
}

/// Returns what the recipe makes now, where its file has to say it.
fn makes(steps: &[Fate], outcome: &Outcome, written: &Written, base: &Ratio) -> Option<Mass> {
    // Weights alone say by themselves what they come to.
    if written.makes.is_none() && !written.has_shares() {
        return None;
    }
    let each = steps
        .iter()
        .zip(&outcome.steps)
        .map(|(fate, step)| match fate {
            Fate::Becomes { grams, .. } | Fate::InGrams(grams) => Ratio::from_mass(*grams),
            Fate::Stays => share(step).map_or_else(Ratio::zero, |share| share * base),
        });
    Some(each.sum::<Ratio>().to_mass())
}

/// Rounds to what a person would write: milligrams, tenths of them below a gram.
fn readable(micrograms: &Ratio) -> Mass {
    let mass = micrograms.to_mass();
    let step = if mass < Mass::from_grams(1) {
        100
    } else {
        1_000
    };
    let rounded = mass.rounded_to(Mass::from_micrograms(step));
    // Nothing would be no amount at all.
    if rounded.is_zero() { mass } else { rounded }
}
