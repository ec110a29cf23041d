//! Checks a set with the recipes it names.

use std::ops::Range;

use toml::Spanned;
use toml::de::DeTable;

use super::choose::{self, Chosen};
use super::cover::{ParseCoverError, WrittenCover};
use super::jar::RawJar;
use super::shares::{SharesError, WrittenShare, shares};
use super::{Basis, Cover, Outline, Set, Surface, fields};
use crate::choice::Choices;
use crate::diagnostic::Diagnostic;
use crate::document::{Fields, Problems, Source, Sources, tables};
use crate::ratio::Ratio;
use crate::recipe::{self, CheckedMany, Settings};
use crate::shelf::{Missing, Shelf};
use crate::trail::usual_water_limit;
use crate::units::{Length, Measures};

/// The outcome of a check.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckedSet {
    /// The set; `None` when a diagnostic is an error.
    pub set: Option<Set>,
    /// The shelf, as far as it could be read.
    pub shelf: Shelf,
    /// Everything there is to say: on the set first, then on the shelf and the recipes.
    pub diagnostics: Vec<Diagnostic>,
}

/// Checks a set together with the recipes it names, their premixes and the shelf.
#[must_use]
pub fn check(source: &Source, sources: &Sources, settings: &Settings) -> CheckedSet {
    let (mut problems, document) = Problems::parse(source);
    let raw = Raw::read(&document, &settings.measures, &mut problems);
    let common = raw.choose.clone().over(&settings.choices, &raw.head);
    let wanted = raw.jars.iter().map(|jar| {
        let stem = jar
            .recipe
            .as_ref()
            .map_or("", |name| name.get_ref().as_str());
        (stem, common.with(&jar.choose))
    });
    let many = recipe::check_many(sources, wanted, settings);
    let own = raw.jars.iter().map(|jar| &jar.choose);
    let each: Vec<_> = own.zip(&many.recipes).collect();
    choose::report(&common, &each, &mut problems);
    let set = raw.resolve(&many, sources, &mut problems);
    let mut diagnostics = problems.into_list();
    diagnostics.extend(many.diagnostics);
    let good = !diagnostics.iter().any(Diagnostic::is_error);
    CheckedSet {
        set: set.filter(|_| good),
        shelf: many.shelf,
        diagnostics,
    }
}

/// Returns the names of the choices that the recipes of a set leave; none while it cannot be made.
#[must_use]
pub fn left_to_choose(source: &Source, sources: &Sources, settings: &Settings) -> Vec<String> {
    let nothing_chosen = Settings {
        choices: Choices::new(),
        ..settings.clone()
    };
    let checked = check(source, sources, &nothing_chosen);
    let jars = checked.set.iter().flat_map(|set| &set.jars);
    jars.flat_map(|jar| jar.recipe.choices())
        .map(|choice| choice.name.clone())
        .collect()
}

/// Returns whether a file is meant as a set: it has a `[set]` table, whatever else is wrong with it.
#[must_use]
pub fn is_set(source: &Source) -> bool {
    let (_, document) = Problems::parse(source);
    document.get("set").is_some()
}

/// Returns whether a file is meant as a recipe: it has a `[recipe]` table and no `[set]`.
#[must_use]
pub fn is_recipe(source: &Source) -> bool {
    let (_, document) = Problems::parse(source);
    document.get("recipe").is_some() && document.get("set").is_none()
}

/// A set as written: every field understood, recipes not yet looked up.
struct Raw {
    name: Option<String>,
    cover: Option<Cover>,
    spare: Ratio,
    heel: tarehand_protocol::Mass,
    basis: Basis,
    water_warning: Ratio,
    choose: Chosen,
    surfaces: Vec<Surface>,
    jars: Vec<RawJar>,
    head: Range<usize>,
}

