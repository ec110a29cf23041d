//! Takes one option of every choice, and lets the steps follow it.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use toml::Spanned;

use super::agree;
use super::written::{Uses, WrittenChoice};
use crate::choice::{Choice, ChooseError};
use crate::document::Problems;
use crate::ratio::Ratio;
use crate::recipe::WrittenAmount;
use crate::recipe::check::Checker;
use crate::recipe::written::{Written, WrittenKind, WrittenStep};

/// Something that was asked for and is no option, and where the choice is written.
#[derive(Clone, Debug)]
pub(in crate::recipe) struct Refused {
    /// The stem of the recipe that leaves the choice.
    pub stem: String,
    pub at: Range<usize>,
    pub error: ChooseError,
}

/// What was chosen in a recipe, and what its other options use.
#[derive(Default)]
pub(in crate::recipe) struct Chosen {
    pub made: Vec<Choice>,
    pub otherwise: Vec<String>,
}

/// Puts what was chosen into the steps; returns the choices as they were made.
///
/// The first recipe that leaves a choice decides it for everything that goes into the jar: a premix follows.
pub(in crate::recipe) fn choose(
    stem: &str,
    written: &mut Written,
    checker: &mut Checker<'_>,
    problems: &mut Problems<'_>,
) -> Chosen {
    let choices = std::mem::take(&mut written.choices);
    let mut chosen = Chosen::default();
    if choices.is_empty() {
        return chosen;
    }
    let said: BTreeSet<&str> = written.steps.iter().filter_map(|step| said(step)).collect();
    agree::check(&choices, &said, checker, problems);
    let mut meant: BTreeMap<&str, Option<&Uses>> = BTreeMap::new();
    for choice in &choices {
        // What an option that could not be read stands for is not known, and that it could not has been said.
        for option in &choice.options {
            let words = option.meanings.keys();
            meant.extend(words.map(|word| (word.as_str(), None)));
        }
        let Some(at) = option_of(stem, choice, checker, problems).filter(|_| choice.complete)
        else {
            written.complete = false;
            continue;
        };
        agree::unknown(choice, at, checker, problems);
        let option = &choice.options[at];
        for (word, meaning) in &option.meanings {
            meant.insert(word, Some(&meaning.uses));
        }
        let names = choice.options.iter().map(|option| option.name.get_ref());
        chosen.otherwise.extend(agree::others(choice, at));
        chosen.made.push(Choice {
            name: choice.name.get_ref().clone(),
            chosen: option.name.get_ref().clone(),
            others: names
                .filter(|name| *name != option.name.get_ref())
                .cloned()
                .collect(),
        });
    }
    let steps = std::mem::take(&mut written.steps);
    written.steps = steps
        .into_iter()
        .filter_map(|step| follow(step, &meant))
        .collect();
    chosen
}

/// Returns the name of what a step pours.
fn said(step: &WrittenStep) -> Option<&str> {
    match &step.kind {
        WrittenKind::Add { name, .. } | WrittenKind::Thin { with: name, .. } => {
            Some(name.get_ref().as_str())
        }
        WrittenKind::Stir(_)
        | WrittenKind::Rest(_)
        | WrittenKind::Strain(_)
        | WrittenKind::Look(_)
        | WrittenKind::Trail(_)
        | WrittenKind::Decant { .. }
        | WrittenKind::Note(_) => None,
    }
}

/// Returns the place of the option that is taken, and remembers it for the premixes.
fn option_of(
    stem: &str,
    choice: &WrittenChoice,
    checker: &mut Checker<'_>,
    problems: &mut Problems<'_>,
) -> Option<usize> {
    let name = choice.name.get_ref();
    let place = |wanted: &str| {
        let mut options = choice.options.iter();
        options.position(|option| option.name.get_ref() == wanted)
    };
    let Some(wanted) = checker.decided.get(name) else {
        let first = choice.options.first()?.name.get_ref();
        checker.decided.insert(name.clone(), first.clone());
        return Some(0);
    };
    if let Some(place) = place(wanted) {
        return Some(place);
    }
    let error = ChooseError::NoOption {
        name: name.clone(),
        option: wanted.clone(),
        options: choice
            .options
            .iter()
            .map(|option| option.name.get_ref().clone())
            .collect(),
    };
    if checker.asked.get(name) == Some(wanted) {
        // Whoever asked says so, where it was asked.
        if choice.complete {
            checker.refused.push(Refused {
                stem: stem.to_owned(),
                at: choice.name.span(),
                error,
            });
        }
        return choice.options.first().map(|_| 0);
    }
    if choice.complete {
        problems
            .error(
                choice.name.span(),
                format!("{error}, which is what the mix it goes into was chosen to be"),
            )
            .help = Some(
            "give it the same options as the recipe that uses this one, or another name".to_owned(),
        );
    }
    None
}

/// Returns a step as it is with what was chosen; `None` for one that is left out.
fn follow(mut step: WrittenStep, meant: &BTreeMap<&str, Option<&Uses>>) -> Option<WrittenStep> {
    let (name, amount) = match &mut step.kind {
        WrittenKind::Add { name, amount, .. } => (name, Some(amount)),
        WrittenKind::Thin { with, .. } => (with, None),
        WrittenKind::Stir(_)
        | WrittenKind::Rest(_)
        | WrittenKind::Strain(_)
        | WrittenKind::Look(_)
        | WrittenKind::Trail(_)
        | WrittenKind::Decant { .. }
        | WrittenKind::Note(_) => return Some(step),
    };
    if let Some(uses) = meant.get(name.get_ref().as_str()) {
        match uses {
            Some(Uses::This { add, ratio }) => {
                *name = add.clone();
                step.ratio = Some(ratio.clone()).filter(|ratio| *ratio != Ratio::one());
            }
            Some(Uses::Nothing) | None => return None,
        }
    }
    if let Some(amount) = amount
        && let WrittenAmount::PercentOf {
            percent,
            ingredient,
        } = amount.get_ref()
        && let Some(uses) = meant.get(ingredient.as_str())
    {
        match uses {
            Some(Uses::This { add, .. }) => {
                let of_chosen = WrittenAmount::PercentOf {
                    percent: *percent,
                    ingredient: add.get_ref().clone(),
                };
                *amount = Spanned::new(amount.span(), of_chosen);
            }
            // A percentage of nothing is nothing.
            Some(Uses::Nothing) | None => return None,
        }
    }
    Some(step)
}
