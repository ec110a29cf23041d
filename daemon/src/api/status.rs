//! The service itself.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use tarehand_protocol::api::{API_NUMBER, BenchSummary, Status};

use super::Service;

/// What the service is doing.
#[utoipa::path(get, path = "/v1/status", responses((status = 200, body = Status)))]
pub(super) async fn status(State(service): State<Service>) -> Json<Status> {
    let benches = service.benches.all().into_iter().map(|bench| {
        let view = bench.view();
        let view = view.borrow();
        BenchSummary {
            name: bench.name().to_owned(),
            scale: view.scale.as_ref().map(|scale| scale.device.clone()),
            fine_scale: view.fine_scale.as_ref().map(|scale| scale.device.clone()),
            batch: view.batch.clone(),
            recipe: view.recipe.clone(),
            state: view.state,
        }
    });
    Json(Status {
        api: API_NUMBER,
        version: env!("CARGO_PKG_VERSION").to_owned(),
        pid: std::process::id(),
        log: service.log_path.clone(),
        benches: benches.collect(),
    })
}

/// Stop the service: what is judged is written, then it ends.
#[utoipa::path(post, path = "/v1/stop", responses((status = 202, description = "it is stopping")))]
pub(super) async fn stop(State(service): State<Service>) -> StatusCode {
    service.stop.cancel();
    StatusCode::ACCEPTED
}
