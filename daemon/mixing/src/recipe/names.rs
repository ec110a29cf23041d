//! Finds out what a name in a recipe means: the shelf, a premix, or simply a name.

use std::collections::BTreeMap;
use std::sync::Arc;

use toml::Spanned;

use super::Recipe;
use super::check::Checker;
use crate::diagnostic::{Finding, Severity, nearest};
use crate::document::Problems;
use crate::procedure::{Ingredient, Origin};
use crate::shelf::ShelfItem;

/// How deep premixes may stand inside each other.
const DEEPEST: usize = 12;

/// What a name means.
pub(super) struct Found {
    pub ingredient: Ingredient,
    /// What weights can be worked out from.
    pub item: ShelfItem,
    pub premix: Option<Arc<Recipe>>,
}

/// The names of one recipe, each looked up once.
#[derive(Default)]
pub(super) struct Names {
    found: BTreeMap<String, Option<Found>>,
}

impl Names {
    /// Looks a name up; `None` when it means a premix that cannot be used.
    pub(super) fn find(
        &mut self,
        name: &Spanned<String>,
        checker: &mut Checker<'_>,
        problems: &mut Problems<'_>,
    ) -> Option<&Found> {
        let key = name.get_ref();
        if !self.found.contains_key(key) {
            let found = look_up(name, checker, problems);
            self.found.insert(key.clone(), found);
        }
        self.found.get(key).and_then(Option::as_ref)
    }

    /// Returns the premixes among them.
    pub(super) fn premixes(self) -> BTreeMap<String, Arc<Recipe>> {
        let found = self.found.into_iter();
        let premix = |(key, found): (String, Option<Found>)| Some((key, found?.premix?));
        found.filter_map(premix).collect()
    }
}

fn look_up(
    name: &Spanned<String>,
    checker: &mut Checker<'_>,
    problems: &mut Problems<'_>,
) -> Option<Found> {
    let key = name.get_ref();
    if let Some(item) = checker.shelf.get(key) {
        return Some(from_shelf(key, item.clone()));
    }
    if checker.sources.recipe(key).is_some() {
        return premix(name, checker, problems);
    }
    not_on_the_shelf(name, checker, problems);
    Some(Found {
        ingredient: Ingredient::by_name(key),
        item: ShelfItem::default(),
        premix: None,
    })
}

/// Returns an ingredient of the shelf.
pub(super) fn ingredient_of(key: &str, item: &ShelfItem) -> Ingredient {
    Ingredient {
        key: key.to_owned(),
        name: item.name.clone().unwrap_or_else(|| key.to_owned()),
        origin: Origin::Shelf,
        density_ug_per_ml: item.density.map(crate::units::Density::ug_per_ml),
        stock: item.stock,
        price: item.price.clone(),
        cautions: item.cautions.clone(),
        plain_water: item.film.is_plain_water(),
    }
}

fn from_shelf(key: &str, item: ShelfItem) -> Found {
    Found {
        ingredient: ingredient_of(key, &item),
        item,
        premix: None,
    }
}

fn premix(
    name: &Spanned<String>,
    checker: &mut Checker<'_>,
    problems: &mut Problems<'_>,
) -> Option<Found> {
    let key = name.get_ref();
    if let Some(start) = checker.path.iter().position(|stem| stem == key) {
        let circle: Vec<&str> = checker.path[start..].iter().map(String::as_str).collect();
        let message = match circle.as_slice() {
            [_] => format!("`{key}` is made of itself"),
            _ => format!("`{key}` is made of itself: {} → {key}", circle.join(" → ")),
        };
        problems.error(name.span(), message).help =
            Some("take it out of one of these recipes, or put it on the shelf".to_owned());
        return None;
    }
    if DEEPEST <= checker.path.len() {
        problems
            .error(
                name.span(),
                format!("premixes stand more than {DEEPEST} deep inside each other"),
            )
            .help = Some("put one of them on the shelf".to_owned());
        return None;
    }
    let source = checker.sources.recipe(key)?;
    // Its own problems are reported in its own file.
    let recipe = checker.recipe(key, source)?;
    let mut cautions: Vec<String> = Vec::new();
    for (part, _) in recipe.shares().chain(recipe.extras()) {
        for caution in &part.cautions {
            if !cautions.contains(caution) {
                cautions.push(caution.clone());
            }
        }
    }
    let density = recipe.density();
    Some(Found {
        ingredient: Ingredient {
            key: key.clone(),
            name: recipe.name().to_owned(),
            origin: Origin::Premix,
            density_ug_per_ml: density.map(crate::units::Density::ug_per_ml),
            stock: None,
            price: None,
            cautions,
            plain_water: false,
        },
        item: ShelfItem {
            density,
            ..ShelfItem::default()
        },
        premix: Some(recipe),
    })
}

/// Returns whether a name is on the shelf or a recipe beside this one.
pub(super) fn is_known(name: &str, checker: &Checker<'_>) -> bool {
    checker.shelf.get(name).is_some() || checker.sources.recipe(name).is_some()
}

/// Says that a name is neither, with what it might have meant.
pub(super) fn not_on_the_shelf(
    name: &Spanned<String>,
    checker: &Checker<'_>,
    problems: &mut Problems<'_>,
) {
    let key = name.get_ref();
    let shelf = checker.shelf.iter().map(|(key, _)| key);
    let others = checker
        .sources
        .stems()
        .filter(|stem| !checker.path.iter().any(|open| open == stem));
    let meant = nearest(key, shelf.chain(others));
    let (name_said, meant) = (key.clone(), meant.map(str::to_owned));
    let (severity, finding) = match (checker.sources.shelf(), &meant) {
        // Without a shelf every name is simply a name, which is how everybody begins.
        (None, None) => (
            Severity::Note,
            Finding::NoShelf {
                name: name_said,
                meant,
            },
        ),
        (None, Some(_)) => (
            Severity::Warning,
            Finding::NoShelf {
                name: name_said,
                meant,
            },
        ),
        (Some(_), _) => (
            Severity::Warning,
            Finding::NotOnShelf {
                name: name_said,
                meant,
            },
        ),
    };
    problems.found(severity, name.span(), finding);
}
