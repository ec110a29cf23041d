//! Checks a recipe with everything it refers to.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::{Recipe, Sources, raw, resolve, written};
use crate::diagnostic::Diagnostic;
use crate::document::{Problems, Source};
use crate::shelf::Shelf;
use crate::units::Measures;

/// What a check needs to know beside the files.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Settings {
    /// Which spoon and which fluid ounce are meant.
    pub measures: Measures,
}

/// The outcome of a check.
#[derive(Clone, Debug, PartialEq)]
pub struct Checked {
    /// The recipe; `None` when a diagnostic is an error.
    pub recipe: Option<Arc<Recipe>>,
    /// The shelf, as far as it could be read.
    pub shelf: Shelf,
    /// Everything there is to say: on the recipe first, then on the shelf and the premixes.
    pub diagnostics: Vec<Diagnostic>,
}

impl Checked {
    /// Returns whether there is neither an error nor a warning; notes are allowed.
    #[must_use]
    pub fn is_clean(&self) -> bool {
        self.diagnostics
            .iter()
            .all(|diagnostic| diagnostic.severity == crate::diagnostic::Severity::Note)
    }
}

/// Checks the recipe of a stem together with the shelf and every premix it uses.
///
/// Every problem of every file is reported at once, in the order of the files. The recipe is given
/// only when none of them is an error.
#[must_use]
pub fn check(sources: &Sources, stem: &str, settings: &Settings) -> Checked {
    let (shelf, shelf_problems) = match sources.shelf() {
        Some(source) => Shelf::parse(source, &settings.measures),
        None => (Shelf::default(), Vec::new()),
    };
    let shelf = shelf.less(sources.drawn());
    let shelf_is_good = !shelf_problems.iter().any(Diagnostic::is_error);
    let mut checker = Checker::new(sources, settings, &shelf);
    let recipe = match sources.recipe(stem) {
        Some(source) => checker.recipe(stem, source),
        None => {
            checker.found.push((0, vec![no_such_recipe(sources, stem)]));
            None
        }
    };
    let mut found = checker.into_found();
    found.sort_by_key(|&(depth, _)| depth);
    let own = found.iter().filter(|&&(depth, _)| depth == 0);
    let premixes = found.iter().filter(|&&(depth, _)| 0 < depth);
    let mut diagnostics: Vec<Diagnostic> = own.flat_map(|(_, list)| list.clone()).collect();
    diagnostics.extend(shelf_problems);
    diagnostics.extend(premixes.flat_map(|(_, list)| list.clone()));
    Checked {
        recipe: recipe.filter(|_| shelf_is_good),
        shelf,
        diagnostics,
    }
}

fn no_such_recipe(sources: &Sources, stem: &str) -> Diagnostic {
    let meant = crate::diagnostic::nearest(stem, sources.stems());
    Diagnostic {
        severity: crate::diagnostic::Severity::Error,
        file: format!("{stem}.toml"),
        line: 1,
        column: 1,
        range: 0..0,
        message: format!("there is no recipe `{stem}`"),
        help: meant.map(|meant| format!("did you mean `{meant}`?")),
    }
}

/// Carries what is known while recipes are followed into their premixes.
pub(super) struct Checker<'a> {
    pub sources: &'a Sources,
    pub settings: &'a Settings,
    pub shelf: &'a Shelf,
    /// The stems being checked, outermost first.
    pub path: Vec<String>,
    done: BTreeMap<String, Option<Arc<Recipe>>>,
    found: Vec<(usize, Vec<Diagnostic>)>,
}

impl<'a> Checker<'a> {
    pub(super) const fn new(
        sources: &'a Sources,
        settings: &'a Settings,
        shelf: &'a Shelf,
    ) -> Self {
        Self {
            sources,
            settings,
            shelf,
            path: Vec::new(),
            done: BTreeMap::new(),
            found: Vec::new(),
        }
    }

    /// Returns what was said, on each file with how deep it stands inside others.
    pub(super) fn into_found(self) -> Vec<(usize, Vec<Diagnostic>)> {
        self.found
    }

    /// Checks one recipe; each file is checked once, however many recipes use it.
    pub(super) fn recipe(&mut self, stem: &str, source: &Source) -> Option<Arc<Recipe>> {
        if let Some(done) = self.done.get(stem) {
            return done.clone();
        }
        let (mut problems, document) = Problems::parse(source);
        let raw = raw::read(&document, &mut problems);
        let written = written::understand(raw, &mut problems);
        self.path.push(stem.to_owned());
        let recipe = resolve::resolve(stem, written, self, &mut problems);
        self.path.pop();
        let recipe = recipe.filter(|_| !problems.has_errors()).map(Arc::new);
        self.found.push((self.path.len(), problems.into_list()));
        self.done.insert(stem.to_owned(), recipe.clone());
        recipe
    }
}
