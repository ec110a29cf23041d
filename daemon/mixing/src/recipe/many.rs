//! Checks several recipes of one folder together.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::check::Checker;
use super::{Recipe, Settings, Sources};
use crate::diagnostic::Diagnostic;
use crate::shelf::Shelf;

/// The outcome of checking several recipes.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckedMany {
    /// The recipes that can be made, by stem; a premix that several use is one and the same.
    pub recipes: BTreeMap<String, Arc<Recipe>>,
    /// The shelf, as far as it could be read.
    pub shelf: Shelf,
    /// Everything there is to say, on every file once.
    pub diagnostics: Vec<Diagnostic>,
}

/// Checks the recipes of these stems together with the shelf and every premix they use; every file once.
///
/// A stem without a recipe is left out: whoever named it says so where it is named.
#[must_use]
pub fn check_many<'s>(
    sources: &Sources,
    stems: impl IntoIterator<Item = &'s str>,
    settings: &Settings,
) -> CheckedMany {
    let (shelf, shelf_problems) = match sources.shelf() {
        Some(source) => Shelf::parse(source, &settings.measures),
        None => (Shelf::default(), Vec::new()),
    };
    let shelf = shelf.less(sources.drawn());
    let mut checker = Checker::new(sources, settings, &shelf);
    let mut recipes = BTreeMap::new();
    for stem in stems {
        if let Some(source) = sources.recipe(stem)
            && let Some(recipe) = checker.recipe(stem, source)
        {
            recipes.insert(stem.to_owned(), recipe);
        }
    }
    let mut diagnostics = shelf_problems;
    diagnostics.extend(checker.into_found().into_iter().flat_map(|(_, list)| list));
    if diagnostics.iter().any(Diagnostic::is_error) {
        recipes.clear();
    }
    CheckedMany {
        recipes,
        shelf,
        diagnostics,
    }
}
