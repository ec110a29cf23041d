//! Work that waits for the disk or a device, done where it holds nobody up.

use axum::http::StatusCode;

use super::problem::Failure;

/// Does it on a thread of its own kind, and returns what came of it.
pub(super) async fn apart<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Failure> + Send + 'static,
) -> Result<T, Failure> {
    let done = tokio::task::spawn_blocking(work).await;
    done.unwrap_or_else(|error| {
        let status = StatusCode::INTERNAL_SERVER_ERROR;
        Err(Failure::new("not-done", status, "that went wrong").detail(error.to_string()))
    })
}
