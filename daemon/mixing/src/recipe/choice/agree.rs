//! Whether the options of a choice go together, and with everything else that has a name.

use std::collections::{BTreeMap, BTreeSet};

use toml::Spanned;

use super::written::{Uses, WrittenChoice, WrittenOption};
use crate::diagnostic::nearest;
use crate::document::Problems;
use crate::recipe::check::Checker;
use crate::recipe::names;

/// Says everything that keeps the choices from being made; `said` are the names that steps say.
pub(super) fn check(
    choices: &[WrittenChoice],
    said: &BTreeSet<&str>,
    checker: &Checker<'_>,
    problems: &mut Problems<'_>,
) {
    let mut owners: BTreeMap<&str, &str> = BTreeMap::new();
    for choice in choices.iter().filter(|choice| choice.complete) {
        let name = choice.name.get_ref();
        if choice.options.len() < 2 {
            problems
                .error(
                    choice.name.span(),
                    format!("`{name}` leaves nothing to choose"),
                )
                .help = Some(
                "give it a second option, or write the ingredient itself into the steps".to_owned(),
            );
            continue;
        }
        same_names(choice, problems);
        same_meaning(choice, problems);
        let mut heard = false;
        for (word, meaning) in first_of_each(choice) {
            let owner = owners.entry(word).or_insert(name);
            if owner != name {
                problems
                    .error(
                        meaning.clone(),
                        format!("`{word}` is said by two choices, `{owner}` and `{name}`"),
                    )
                    .help = Some("give it another name in one of them".to_owned());
            }
            // A name that means something else already is no unused one.
            heard |= taken(word, meaning.clone(), checker, problems) || said.contains(word);
        }
        if !heard {
            let words: Vec<&str> = first_of_each(choice).into_keys().collect();
            let slip = words
                .iter()
                .find_map(|word| Some((nearest(word, said.iter().copied())?, word)));
            problems
                .error(
                    choice.name.span(),
                    format!("no step uses the choice `{name}`"),
                )
                .help = Some(slip.map_or_else(
                || {
                    format!(
                        "write add = \"{}\" in a step, or leave the choice out",
                        words.first().unwrap_or(&"base")
                    )
                },
                |(said, word)| format!("does the step that says `{said}` mean `{word}`?"),
            ));
            continue;
        }
        for (word, at) in first_of_each(choice) {
            if !said.contains(word) && !problems.points_at(&at) {
                problems.error(at, format!("no step says `{word}`")).help = Some(format!(
                    "write add = \"{word}\" in a step, or leave it out of every option"
                ));
            }
        }
    }
}

/// Returns every name that a choice says, with where it is said first.
fn first_of_each(choice: &WrittenChoice) -> BTreeMap<&str, std::ops::Range<usize>> {
    let mut first = BTreeMap::new();
    for option in &choice.options {
        for (word, meaning) in &option.meanings {
            first
                .entry(word.as_str())
                .or_insert_with(|| meaning.at.clone());
        }
    }
    first
}

fn same_names(choice: &WrittenChoice, problems: &mut Problems<'_>) {
    for (word, _) in first_of_each(choice) {
        let says = |option: &&WrittenOption| option.meanings.contains_key(word);
        let Some(whole) = choice.options.iter().find(says) else {
            continue;
        };
        for option in choice.options.iter().filter(|option| !says(option)) {
            problems
                .error(
                    option.name.span(),
                    format!(
                        "`{}` does not say what `{word}` is, and `{}` does",
                        option.name.get_ref(),
                        whole.name.get_ref()
                    ),
                )
                .help = Some(format!(
                "write {word} = \"…\" in it, or {word} = \"none\" to leave out the steps that say it"
            ));
        }
    }
}

fn same_meaning(choice: &WrittenChoice, problems: &mut Problems<'_>) {
    let same = |a: &WrittenOption, b: &WrittenOption| {
        a.meanings.len() == b.meanings.len()
            && a.meanings.iter().all(|(word, meaning)| {
                let other = b.meanings.get(word);
                other.is_some_and(|other| meaning.uses.is_same(&other.uses))
            })
    };
    for (at, option) in choice.options.iter().enumerate() {
        let twin = choice.options[..at]
            .iter()
            .find(|earlier| same(earlier, option));
        if let Some(twin) = twin {
            problems
                .error(
                    option.name.span(),
                    format!(
                        "`{}` means the same as `{}`",
                        option.name.get_ref(),
                        twin.name.get_ref()
                    ),
                )
                .help = Some("leave one of them out, or change what it uses".to_owned());
        }
    }
}

/// Says that a name means something already: then nobody could tell what a step pours.
fn taken(
    word: &str,
    at: std::ops::Range<usize>,
    checker: &Checker<'_>,
    problems: &mut Problems<'_>,
) -> bool {
    let what = if checker.shelf.get(word).is_some() {
        "an ingredient of the shelf"
    } else if checker.sources.recipe(word).is_some() {
        "a recipe beside this one"
    } else {
        return false;
    };
    problems
        .error(
            at,
            format!("`{word}` is {what}, so it cannot stand for a choice"),
        )
        .help = Some("give it another name here and in the steps".to_owned());
    true
}

/// Says what an option that was not chosen names and nobody knows: one day it will be chosen.
pub(super) fn unknown(
    choice: &WrittenChoice,
    chosen: usize,
    checker: &Checker<'_>,
    problems: &mut Problems<'_>,
) {
    for add in uses_otherwise(choice, chosen) {
        if !names::is_known(add.get_ref(), checker) {
            names::not_on_the_shelf(add, checker, problems);
        }
    }
}

/// Returns the keys of what the options use that were not chosen.
pub(super) fn others(choice: &WrittenChoice, chosen: usize) -> impl Iterator<Item = String> {
    uses_otherwise(choice, chosen).map(|add| add.get_ref().clone())
}

fn uses_otherwise(choice: &WrittenChoice, chosen: usize) -> impl Iterator<Item = &Spanned<String>> {
    let others = choice.options.iter().enumerate();
    others
        .filter(move |(at, _)| *at != chosen)
        .flat_map(|(_, option)| option.meanings.values())
        .filter_map(|meaning| match &meaning.uses {
            Uses::This { add, .. } => Some(add),
            Uses::Nothing => None,
        })
}
