//! Keeping the record: batches moved between logs, copies of the log, and whether it is whole.

use std::path::{Path, PathBuf};

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use tarehand_protocol::api::{CopyLog, KeptBatch, LogChecked, LogCopied, Problem, TakenIn};

use super::apart::apart;
use super::problem::Failure;
use super::request::{Body, Place};
use super::{Service, batches, translate};
use crate::journal::{self, Unfounded};
use crate::log::{self, LogError, Moved};
use crate::texts;

/// A batch as the log keeps it, to be moved into another log.
#[utoipa::path(get, path = "/v1/batches/{mark}/kept", params(("mark" = String, Path, description = "the mark on the jar")),
    responses(
        (status = 200, body = KeptBatch),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = "5XX", body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn kept(
    State(service): State<Service>,
    Place(mark): Place<String>,
) -> Result<Json<KeptBatch>, Failure> {
    let log = &service.surroundings.log;
    let batch = log.batch(batches::parse(&mark)?).await?;
    Ok(Json(translate::kept_batch(log, batch).await?))
}

/// Take in a batch of another log; one that is here already stays as it is, or goes on where it went on there.
///
/// What it booked is worked out again from its journal: a batch whose transfers do not follow from its own entries is refused.
#[utoipa::path(post, path = "/v1/batches", request_body = KeptBatch, responses(
    (status = 200, body = TakenIn),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
    (status = "5XX", body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn take_in(
    State(service): State<Service>,
    Body(said): Body<KeptBatch>,
) -> Result<Json<TakenIn>, Failure> {
    let log = &service.surroundings.log;
    let moving = translate::moving(said).map_err(no_batch)?;
    let moving = journal::founded(moving).map_err(|error| unfounded(&error))?;
    let unreadable = texts::unreadable(&moving.new.recipe_text, &moving.new.shelf_text);
    let mark = moving.mark.clone();
    let moved = log.take_in(moving).await.map_err(|error| match error {
        LogError::OtherBatch { .. } => refused("other-batch", &error),
        LogError::BeingMade { .. } => refused("batch-not-over", &error),
        LogError::Refused { why } => no_batch(why),
        other => other.into(),
    })?;
    Ok(Json(TakenIn {
        mark: mark.as_str().to_owned(),
        already: moved == Moved::Already,
        went_on: moved == Moved::Grown,
        // The texts of one that is here already stay as they came first.
        remarks: match moved {
            Moved::In => unreadable,
            Moved::Grown | Moved::Already => Vec::new(),
        },
    }))
}

/// Says that what came is no batch as a log keeps it, and which rule it breaks.
fn no_batch(why: String) -> Failure {
    Failure::new(
        "bad-batch",
        StatusCode::UNPROCESSABLE_ENTITY,
        "that is no batch as a log keeps it",
    )
    .detail(why)
    .hint(Some("send what `GET /v1/batches/{mark}/kept` answered"))
}

/// Says that what the batch booked is not what its entries say.
fn unfounded(error: &Unfounded) -> Failure {
    Failure::new(
        "not-its-journal",
        StatusCode::UNPROCESSABLE_ENTITY,
        "that batch does not hold together, and is not taken in",
    )
    .detail(error.to_string())
    .hint(Some(
        "it was changed after it was exported: export it again from the log it was made in",
    ))
}

/// Says that the batch does not fit to the one of its mark that is here.
fn refused(name: &str, error: &LogError) -> Failure {
    Failure::new(name, StatusCode::CONFLICT, "that batch is not taken in")
        .detail(error.to_string())
        .hint(error.hint())
}

/// Says that there is no copy: where a file is the trouble it is the one that was named, and not the log.
fn no_copy(error: &LogError) -> Failure {
    let (status, title) = match error {
        LogError::Files { .. } => (
            StatusCode::UNPROCESSABLE_ENTITY,
            "the copy cannot be written there",
        ),
        _ => (
            StatusCode::SERVICE_UNAVAILABLE,
            "the log cannot be copied now",
        ),
    };
    Failure::new("no-copy", status, title)
        .detail(error.to_string())
        .hint(error.hint())
}

/// Copy the log into a new file, whole and checked, while it is written to.
#[utoipa::path(post, path = "/v1/log/copies", request_body = CopyLog, responses(
    (status = 200, body = LogCopied),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
    (status = "5XX", body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn copy(
    State(service): State<Service>,
    Body(said): Body<CopyLog>,
) -> Result<Json<LogCopied>, Failure> {
    let to = PathBuf::from(&said.path);
    if !to.is_absolute() {
        return Err(Failure::new(
            "bad-path",
            StatusCode::UNPROCESSABLE_ENTITY,
            "the whole path of the copy is needed",
        ));
    }
    if to.exists() {
        return Err(Failure::new(
            "file-there",
            StatusCode::CONFLICT,
            "there is a file already",
        )
        .detail(said.path)
        .hint(Some("name a file that is not there yet")));
    }
    let copied = apart(move || {
        log::copy_file(Path::new(&service.log_path), &to).map_err(|error| no_copy(&error))
    })
    .await?;
    Ok(Json(LogCopied {
        path: said.path,
        batches: copied.batches,
        entries: copied.entries,
        bytes: copied.bytes,
    }))
}

/// Say whether the log is whole.
#[utoipa::path(get, path = "/v1/log", responses(
    (status = 200, body = LogChecked),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
    (status = "5XX", body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn check(State(service): State<Service>) -> Result<Json<LogChecked>, Failure> {
    let path = service.log_path.clone();
    // By a second pair of eyes on the file: benches write on meanwhile.
    let found = apart(move || Ok(log::check_file(Path::new(&service.log_path))?)).await?;
    Ok(Json(LogChecked { path, found }))
}
