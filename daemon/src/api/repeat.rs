//! A batch made again, and the recipe that it was made from.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use tarehand_mixing::repeat as pure;
use tarehand_protocol::api::{
    BatchRecipe, ConcernLine, OpenBatch, Problem, RepeatBatch, Size, View,
};

use super::benches::{known, new_batch};
use super::circumstances::Circumstances;
use super::problem::Failure;
use super::request::{Body, Place};
use super::{Service, batches, cards};
use crate::journal;

/// The stem under which the recipe of a batch is checked.
const STEM: &str = "again";

/// Make a batch again, from the recipe it kept or of what really went in; it is on disk when this answers.
#[utoipa::path(post, path = "/v1/benches/{bench}/repeat", params(("bench" = String, Path, description = "its name")),
    request_body = RepeatBatch, responses(
        (status = 200, body = View),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = "5XX", body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn repeat(
    State(service): State<Service>,
    Place(name): Place<String>,
    Body(request): Body<RepeatBatch>,
) -> Result<Json<Arc<View>>, Failure> {
    let bench = known(&service, &name)?;
    let circumstances = Circumstances::read(request.hand.as_deref(), request.room.as_deref())?;
    let log = &service.surroundings.log;
    let batch = log.batch(batches::parse(&request.mark)?).await?;
    let kept = journal::read_entries(log, batch.head.clone()).await?;
    let procedure = kept.book.procedure();
    if let Some(amends) = &procedure.amends {
        return Err(nothing(&kept.mark).hint(Some(format!(
            "it went into the jar of {}: add to that again with `tarehand amend`",
            amends.mark
        ))));
    }
    let later = cards::later(log, &kept).await?;
    let text = if request.as_poured {
        pure::as_poured(&kept.book, &kept.mark, &later).ok_or_else(|| nothing(&kept.mark))?
    } else if batch.recipe_text.is_empty() {
        return Err(nothing(&kept.mark).hint(Some(
            "its recipe was not kept: make it as it was poured, `--as-poured`",
        )));
    } else {
        batch.recipe_text
    };
    let size = match (request.make, request.as_poured) {
        (Some(make), _) => Size::Make(make),
        (None, true) => Size::AsWritten,
        (None, false) => Size::Make(procedure.planned.to_string()),
    };
    let choices = procedure.choices.iter();
    let choices = choices.map(|choice| (choice.name.clone(), choice.chosen.clone()));
    // As poured, what was chosen is written into the steps.
    let choices = if request.as_poured {
        BTreeMap::new()
    } else {
        choices.collect()
    };
    let mut recipes = pure::premix_texts(procedure);
    recipes.insert(STEM.to_owned(), text);
    let shelf = request.shelf.or(Some(batch.shelf_text));
    let opening = OpenBatch {
        recipe: STEM.to_owned(),
        recipes,
        shelf: shelf.filter(|text| !text.is_empty()),
        measures: request.measures,
        choices,
        size,
        grow_by_percent: request.grow_by_percent,
        room: None,
        hand: None,
    };
    let mut batch = new_batch(&service, &opening).await?;
    let told = match request.as_poured {
        true => later.not_repeated(),
        false => later.beyond_the_plan().into_iter().collect(),
    };
    let told = told.into_iter();
    let told = told.map(|text| ConcernLine::remark(text, Vec::new()));
    batch.remarks.extend(told);
    let batches = circumstances.with_leads(vec![batch], &service.learning);
    Ok(Json(bench.open(batches.await).await?))
}

/// The recipe that a batch was made from, and one of what really went in.
#[utoipa::path(get, path = "/v1/batches/{mark}/recipe", params(("mark" = String, Path, description = "the mark on the jar")),
    responses(
        (status = 200, body = BatchRecipe),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = "5XX", body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn recipe(
    State(service): State<Service>,
    Place(mark): Place<String>,
) -> Result<Json<BatchRecipe>, Failure> {
    let log = &service.surroundings.log;
    let batch = log.batch(batches::parse(&mark)?).await?;
    let kept = journal::read_entries(log, batch.head).await?;
    let later = cards::later(log, &kept).await?;
    Ok(Json(BatchRecipe {
        text: batch.recipe_text,
        as_poured: pure::as_poured(&kept.book, &kept.mark, &later),
    }))
}

fn nothing(mark: &str) -> Failure {
    Failure::new(
        "not-repeated",
        StatusCode::CONFLICT,
        "there is nothing to make again",
    )
    .detail(mark.to_owned())
}