impl Raw {
    fn read(document: &DeTable<'_>, measures: &Measures, problems: &mut Problems<'_>) -> Self {
        let mut all = Fields::new(document);
        let mut raw = Self {
            name: None,
            cover: Some(Cover::common_practice()),
            spare: Ratio::zero(),
            heel: tarehand_protocol::Mass::ZERO,
            basis: Basis::default(),
            water_warning: usual_water_limit(),
            choose: Chosen::default(),
            surfaces: Vec::new(),
            jars: Vec::new(),
            head: 0..0,
        };
        match all.table("set", problems) {
            Some((table, head)) => {
                raw.head = head;
                raw.read_head(table, measures, problems);
            }
            None if problems.is_readable() && !problems.has_errors() => {
                problems.error(0..0, "the set has no [set] table").help =
                    Some("begin with a line [set] and name = \"…\" under it".to_owned());
            }
            None => {}
        }
        if let Some((table, at)) = all.table("measured", problems) {
            raw.cover = measured(table, at, problems);
        }
        if let Some(value) = all.value("surface") {
            for (table, at) in tables("surface", value, problems) {
                let mut fields = Fields::new(table);
                let surface = surface(&mut fields, at, problems);
                fields.finish("a surface", problems);
                raw.surfaces.extend(surface);
            }
        }
        if let Some(value) = all.value("jar") {
            for (table, at) in tables("jar", value, problems) {
                raw.jars.push(RawJar::read(table, at, measures, problems));
            }
        }
        all.finish("a set", problems);
        if raw.jars.is_empty() && problems.is_readable() && !problems.has_errors() {
            problems.error(raw.head.clone(), "the set has no jars").help =
                Some("each jar begins with a line [[jar]]".to_owned());
        }
        raw
    }

    fn read_head(&mut self, table: &DeTable<'_>, measures: &Measures, problems: &mut Problems<'_>) {
        let mut head = Fields::new(table);
        let name = head.text("name", "Eight rounds", problems);
        let spare = head.text("spare", "10 %", problems);
        let heel = head.text("heel", "6 g", problems);
        let basis = head.text("basis", "volume", problems);
        let covers = head.text("yield", "1.8 mm", problems);
        let water = head.text("water_warning", "30 %", problems);
        self.choose = Chosen::read(&mut head, problems);
        head.finish("a set", problems);
        self.name = name.map(|name| name.get_ref().trim().to_owned());
        if self.name.as_ref().is_none_or(String::is_empty) && !problems.mentions(&self.head) {
            problems
                .error(self.head.clone(), "the set has no name")
                .help = Some("write name = \"Eight rounds\" under [set]".to_owned());
        }
        if let Some(spare) = spare.and_then(|text| fields::percent("spare", &text, problems)) {
            self.spare = spare;
        }
        if let Some(heel) = heel.and_then(|text| fields::mass("heel", &text, problems)) {
            self.heel = heel;
        }
        if let Some(basis) = basis.and_then(|text| fields::basis(&text, problems)) {
            self.basis = basis;
        }
        if let Some(water) =
            water.and_then(|text| fields::percent("water_warning", &text, problems))
        {
            self.water_warning = water;
        }
        if let Some(text) = covers {
            let written = text.get_ref().parse::<WrittenCover>();
            self.cover = match written.and_then(|written| written.cover(measures.fluid_ounce)) {
                Ok(cover) => Some(cover),
                Err(error) => {
                    problems.error(text.span(), format!("{error}")).help = match error {
                        ParseCoverError::FluidOunce => {
                            Some(Missing::FluidOunceSetting.help("yield"))
                        }
                        ParseCoverError::Form | ParseCoverError::OutOfRange => None,
                    };
                    None
                }
            };
        }
    }

    fn resolve(
        self,
        many: &CheckedMany,
        sources: &Sources,
        problems: &mut Problems<'_>,
    ) -> Option<Set> {
        let shared: Vec<&Spanned<WrittenShare>> = self
            .jars
            .iter()
            .filter_map(|jar| jar.share.as_ref())
            .collect();
        if !shared.is_empty() && self.surfaces.is_empty() && !problems.has_errors() {
            problems
                .error(self.head.clone(), "the set says no surface to share out")
                .help = Some(
                "write [[surface]] with width and height, diameter, or area under it".to_owned(),
            );
        }
        let written: Vec<WrittenShare> =
            shared.iter().map(|share| share.get_ref().clone()).collect();
        let mut shares = match shares(&written) {
            Ok(shares) => shares.into_iter(),
            Err(error) => {
                if !problems.has_errors() {
                    report(&error, &shared, problems);
                }
                Vec::new().into_iter()
            }
        };
        let recipes = || many.recipes.iter().map(|one| one.recipe.as_ref());
        let named = self.jars.iter().zip(recipes());
        let named =
            named.filter_map(|(jar, recipe)| Some((jar.recipe.as_ref()?, recipe?.as_ref())));
        choose::report_two_ways(named, problems);
        let mut jars = Vec::with_capacity(self.jars.len());
        for (jar, recipe) in self.jars.into_iter().zip(recipes()) {
            let share = jar.share.as_ref().and_then(|_| shares.next());
            jars.extend(jar.resolve(share, recipe, sources, problems));
        }
        Some(Set {
            name: self.name?,
            surfaces: self.surfaces,
            cover: self.cover?,
            spare: self.spare,
            heel: self.heel,
            basis: self.basis,
            water_warning: self.water_warning,
            jars,
        })
    }
}

