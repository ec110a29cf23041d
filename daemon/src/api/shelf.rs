//! What is left of the shelf, and what batches took from it.

use std::collections::BTreeMap;

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use tarehand_mixing::diagnostic::{Diagnostic, Paint, render};
use tarehand_mixing::document::{Source, Sources};
use tarehand_mixing::shelf::{Shelf, warnings};
use tarehand_protocol::api::{Problem, ShelfDrawn, ShelfStock, StockRequest};

use super::apart::apart;
use super::problem::Failure;
use super::request::Body;
use super::{Service, sources, translate};
use crate::clock::today;
use crate::draws;

/// What batches took out of the packs of a shelf, as far back as it says anything of what is left of them.
///
/// Draws of one batch that leave the packs as one draw would are one.
#[utoipa::path(post, path = "/v1/shelf/drawn", request_body = StockRequest, responses(
    (status = 200, body = ShelfDrawn),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
    (status = 503, body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn drawn(
    State(service): State<Service>,
    Body(request): Body<StockRequest>,
) -> Result<Json<ShelfDrawn>, Failure> {
    let settings = sources::settings(&request.measures, &BTreeMap::new())?;
    let shelf = apart(move || {
        let source = Source::new("shelf.toml", request.shelf);
        // What is wrong with it is said where it is checked.
        Ok(Shelf::parse(&source, &settings.measures).0)
    })
    .await?;
    let drawn = draws::of_shelf(&shelf, &service.surroundings.log).await?;
    Ok(Json(translate::drawn(drawn)))
}

/// What is left of a shelf after what batches drew, and what of it is worth a second look.
#[utoipa::path(post, path = "/v1/shelf/stock", request_body = StockRequest, responses(
    (status = 200, body = ShelfStock),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
    (status = 503, body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn stock(
    State(service): State<Service>,
    Body(request): Body<StockRequest>,
) -> Result<Json<ShelfStock>, Failure> {
    let shelf = apart(move || read(request)).await?;
    let drawn = draws::of_shelf(&shelf, &service.surroundings.log).await?;
    apart(move || {
        let warnings = warnings(&shelf, &drawn, today());
        Ok(Json(translate::shelf_stock(
            &shelf, &drawn, true, &warnings,
        )))
    })
    .await
}

/// Reads a shelf; one with a mistake in it is refused, with the mistake shown.
fn read(request: StockRequest) -> Result<Shelf, Failure> {
    let settings = sources::settings(&request.measures, &BTreeMap::new())?;
    let source = Source::new("shelf.toml", request.shelf);
    let (shelf, problems) = Shelf::parse(&source, &settings.measures);
    let errors: Vec<Diagnostic> = problems.into_iter().filter(Diagnostic::is_error).collect();
    if !errors.is_empty() {
        let shown = Sources::new().with_shelf(source);
        return Err(Failure::new(
            "bad-shelf",
            StatusCode::UNPROCESSABLE_ENTITY,
            "the shelf cannot be read",
        )
        .detail(render(&errors, &shown, Paint::Plain))
        .hint(Some("put right what is marked")));
    }
    Ok(shelf)
}
