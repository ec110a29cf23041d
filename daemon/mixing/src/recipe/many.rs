//! Checks several recipes of one folder together.

use std::sync::Arc;

use super::check::Checker;
use super::{Recipe, Settings, Sources};
use crate::choice::{Choices, ChooseError};
use crate::diagnostic::Diagnostic;
use crate::shelf::Shelf;

/// The outcome of checking several recipes.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckedMany {
    /// The recipes in the order they were asked for; a premix that several use is one and the same.
    pub recipes: Vec<CheckedOne>,
    /// The shelf, as far as it could be read.
    pub shelf: Shelf,
    /// Everything there is to say, on every file once.
    pub diagnostics: Vec<Diagnostic>,
}

/// One of several recipes.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckedOne {
    /// The recipe; `None` where there is no such file, and in all of them while one file has an error.
    pub recipe: Option<Arc<Recipe>>,
    /// What was chosen in vain; whoever chose says so.
    pub refused: Vec<ChooseError>,
}

/// Checks recipes by their stems and what is chosen for them, with the shelf and every premix they use; every file once.
///
/// A stem without a recipe has none: whoever named it says so where it is named. The choices of the settings are not
/// asked: what is chosen is said for each.
#[must_use]
pub fn check_many<'s>(
    sources: &Sources,
    wanted: impl IntoIterator<Item = (&'s str, Choices)>,
    settings: &Settings,
) -> CheckedMany {
    let (shelf, shelf_problems) = match sources.shelf() {
        Some(source) => Shelf::parse(source, &settings.measures),
        None => (Shelf::default(), Vec::new()),
    };
    let shelf = shelf.less(sources.drawn());
    let mut checker = Checker::new(sources, settings, &shelf);
    let mut recipes = Vec::new();
    for (stem, asked) in wanted {
        let chosen = sources
            .recipe(stem)
            .map(|source| checker.chosen(stem, source, &asked));
        recipes.push(match chosen {
            Some(chosen) => CheckedOne {
                recipe: chosen.recipe,
                refused: chosen.refused.into_iter().map(|it| it.error).collect(),
            },
            None => CheckedOne {
                recipe: None,
                refused: Vec::new(),
            },
        });
    }
    let mut diagnostics = shelf_problems;
    diagnostics.extend(checker.into_found().into_iter().flat_map(|(_, list)| list));
    if diagnostics.iter().any(Diagnostic::is_error) {
        for one in &mut recipes {
            one.recipe = None;
        }
    }
    CheckedMany {
        recipes,
        shelf,
        diagnostics,
    }
}
