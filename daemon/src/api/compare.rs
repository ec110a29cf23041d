//! Two batches side by side.

use axum::Json;
use axum::extract::State;
use tarehand_protocol::api::{BatchRecord, ComparedBatches, Problem};

use super::problem::Failure;
use super::request::Place;
use super::{Service, batches, translate};
use crate::journal;
use crate::log::Log;

/// Two batches side by side.
#[utoipa::path(get, path = "/v1/batches/{mark}/compared/{other}",
    params(("mark" = String, Path, description = "the mark of the one"), ("other" = String, Path, description = "the mark of the other")),
    responses(
        (status = 200, body = ComparedBatches),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = "5XX", body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn compare(
    State(service): State<Service>,
    Place((mark, other)): Place<(String, String)>,
) -> Result<Json<ComparedBatches>, Failure> {
    let log = &service.surroundings.log;
    let (one, other) = (side(log, &mark).await?, side(log, &other).await?);
    let same_recipe = one.text == other.text && !one.text.is_empty();
    Ok(Json(translate::compared(
        one.record,
        other.record,
        same_recipe,
        (one.trails, other.trails),
    )))
}

/// One of two batches that are compared.
struct Side {
    record: BatchRecord,
    trails: Vec<f64>,
    /// The text of its recipe.
    text: String,
}

async fn side(log: &Log, mark: &str) -> Result<Side, Failure> {
    let batch = log.batch(batches::parse(mark)?).await?;
    let kept = journal::read_entries(log, batch.head.clone()).await?;
    Ok(Side {
        record: batches::record_of(log, &batch, &kept).await?,
        trails: translate::trails(&kept),
        text: batch.recipe_text,
    })
}
