//! Checking the recipe a command works with.

use std::sync::Arc;

use tarehand_mixing::diagnostic::{Diagnostic, Paint, Severity, render};
use tarehand_mixing::document::{Source, Sources};
use tarehand_mixing::recipe::{self, Recipe, Settings};
use tarehand_mixing::set::is_set;
use tarehand_mixing::shelf::Shelf;
use tarehand_protocol::api::{OpenBatch, Size};
use tarehandd::api::translate;

use crate::failure::Failure;
use crate::files::texts_of;
use crate::output::{Ink, Output};

/// A recipe that can be made, and what was said about it.
pub(crate) struct Good {
    /// The recipe.
    pub(crate) recipe: Arc<Recipe>,
    /// The shelf it was checked with.
    pub(crate) shelf: Shelf,
    /// Warnings and notes.
    pub(crate) remarks: Vec<Diagnostic>,
}

/// Checks a recipe that is to be made; what is wrong with it is shown before the command ends.
pub(crate) fn good(
    stem: &str,
    sources: &Sources,
    settings: &Settings,
    output: &mut Output,
) -> Result<Good, Failure> {
    if sources.recipe(stem).is_some_and(is_set) {
        return Err(Failure::Refused {
            what: format!("`{stem}` is a set of jars, not a recipe"),
            hint: Some(format!(
                "tarehand plan {stem}.toml says what to mix; then mix one of its recipes"
            )),
        });
    }
    let checked = recipe::check(sources, stem, settings);
    say_worth(&checked.diagnostics, sources, output);
    match checked.recipe {
        Some(recipe) => Ok(Good {
            recipe,
            shelf: checked.shelf,
            remarks: checked.diagnostics,
        }),
        None => Err(Failure::Refused {
            what: format!("`{stem}` cannot be made as it is written"),
            hint: Some(
                "put right what is marked above, then check it again: tarehand check FILE"
                    .to_owned(),
            ),
        }),
    }
}

/// Says what keeps the mix from being as meant; notes are for `check`.
pub(crate) fn say_worth(diagnostics: &[Diagnostic], sources: &Sources, output: &mut Output) {
    let worth: Vec<Diagnostic> = diagnostics
        .iter()
        .filter(|diagnostic| diagnostic.severity != Severity::Note)
        .cloned()
        .collect();
    if !worth.is_empty() {
        output.say(render(&worth, sources, Paint::Plain));
    }
}

/// Returns the paint for an ink.
pub(crate) const fn paint(ink: Ink) -> Paint {
    match ink {
        Ink::Colour => Paint::Colour,
        Ink::Plain => Paint::Plain,
    }
}

/// Makes the message that opens a batch of a recipe.
pub(crate) fn opening(
    recipe: &Recipe,
    sources: &Sources,
    settings: &Settings,
    size: Size,
) -> OpenBatch {
    OpenBatch {
        recipe: recipe.stem().to_owned(),
        recipes: texts_of(recipe, sources),
        shelf: sources.shelf().map(|shelf| Source::text(shelf).to_owned()),
        measures: translate::measures_said(settings.measures),
        choices: settings.choices.clone(),
        size,
        grow_by_percent: None,
        room: None,
        hand: None,
    }
}
