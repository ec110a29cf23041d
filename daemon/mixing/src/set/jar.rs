//! One jar of a set, as it is written and with the recipe it names.

use std::ops::Range;
use std::sync::Arc;

use toml::Spanned;
use toml::de::DeTable;

use super::choose::Chosen;
use super::shares::WrittenShare;
use super::{Portion, SetJar, fields};
use crate::diagnostic::nearest;
use crate::document::{Fields, Problems, Sources};
use crate::ratio::Ratio;
use crate::recipe::Recipe;
use crate::shelf::Missing;
use crate::units::{Density, Measures};

/// A jar as written: every field understood, its recipe not yet looked up.
pub(super) struct RawJar {
    range: Range<usize>,
    pub(super) recipe: Option<Spanned<String>>,
    pub(super) share: Option<Spanned<WrittenShare>>,
    make: Option<tarehand_protocol::Mass>,
    jar: Option<crate::units::Volume>,
    density: Option<Density>,
    pub(super) choose: Chosen,
}

impl RawJar {
    pub(super) fn read(
        table: &DeTable<'_>,
        range: Range<usize>,
        measures: &Measures,
        problems: &mut Problems<'_>,
    ) -> Self {
        let mut all = Fields::new(table);
        let recipe = all.text("recipe", "lagoon-round", problems);
        let share = all.text("share", "15 %", problems);
        let make = all.text("make", "40 g", problems);
        let jar = all.text("jar", "250 ml", problems);
        let density = all.text("density", "1.08 g/ml", problems);
        let choose = Chosen::read(&mut all, problems);
        all.finish("a jar", problems);
        match (&recipe, &share, &make) {
            (None, ..) if !problems.mentions(&range) => {
                problems.error(range.clone(), "the jar says no recipe").help = Some(
                    "write recipe = \"…\", the name of a recipe file beside the set".to_owned(),
                );
            }
            (_, None, None) if !problems.mentions(&range) => {
                problems
                    .error(range.clone(), "how much of this jar is not said")
                    .help = Some(
                    "write share = \"15 %\" or share = \"4 parts\", or make = \"40 g\"".to_owned(),
                );
            }
            (_, Some(_), Some(make)) => {
                problems
                    .error(make.span(), "a jar has a share or a make, not both")
                    .help =
                    Some("a share follows the surface, a make does not: keep one".to_owned());
            }
            _ => {}
        }
        Self {
            range,
            recipe,
            choose,
            share: share
                .and_then(|text| Some(Spanned::new(text.span(), fields::share(&text, problems)?))),
            make: make.and_then(|text| fields::mass("make", &text, problems)),
            jar: jar.and_then(|text| fields::volume(&text, measures, problems)),
            density: density.and_then(|text| fields::read(&text, problems)),
        }
    }

    pub(super) fn resolve(
        self,
        share: Option<Ratio>,
        recipe: Option<&Arc<Recipe>>,
        sources: &Sources,
        problems: &mut Problems<'_>,
    ) -> Option<SetJar> {
        let name = self.recipe?;
        let stem = name.get_ref();
        if sources.recipe(stem).is_none() {
            problems
                .error(
                    name.span(),
                    format!("there is no recipe `{stem}` beside the set"),
                )
                .help =
                nearest(stem, sources.stems()).map(|meant| format!("did you mean `{meant}`?"));
            return None;
        }
        let recipe = recipe?;
        let density = self.density.or_else(|| recipe.density());
        let portion = match (share, self.make) {
            (Some(share), _) => Portion::Share(share),
            (None, Some(make)) => Portion::Make(make),
            (None, None) => return None,
        };
        if density.is_none() && matches!(portion, Portion::Share(_)) {
            no_density(recipe, self.range, problems);
            return None;
        }
        Some(SetJar {
            recipe: Arc::clone(recipe),
            portion,
            jar: self.jar.or_else(|| recipe.jar().cloned()),
            density,
        })
    }
}

/// Says which ingredient keeps a jar's density from being known.
fn no_density(recipe: &Recipe, at: Range<usize>, problems: &mut Problems<'_>) {
    let unknown = without_density(recipe).unwrap_or_else(|| recipe.stem().to_owned());
    let message = format!(
        "how much of `{}` the surface takes needs its density: {}",
        recipe.stem(),
        Missing::Density.message(&unknown)
    );
    problems.error(at, message).help = Some(format!(
        "{}; or give the jar a density of its own",
        Missing::Density.help(&unknown)
    ));
}

/// Returns the first raw ingredient whose density is not known, also inside premixes.
fn without_density(recipe: &Recipe) -> Option<String> {
    recipe.shares().find_map(|(ingredient, _)| {
        if ingredient.density_ug_per_ml.is_some() {
            return None;
        }
        let mut premixes = recipe.premixes();
        match premixes.find(|(key, _)| *key == ingredient.key) {
            Some((_, premix)) => without_density(premix),
            None => Some(ingredient.key.clone()),
        }
    })
}
