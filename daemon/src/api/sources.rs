//! Recipe texts of a request, checked and sized.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::http::StatusCode;
use serde::de::DeserializeOwned;
use tarehand_mixing::diagnostic::{Diagnostic, Paint, render};
use tarehand_mixing::document::{Source, Sources};
use tarehand_mixing::recipe::{Checked, Recipe, Settings, check};
use tarehand_mixing::rescue::{Room, Told};
use tarehand_mixing::shelf::Shelf;
use tarehand_mixing::sizing::{Goal, Sizing, size};
use tarehand_mixing::units::{Measure, Measures, Quantity, Volume};
use tarehand_protocol::Mass;
use tarehand_protocol::api::{MeasuresSaid, RescueRequest, Size};

use super::apart::apart;
use super::problem::Failure;
use crate::draws;
use crate::log::Log;

/// Makes sources of the texts of a request.
pub(super) fn sources(recipes: &BTreeMap<String, String>, shelf: Option<&String>) -> Sources {
    let mut sources = Sources::new();
    for (stem, text) in recipes {
        sources = sources.with_recipe(
            stem.clone(),
            Source::new(format!("{stem}.toml"), text.clone()),
        );
    }
    match shelf {
        Some(text) => sources.with_shelf(Source::new("shelf.toml", text.clone())),
        None => sources,
    }
}

/// Makes sources of the texts of a request, with what batches drew since the shelf's packs were weighed.
pub(super) async fn with_stock(
    recipes: &BTreeMap<String, String>,
    shelf: Option<&String>,
    settings: &Settings,
    log: &Log,
) -> Result<Sources, Failure> {
    let sources = sources(recipes, shelf);
    let Some(source) = sources.shelf().cloned() else {
        return Ok(sources);
    };
    let measures = settings.measures;
    // What is wrong with it is said where it is checked.
    let shelf = apart(move || Ok(Shelf::parse(&source, &measures).0)).await?;
    let drawn = draws::of_shelf(&shelf, log).await?;
    Ok(sources.with_drawn(drawn))
}

/// Reads which measures are meant and what is chosen.
pub(super) fn settings(
    said: &MeasuresSaid,
    choices: &BTreeMap<String, String>,
) -> Result<Settings, Failure> {
    Ok(Settings {
        choices: choices.clone(),
        measures: Measures {
            spoon: word("spoon", said.spoon.as_ref())?,
            fluid_ounce: word("fluid ounce", said.fluid_ounce.as_ref())?,
        },
    })
}

fn word<T: DeserializeOwned>(what: &str, said: Option<&String>) -> Result<Option<T>, Failure> {
    let parse = |word: &String| {
        serde_json::from_value(serde_json::Value::String(word.clone())).map_err(|error| {
            Failure::new(
                "unknown-measure",
                StatusCode::UNPROCESSABLE_ENTITY,
                "that measure is not known",
            )
            .detail(format!("{what} `{word}`: {error}"))
        })
    };
    said.map(parse).transpose()
}

/// Checks a recipe and sizes it; what is wrong becomes a problem that shows the lines.
pub(super) fn sized(
    sources: &Sources,
    stem: &str,
    settings: &Settings,
    wanted: &Size,
) -> Result<(Sizing, Vec<Diagnostic>), Failure> {
    let good = good(sources, stem, settings)?;
    Ok((sized_to(&good.recipe, settings, wanted)?, good.diagnostics))
}

/// Sizes a recipe that was checked.
pub(super) fn sized_to(
    recipe: &Recipe,
    settings: &Settings,
    wanted: &Size,
) -> Result<Sizing, Failure> {
    let goal = match wanted {
        Size::AsWritten => Goal::Make(recipe.makes().ok_or_else(no_size)?),
        Size::Make(mass) => Goal::Make(parse(mass)?),
        Size::From { ingredient, have } => Goal::From {
            ingredient: ingredient.clone(),
            have: parse::<Mass>(have)?,
        },
        Size::Jar(volume) => Goal::Jar(jar(volume, settings)?),
    };
    Ok(size(recipe, &goal)?)
}

