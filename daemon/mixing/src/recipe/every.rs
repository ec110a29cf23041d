//! Checks a recipe in every way it can be chosen.

use std::collections::BTreeMap;

use super::{Checked, Settings, Sources, check};

/// Checks a recipe as [`check`] does, and each of its other options beside what is chosen else.
///
/// What only another option brings up says with which. Options of two choices are not tried against each other:
/// each stands for ingredients of its own.
#[must_use]
pub fn check_every_option(sources: &Sources, stem: &str, settings: &Settings) -> Checked {
    let mut checked = check(sources, stem, settings);
    let Some(recipe) = checked.recipe.clone() else {
        return checked;
    };
    for choice in recipe.choices() {
        for option in &choice.others {
            let mut otherwise = settings.clone();
            otherwise
                .choices
                .insert(choice.name.clone(), option.clone());
            for mut said in check(sources, stem, &otherwise).diagnostics {
                let known = checked.diagnostics.iter().any(|known| {
                    (&known.file, &known.range, &known.message)
                        == (&said.file, &said.range, &said.message)
                });
                if !known {
                    said.message = format!("with {}={option}: {}", choice.name, said.message);
                    checked.diagnostics.push(said);
                }
            }
        }
    }
    if checked.diagnostics.iter().any(|said| said.is_error()) {
        checked.recipe = None;
    }
    checked
}

/// Returns the names of the choices that a recipe and its premixes leave; none while it cannot be made.
#[must_use]
pub fn left_to_choose(sources: &Sources, stem: &str, settings: &Settings) -> Vec<String> {
    let nothing_chosen = Settings {
        choices: BTreeMap::new(),
        ..settings.clone()
    };
    let checked = check(sources, stem, &nothing_chosen);
    let choices = checked.recipe.iter().flat_map(|recipe| recipe.choices());
    choices.map(|choice| choice.name.clone()).collect()
}

/// Returns what each of several is asked for: what one of them leaves to choose is asked only of those that leave it.
///
/// `left` are the names that each leaves. What none of them leaves is asked of all, so that all say so.
#[must_use]
pub fn ask_each(settings: &Settings, left: &[Vec<String>]) -> Vec<Settings> {
    let anywhere = |name: &String| left.iter().any(|names| names.contains(name));
    left.iter()
        .map(|names| {
            let choices: BTreeMap<_, _> = settings
                .choices
                .iter()
                .filter(|(name, _)| names.contains(name) || !anywhere(name))
                .map(|(name, option)| (name.clone(), option.clone()))
                .collect();
            Settings {
                choices,
                ..settings.clone()
            }
        })
        .collect()
}
