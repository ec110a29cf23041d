//! Checks a recipe with everything it refers to.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::choice::Refused;
use super::{Recipe, Sources, raw, resolve, written};
use crate::choice::{Choices, ChooseError};
use crate::diagnostic::Diagnostic;
use crate::document::{Problems, Source};
use crate::shelf::Shelf;
use crate::units::Measures;

/// What a check needs to know beside the files.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Settings {
    /// Which spoon and which fluid ounce are meant.
    pub measures: Measures,
    /// What was chosen of what the recipe leaves to choose.
    pub choices: Choices,
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
        Some(source) => {
            let chosen = checker.chosen(stem, source, &settings.choices);
            let found = chosen.refused.iter().filter_map(|refused| {
                let file = sources.recipe(&refused.stem)?;
                Some((0, vec![refused_at(refused, file)]))
            });
            checker.found.extend(found);
            chosen.recipe.filter(|_| chosen.refused.is_empty())
        }
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

/// Says where the choice is written that something was asked for in vain.
fn refused_at(refused: &Refused, source: &Source) -> Diagnostic {
    let (mut problems, _) = Problems::parse(source);
    let error = &refused.error;
    let problem = problems.error(refused.at.clone(), error.to_string());
    problem.help = Some(error.hint());
    problem.clone()
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
        finding: None,
    }
}

/// Carries what is known while recipes are followed into their premixes.
pub(super) struct Checker<'a> {
    pub sources: &'a Sources,
    pub settings: &'a Settings,
    pub shelf: &'a Shelf,
    /// The stems being checked, outermost first.
    pub path: Vec<String>,
    /// What was asked for, of the choices the recipes leave.
    pub asked: Choices,
    /// What every choice was made to be so far; all that goes into one jar follows it.
    pub decided: Choices,
    /// What was asked for and is no option.
    pub refused: Vec<Refused>,
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
            asked: Choices::new(),
            decided: Choices::new(),
            refused: Vec::new(),
            done: BTreeMap::new(),
            found: Vec::new(),
        }
    }

    /// Returns what was said, on each file with how deep it stands inside others.
    pub(super) fn into_found(self) -> Vec<(usize, Vec<Diagnostic>)> {
        self.found
    }

    /// Checks what goes into one jar, with what was chosen for it.
    pub(super) fn chosen(&mut self, stem: &str, source: &Source, asked: &Choices) -> Chosen {
        self.asked.clone_from(asked);
        self.decided.clone_from(asked);
        let recipe = self.recipe(stem, source);
        let mut refused = std::mem::take(&mut self.refused);
        if let Some(recipe) = &recipe {
            let leaves = |name: &str| recipe.choices.iter().any(|choice| choice.name == name);
            let unknown = asked.keys().filter(|name| !leaves(name));
            refused.extend(unknown.map(|name| Refused {
                stem: stem.to_owned(),
                at: 0..0,
                error: ChooseError::NoChoice {
                    recipe: stem.to_owned(),
                    name: name.clone(),
                    known: recipe.choices.clone(),
                },
            }));
        }
        Chosen { recipe, refused }
    }

    /// Checks one recipe; each file is checked once, however many recipes use it, but for what is chosen otherwise.
    pub(super) fn recipe(&mut self, stem: &str, source: &Source) -> Option<Arc<Recipe>> {
        if let Some(done) = self.done.get(stem)
            && done
                .as_ref()
                .is_none_or(|recipe| self.is_as_decided(recipe))
        {
            return done.clone();
        }
        let (mut problems, document) = Problems::parse(source);
        let raw = raw::read(&document, &mut problems);
        let written = written::understand(raw, &mut problems);
        self.path.push(stem.to_owned());
        let recipe = resolve::resolve(stem, written, self, &mut problems);
        self.path.pop();
        let recipe = recipe.filter(|_| !problems.has_errors()).map(Arc::new);
        let list = problems.into_list();
        let said = |problem: &Diagnostic| self.found.iter().any(|(_, list)| list.contains(problem));
        // A file that is chosen one way and the other says the rest of its remarks once.
        let list = list.into_iter().filter(|problem| !said(problem)).collect();
        self.found.push((self.path.len(), list));
        self.done.insert(stem.to_owned(), recipe.clone());
        recipe
    }

    /// Returns whether every choice of a recipe was made as it is to be made now.
    fn is_as_decided(&self, recipe: &Recipe) -> bool {
        let decided = |name: &str| self.decided.get(name);
        let mut choices = recipe.choices.iter();
        choices.all(|choice| decided(&choice.name) == Some(&choice.chosen))
    }
}

/// A recipe with what was chosen for its jar.
pub(super) struct Chosen {
    /// The recipe, with its own option where what was asked for is none.
    pub recipe: Option<Arc<Recipe>>,
    /// What was asked for in vain.
    pub refused: Vec<Refused>,
}