/// A recipe that can be made, with its shelf and what was said about them.
pub(super) struct Good {
    pub recipe: Arc<Recipe>,
    pub shelf: Shelf,
    pub diagnostics: Vec<Diagnostic>,
}

/// Checks a recipe; what is wrong becomes a problem that shows the lines.
pub(super) fn good(sources: &Sources, stem: &str, settings: &Settings) -> Result<Good, Failure> {
    let Checked {
        recipe,
        shelf,
        diagnostics,
    } = check(sources, stem, settings);
    let Some(recipe) = recipe else {
        let errors: Vec<Diagnostic> = diagnostics
            .into_iter()
            .filter(Diagnostic::is_error)
            .collect();
        return Err(Failure::new(
            "bad-recipe",
            StatusCode::UNPROCESSABLE_ENTITY,
            "the recipe cannot be made",
        )
        .detail(render(&errors, sources, Paint::Plain))
        .hint(Some("put right what is marked")));
    };
    Ok(Good {
        recipe,
        shelf,
        diagnostics,
    })
}

/// Reads what a person tells of a jar.
pub(super) fn told(request: &RescueRequest, settings: &Settings) -> Result<Told, Failure> {
    let amount = |text: &Option<String>| text.as_deref().map(amount).transpose();
    let poured = request.poured.iter().map(|said| {
        let amount = amount(&said.amount)?;
        Ok((said.ingredient.clone(), amount))
    });
    Ok(Told {
        poured: poured.collect::<Result<_, Failure>>()?,
        in_jar: amount(&request.in_jar)?,
        taken_out: amount(&request.taken_out)?.unwrap_or_default(),
        outside: amount(&request.outside)?.unwrap_or_default(),
        room: match &request.jar {
            Some(text) => Some(room(text, settings)?),
            None => None,
        },
        division: amount(&request.division)?.filter(|division| Mass::ZERO < *division),
    })
}

/// Reads a mass that may be nothing, up to what a batch may weigh.
pub(super) fn amount(text: &str) -> Result<Mass, Failure> {
    let mass: Mass = parse(text)?;
    if mass < Mass::ZERO || Mass::LIMIT < mass {
        return Err(unreadable(text, "that is no amount in a jar"));
    }
    Ok(mass)
}

/// Reads what a jar holds, by weight or by volume.
fn room(text: &str, settings: &Settings) -> Result<Room, Failure> {
    match text.parse::<Mass>() {
        Ok(_) => amount(text).map(Room::Mass),
        Err(_) => Ok(Room::Volume(jar(text, settings)?.whole_microlitres())),
    }
}

fn parse<T: std::str::FromStr<Err: std::fmt::Display>>(text: &str) -> Result<T, Failure> {
    text.parse()
        .map_err(|error: T::Err| unreadable(text, &error.to_string()))
}

fn jar(text: &str, settings: &Settings) -> Result<Volume, Failure> {
    let quantity: Quantity = parse(text)?;
    let volume = match quantity.measure {
        Measure::Volume(unit) => unit
            .one(settings.measures.fluid_ounce)
            .map(|one| Volume::from_microlitres(one.microlitres() * &quantity.exact())),
        Measure::Mass(_) | Measure::Count(_) => None,
    };
    volume.ok_or_else(|| unreadable(text, "a jar holds a volume; write for example `200 ml`"))
}

fn no_size() -> Failure {
    Failure::new(
        "no-size",
        StatusCode::UNPROCESSABLE_ENTITY,
        "the recipe does not say how much it makes",
    )
    .hint(Some(
        "say how much: `--make 250g`, `--from INGREDIENT=30g` or `--jar 200ml`",
    ))
}

fn unreadable(text: &str, error: &str) -> Failure {
    Failure::new(
        "bad-amount",
        StatusCode::UNPROCESSABLE_ENTITY,
        "that amount cannot be read",
    )
    .detail(format!("`{text}`: {error}"))
}