fn report(error: &SharesError, shared: &[&Spanned<WrittenShare>], problems: &mut Problems<'_>) {
    let at = shared.last().map_or(0..0, |share| share.span());
    let percent = |sum: &Ratio| recipe::percent(sum);
    match error {
        SharesError::NotWhole { sum } => {
            problems
                .error(
                    at,
                    format!(
                        "the shares of the jars come to {}, not to 100 %",
                        percent(sum)
                    ),
                )
                .help =
                Some("change one, or give one jar `1 part`: it takes what is left".to_owned());
        }
        SharesError::NothingLeft { sum } => {
            problems
                .error(
                    at,
                    format!(
                        "the percentages come to {} and leave nothing for the parts",
                        percent(sum)
                    ),
                )
                .help = Some("lower a percentage, or write all of them as parts".to_owned());
        }
    }
}

/// Reads a surface's shape; exactly one way of saying it.
fn surface(
    all: &mut Fields<'_, '_>,
    at: Range<usize>,
    problems: &mut Problems<'_>,
) -> Option<Surface> {
    let count = fields::count(all, problems);
    let width = all.text("width", "40 cm", problems);
    let height = all.text("height", "50 cm", problems);
    let diameter = all.text("diameter", "30 cm", problems);
    let area = all.text("area", "900 cm2", problems);
    let around = all.text("around", "120 cm", problems);
    let edge = all.text("edge", "2 cm", problems);
    let mut length = |text: &Option<Spanned<String>>| -> Option<Option<Length>> {
        match text {
            None => Some(None),
            Some(text) => fields::read(text, problems).map(Some),
        }
    };
    let (width, height, diameter) = (length(&width)?, length(&height)?, length(&diameter)?);
    let (around, edge_length) = (length(&around)?, length(&edge)?);
    let area = match &area {
        None => None,
        Some(text) => Some(fields::read(text, problems)?),
    };
    let outline = match (width, height, diameter, area) {
        (Some(width), Some(height), None, None) => Outline::Rectangle { width, height },
        (None, None, Some(diameter), None) => Outline::Round { diameter },
        (None, None, None, Some(area)) => Outline::Any { area, around },
        _ => {
            if !problems.mentions(&at) {
                problems.error(at, "what is the shape of this piece?").help = Some(
                    "say width and height, or diameter, or area, and only one of them".to_owned(),
                );
            }
            return None;
        }
    };
    if let (Some(edge), None) = (&edge, outline.around()) {
        problems
            .error(
                edge.span(),
                "an edge needs to know how far it is around the piece",
            )
            .help = Some("write around = \"120 cm\" beside the area".to_owned());
        return None;
    }
    Some(Surface {
        outline,
        edge: edge_length,
        count: count?,
    })
}

/// Reads what this studio weighed.
fn measured(table: &DeTable<'_>, at: Range<usize>, problems: &mut Problems<'_>) -> Option<Cover> {
    let mut all = Fields::new(table);
    let before = all.text("before", "412.5 g", problems);
    let after = all.text("after", "640.1 g", problems);
    let density = all.text("density", "1.09 g/ml", problems);
    let surface = surface(&mut all, at.clone(), problems);
    all.finish("what was measured", problems);
    let (Some(before), Some(after), Some(density)) = (before, after, density) else {
        if !problems.mentions(&at) {
            problems.error(at, "a measured yield needs before, after and density").help = Some(
                "weigh a piece with its tray before and after pouring, and write what was poured as density"
                    .to_owned(),
            );
        }
        return None;
    };
    let before = fields::mass("before", &before, problems)?;
    let gross = fields::mass("after", &after, problems)?;
    let density = fields::read(&density, problems)?;
    let cover = Cover::measured(gross - before, density, &surface?.all());
    if cover.is_none() {
        problems
            .error(after.span(), "the piece was not heavier after pouring")
            .help = Some(
            "before is the bare piece with its tray, after the same with the paint".to_owned(),
        );
    }
    cover
}
