//! Handing recipes and batches on, and taking over what was judged.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use serde::Deserialize;
use tarehand_mixing::adopt::{self, AdoptError};
use tarehand_mixing::card;
use tarehand_mixing::later::Later;
use tarehand_mixing::provenance::{Provenance, Run};
use tarehand_protocol::api::{
    AdoptedRecipe, CardForm, CountryWord, Problem, ShareRequest, ShareSetRequest, SharedCard, Size,
};

use super::problem::Failure;
use super::request::{Asked, Body, Place};
use super::{Service, batches, sets, sources, translate};
use crate::contents::Contents;
use crate::journal::{self, Kept};
use crate::log::Log;

/// How a card is wanted.
#[derive(Debug, Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(super) struct Wanted {
    /// In which form: `text`, `markdown` or `json-ld`; text by default.
    #[serde(default)]
    #[param(inline)]
    format: CardForm,
    /// Whose spoons and ounces to say beside the grams: `us`, `uk`, `au` or `metric`; none by default.
    #[serde(default, rename = "for")]
    #[param(inline)]
    country: Option<CountryWord>,
}

/// The card of a recipe, to hand on.
#[utoipa::path(post, path = "/v1/recipes/share", request_body = ShareRequest, responses(
    (status = 200, body = SharedCard),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn of_recipe(
    Body(request): Body<ShareRequest>,
) -> Result<Json<SharedCard>, Failure> {
    let settings = sources::settings(&request.measures, &request.choices)?;
    let texts = sources::sources(&request.recipes, request.shelf.as_ref());
    let good = sources::good(&texts, &request.recipe, &settings)?;
    let size = request.make.clone().map_or(Size::AsWritten, Size::Make);
    let sizing = sources::sized_to(&good.recipe, &settings, &size)?;
    let card = card::of_recipe(&good.recipe, &sizing.procedure, &good.shelf);
    Ok(Json(translate::shared_card(
        &card,
        request.format,
        request.country,
    )))
}

/// The card of a set, to hand on.
#[utoipa::path(post, path = "/v1/sets/share", request_body = ShareSetRequest, responses(
    (status = 200, body = SharedCard),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn of_set(
    Body(request): Body<ShareSetRequest>,
) -> Result<Json<SharedCard>, Failure> {
    let settings = sources::settings(&request.measures, &request.choices)?;
    let texts = sources::sources(&request.recipes, request.shelf.as_ref());
    let planned = sets::planned(request.set, &texts, &settings)?;
    let key = request.key.as_deref().unwrap_or("set");
    let card = card::of_set(key, &planned.set, &planned.plan, &planned.shelf);
    Ok(Json(translate::shared_set(
        &card,
        request.format,
        request.country,
    )))
}

/// The card of a batch as it was really poured, to hand on.
#[utoipa::path(get, path = "/v1/batches/{mark}/card", params(("mark" = String, Path, description = "the mark on the jar"), Wanted),
    responses(
        (status = 200, body = SharedCard),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = "5XX", body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn of_batch(
    State(service): State<Service>,
    Place(mark): Place<String>,
    Asked(wanted): Asked<Wanted>,
) -> Result<Json<SharedCard>, Failure> {
    let log = &service.surroundings.log;
    let kept = journal::read(log, batches::parse(&mark)?).await?;
    let card = card::of_batch(provenance(&kept), &kept.book, &kept.records);
    let card = card.with_later(&later(log, &kept).await?);
    Ok(Json(translate::shared_card(
        &card,
        wanted.format,
        wanted.country,
    )))
}

/// A new version of the recipe of a batch: what was judged in it has become grams.
#[utoipa::path(get, path = "/v1/batches/{mark}/adopted", params(("mark" = String, Path, description = "the mark on the jar")),
    responses(
        (status = 200, body = AdoptedRecipe),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = "5XX", body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn adopted(
    State(service): State<Service>,
    Place(mark): Place<String>,
) -> Result<Json<AdoptedRecipe>, Failure> {
    let log = &service.surroundings.log;
    let batch = log.batch(batches::parse(&mark)?).await?;
    let kept = journal::read_entries(log, batch.head).await?;
    let adopted = adopt::adopt(
        &batch.recipe_text,
        provenance(&kept),
        &kept.book,
        &kept.records,
    )?;
    Ok(Json(translate::adopted_recipe(adopted)))
}

/// Returns what became of the jar of a batch later; an amendment's jar is another's.
pub(super) async fn later(log: &Log, kept: &Kept) -> Result<Later, Failure> {
    if kept.book.procedure().amends.is_some() {
        return Ok(Later::default());
    }
    Ok(Contents::read(log, kept.id).await?.later(&kept.mark))
}

/// Returns which batch it is, in the words of a card.
pub(super) fn provenance(kept: &Kept) -> Provenance<'_> {
    Provenance {
        mark: &kept.mark,
        // A moment is RFC 3339, in UTC.
        day: kept.opened.split('T').next().unwrap_or(&kept.opened),
        run: if kept.rehearsal {
            Run::Rehearsal
        } else {
            Run::Real
        },
    }
}

impl From<AdoptError> for Failure {
    fn from(error: AdoptError) -> Self {
        Self::new(
            "not-adopted",
            StatusCode::CONFLICT,
            "no new version can be made of this batch",
        )
        .detail(error.to_string())
        .hint(Some(error.hint()))
    }
}
