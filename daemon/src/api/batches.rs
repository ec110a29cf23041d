//! The record of batches.

use std::str::FromStr;

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use serde::Deserialize;
use tarehand_protocol::api::{BatchList, BatchRecord, Problem};

use super::problem::Failure;
use super::request::{Asked, Place};
use super::{Service, translate};
use crate::journal;
use crate::log::{BatchFilter, Mark};

/// Which batches to list.
#[derive(Debug, Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(super) struct Wanted {
    /// At most so many, 50 by default.
    #[serde(default)]
    #[param(minimum = 0, maximum = 10000)]
    limit: Option<u32>,
    /// Only recipes whose name contains this, in any case of letters.
    #[serde(default)]
    find: Option<String>,
}

/// How many batches are listed when nobody says.
const USUAL: u32 = 50;
/// The most that may be asked for at once; the document says so too.
const MOST: u32 = 10_000;

/// The batches, newest first.
#[utoipa::path(get, path = "/v1/batches", params(Wanted), responses(
    (status = 200, body = BatchList),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
    (status = 503, body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn list(
    State(service): State<Service>,
    Asked(wanted): Asked<Wanted>,
) -> Result<Json<BatchList>, Failure> {
    let limit = wanted.limit.unwrap_or(USUAL);
    if MOST < limit {
        return Err(Failure::new(
            "bad-query",
            StatusCode::UNPROCESSABLE_ENTITY,
            "the query is not what this path takes",
        )
        .detail(format!("`limit` is {limit}, it must be at most {MOST}")));
    }
    let limit = usize::try_from(limit).unwrap_or(usize::MAX);
    let find = wanted.find.map(|find| find.to_lowercase());
    let log = &service.surroundings.log;
    let mut batches = Vec::new();
    for head in log.batches(BatchFilter::default()).await? {
        if batches.len() == limit {
            break;
        }
        let fits = find
            .as_ref()
            .is_none_or(|find| head.recipe.to_lowercase().contains(find));
        if fits {
            // A batch that cannot be read does not hide the others.
            match journal::read_entries(log, head).await {
                Ok(kept) => batches.push(translate::summary(&kept)),
                Err(error) => tracing::warn!(%error, "a batch is left out of the list"),
            }
        }
    }
    Ok(Json(BatchList { batches }))
}

/// One batch whole.
#[utoipa::path(get, path = "/v1/batches/{mark}", params(("mark" = String, Path, description = "the mark on the jar")),
    responses(
        (status = 200, body = BatchRecord),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = "5XX", body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn show(
    State(service): State<Service>,
    Place(mark): Place<String>,
) -> Result<Json<BatchRecord>, Failure> {
    let kept = journal::read(&service.surroundings.log, parse(&mark)?).await?;
    Ok(Json(translate::record(&kept)))
}

/// Reads the mark of a path; what is no mark names no batch.
pub(super) fn parse(mark: &str) -> Result<Mark, Failure> {
    Mark::from_str(mark).map_err(|error| {
        Failure::new(
            "no-such-batch",
            StatusCode::NOT_FOUND,
            "there is no such batch",
        )
        .detail(error.to_string())
        .hint(Some("see `tarehand log list`"))
    })
}
