//! Finished jars opened again on the scale: adding to them, pouring one into another, taking out of them.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use tarehand_mixing::amend::{self as pure, HowMuch};
use tarehand_mixing::diagnostic::{Diagnostic, Paint, render};
use tarehand_mixing::document::Sources;
use tarehand_mixing::procedure::{Amends, Procedure};
use tarehand_mixing::recipe::check;
use tarehand_mixing::session::Limits;
use tarehand_protocol::Mass;
use tarehand_protocol::api::{AmendJars, JoinJars, Problem, Size, TakeOutOfJar, View};

use super::benches::known;
use super::circumstances::Circumstances;
use super::jars::{Standing, standing};
use super::problem::Failure;
use super::request::{Body, Place};
use super::{Service, batches, sources};
use crate::bench::NewBatch;
use crate::journal::{self, Kept};
use crate::log::Log;

/// The stem under which the recipe of an addition is checked.
const STEM: &str = "amendment";
/// So many jars may be opened in a row (our own choice: a table full).
const MOST: usize = 60;
/// How far a jar that was never on the scale may be from nothing: it is known by the person alone.
const ANY_WEIGHT: Mass = Mass::from_grams(100_000);

/// Open finished jars again and add something to each, one after another on the scale.
///
/// Each jar's amendment is a batch of its own; each jar is known by what its record says it weighs.
#[utoipa::path(post, path = "/v1/benches/{bench}/amend", params(("bench" = String, Path, description = "its name")),
    request_body = AmendJars, responses(
        (status = 200, body = View),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = "5XX", body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn amend(
    State(service): State<Service>,
    Place(name): Place<String>,
    Body(request): Body<AmendJars>,
) -> Result<Json<Arc<View>>, Failure> {
    let bench = known(&service, &name)?;
    let circumstances = Circumstances::read(request.hand.as_deref(), request.room.as_deref())?;
    let log = &service.surroundings.log;
    if request.marks.is_empty() || request.add.is_empty() || MOST < request.marks.len() {
        return Err(Failure::new(
            "bad-body",
            StatusCode::UNPROCESSABLE_ENTITY,
            "it is not said what goes into which jar",
        )
        .hint(Some(format!(
            "name one jar at least, {MOST} at most, and something to add"
        ))));
    }
    let settings = sources::settings(&request.measures, &BTreeMap::new())?;
    let add: Vec<(String, String)> = request
        .add
        .iter()
        .map(|said| (said.ingredient.clone(), said.amount.clone()))
        .collect();
    let (mut procedures, mut texts) = (Vec::new(), Vec::new());
    let mut named = BTreeSet::new();
    for mark in &request.marks {
        let jar = finished(log, mark).await?;
        if !named.insert(jar.mark.clone()) {
            return Err(twice(&jar.mark));
        }
        let asked = pure::Asked::new(&jar, &add);
        let text = asked.text().to_owned();
        let recipes = BTreeMap::from([(STEM.to_owned(), text.clone())]);
        let shelf = request.shelf.as_ref();
        let found = sources::with_stock(&recipes, shelf, &settings, log).await?;
        let checked = check(&found, STEM, &settings);
        let Some(recipe) = checked.recipe else {
            return Err(no_addition(&asked, checked.diagnostics, found));
        };
        let sizing = sources::sized_to(&recipe, &settings, &Size::AsWritten)?;
        procedures.push(pure::amending(sizing.procedure, jar));
        texts.push(text);
    }
    let run = jiff::Timestamp::now().to_string();
    let procedures = pure::in_a_row(procedures, &run);
    let shelf = request.shelf.unwrap_or_default();
    let batches = procedures.into_iter().zip(texts);
    let batches = batches.map(|(procedure, text)| new_batch(procedure, text, shelf.clone()));
    let batches = circumstances.with_leads(batches.collect(), &service.learning);
    Ok(Json(bench.open(batches.await).await?))
}

/// Pour one finished jar into another on the scale; the jar that is poured into stands on it.
#[utoipa::path(post, path = "/v1/benches/{bench}/join", params(("bench" = String, Path, description = "its name")),
    request_body = JoinJars, responses(
        (status = 200, body = View),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = "5XX", body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn join(
    State(service): State<Service>,
    Place(name): Place<String>,
    Body(request): Body<JoinJars>,
) -> Result<Json<Arc<View>>, Failure> {
    let bench = known(&service, &name)?;
    let circumstances = Circumstances::read(request.hand.as_deref(), request.room.as_deref())?;
    let log = &service.surroundings.log;
    let from = finished(log, &request.from).await?;
    let into = finished(log, &request.into).await?;
    if from.mark == into.mark {
        return Err(twice(&from.mark));
    }
    let how_much = how_much(request.mass.as_ref(), &from)?;
    let procedure = pure::joined(into, &from, how_much);
    let batch = new_batch(procedure, String::new(), String::new());
    let batches = circumstances.with_leads(vec![batch], &service.learning);
    Ok(Json(bench.open(batches.await).await?))
}

/// Take some of the mix out of a finished jar on the scale.
#[utoipa::path(post, path = "/v1/benches/{bench}/take-out", params(("bench" = String, Path, description = "its name")),
    request_body = TakeOutOfJar, responses(
        (status = 200, body = View),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = "5XX", body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn take_out(
    State(service): State<Service>,
    Place(name): Place<String>,
    Body(request): Body<TakeOutOfJar>,
) -> Result<Json<Arc<View>>, Failure> {
    let bench = known(&service, &name)?;
    let circumstances = Circumstances::read(request.hand.as_deref(), request.room.as_deref())?;
    let jar = finished(&service.surroundings.log, &request.from).await?;
    let how_much = how_much(request.mass.as_ref(), &jar)?;
    let into = vessel(request.into.as_ref())?;
    let procedure = pure::taken_out(jar, how_much, into);
    let batch = new_batch(procedure, String::new(), String::new());
    let batches = circumstances.with_leads(vec![batch], &service.learning);
    Ok(Json(bench.open(batches.await).await?))
}

fn new_batch(procedure: Procedure, recipe_text: String, shelf_text: String) -> NewBatch {
    NewBatch {
        procedure,
        limits: Limits::default(),
        recipe_text,
        shelf_text,
        room: None,
        remarks: Vec::new(),
    }
}

/// Reads a batch whose jar may be opened again.
pub(super) async fn finished(log: &Log, mark: &str) -> Result<Amends, Failure> {
    let kept = over(log, mark).await?;
    amendable(log, &kept).await
}

pub(super) async fn over(log: &Log, mark: &str) -> Result<Kept, Failure> {
    let kept = journal::read(log, batches::parse(mark)?).await?;
    if kept.is_over() {
        return Ok(kept);
    }
    Err(Failure::new(
        "batch-not-over",
        StatusCode::CONFLICT,
        "the batch is still being made",
    )
    .detail(kept.mark)
    .hint(Some("finish it first, or give it up")))
}

pub(super) async fn amendable(log: &Log, kept: &Kept) -> Result<Amends, Failure> {
    let mark = &kept.mark;
    let book = &kept.book;
    if kept.rehearsal {
        return Err(no_jar(
            format!("{mark} was a rehearsal"),
            "see which batches are real: `tarehand log list`".to_owned(),
        ));
    }
    if let Some(amends) = &book.procedure().amends {
        return Err(no_jar(
            format!("{mark} went into the jar of {}", amends.mark),
            format!("name that jar: {}", amends.mark),
        ));
    }
    let Standing {
        inside,
        weighed_since,
    } = standing(log, kept.id).await?;
    if inside <= Mass::ZERO {
        return Err(nothing_left(mark));
    }
    let each = i64::from(weighed_since) + 1;
    let uncertainty = book.scale().uncertainty().micrograms();
    Ok(Amends {
        mark: mark.clone(),
        recipe: book.procedure().recipe.clone(),
        tare: book.tare(),
        holds: inside,
        within: if book.tare().is_zero() {
            ANY_WEIGHT
        } else {
            Mass::from_micrograms(uncertainty.saturating_mul(each))
        },
        out_of: BTreeMap::new(),
    })
}

fn no_jar(why: String, hint: String) -> Failure {
    Failure::new("no-jar", StatusCode::CONFLICT, "there is no such jar")
        .detail(why)
        .hint(Some(hint))
}

pub(super) fn nothing_left(mark: &str) -> Failure {
    no_jar(
        format!("nothing is left in the jar of {mark}"),
        format!("see where it went: `tarehand log show {mark}`"),
    )
}

pub(super) fn not_so_much(mass: Mass, holds: Mass, mark: &str) -> Failure {
    Failure::new(
        "bad-amount",
        StatusCode::UNPROCESSABLE_ENTITY,
        "the jar does not hold that",
    )
    .detail(format!("{mass} of the {holds} in {mark}"))
    .hint(Some("say less, or leave the mass out for all of it"))
}

/// Reads how much of a jar is meant.
pub(super) fn how_much(said: Option<&String>, jar: &Amends) -> Result<HowMuch, Failure> {
    let Some(text) = said else {
        return Ok(HowMuch::All);
    };
    let mass = sources::amount(text)?;
    if mass <= Mass::ZERO || jar.holds < mass {
        return Err(not_so_much(mass, jar.holds, &jar.mark));
    }
    Ok(HowMuch::Mass(mass))
}

/// Reads the name of a vessel.
pub(super) fn vessel(said: Option<&String>) -> Result<Option<&str>, Failure> {
    let Some(name) = said.map(|name| name.trim()) else {
        return Ok(None);
    };
    if name.is_empty() || 80 < name.len() || name.chars().any(char::is_control) {
        return Err(Failure::new(
            "bad-body",
            StatusCode::UNPROCESSABLE_ENTITY,
            "that is no name of a vessel",
        )
        .hint(Some("use up to 80 letters, such as `sample cup`")));
    }
    Ok(Some(name))
}

/// Says what is wrong with what was to be added, where the person typed it.
fn no_addition(asked: &pure::Asked, diagnostics: Vec<Diagnostic>, sources: Sources) -> Failure {
    let errors = diagnostics.into_iter().filter(Diagnostic::is_error);
    let (errors, sources) = asked.as_typed(errors.collect(), &format!("{STEM}.toml"), sources);
    Failure::new(
        "bad-recipe",
        StatusCode::UNPROCESSABLE_ENTITY,
        "that cannot be added",
    )
    .detail(render(&errors, &sources, Paint::Plain))
    .hint(Some("put right what is marked"))
}

pub(super) fn twice(mark: &str) -> Failure {
    Failure::new(
        "same-jar",
        StatusCode::UNPROCESSABLE_ENTITY,
        "the same jar is named twice",
    )
    .detail(mark.to_owned())
    .hint(Some("name each jar once"))
}
