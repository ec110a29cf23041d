//! What batches took from the shelf.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use serde::Deserialize;
use tarehand_mixing::shelf::Moment;
use tarehand_protocol::api::{Problem, ShelfDrawn};

use super::problem::Failure;
use super::request::Asked;
use super::{Service, translate};

/// Since when.
#[derive(Debug, Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(super) struct Since {
    /// Only what was booked at or after this moment (RFC 3339, UTC): `2026-11-02T10:15:00Z`.
    #[serde(default)]
    since: Option<String>,
}

/// What batches took from the shelf, by ingredient.
#[utoipa::path(get, path = "/v1/shelf/drawn", params(Since), responses(
    (status = 200, body = ShelfDrawn),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
    (status = 503, body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn drawn(
    State(service): State<Service>,
    Asked(asked): Asked<Since>,
) -> Result<Json<ShelfDrawn>, Failure> {
    let since = match &asked.since {
        None => None,
        Some(text) => Some(text.parse::<Moment>().map_err(|error| {
            Failure::new(
                "bad-query",
                StatusCode::UNPROCESSABLE_ENTITY,
                "the query is not what this path takes",
            )
            .detail(format!("`since`: {error}"))
        })?),
    };
    let since = since.map(|since| since.to_string());
    let drawn = service.surroundings.log.drawn(since.clone()).await?;
    Ok(Json(translate::drawn(since, drawn)))
}
