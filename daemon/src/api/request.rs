//! Request bodies and queries, parsed into messages or answered with a problem document.

use std::time::Duration;

use axum::body::Bytes;
use axum::extract::{FromRequest, FromRequestParts, Path, Query, Request};
use axum::http::request::Parts;
use axum::http::{StatusCode, header};
use serde::de::DeserializeOwned;
use tokio::time::timeout;

use super::problem::Failure;

/// How long a body may take to come whole, once its head has (`patience.rs`): recipes are short, so slower than that is nobody
/// who waits for an answer.
const BODY_LIMIT: Duration = Duration::from_secs(30);

/// A JSON body, checked against its message.
#[derive(Debug)]
pub(super) struct Body<T>(pub T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequest<S> for Body<T> {
    type Rejection = Failure;

    async fn from_request(request: Request, state: &S) -> Result<Self, Failure> {
        let json = request
            .headers()
            .get(header::CONTENT_TYPE)
            .is_some_and(|kind| {
                kind.to_str().is_ok_and(|kind| {
                    kind.split(';')
                        .next()
                        .is_some_and(|kind| kind.trim() == "application/json")
                })
            });
        if !json {
            return Err(Failure::new(
                "not-json",
                StatusCode::UNSUPPORTED_MEDIA_TYPE,
                "the body is not JSON",
            )
            .hint(Some("send it with `content-type: application/json`")));
        }
        let bytes = timeout(BODY_LIMIT, Bytes::from_request(request, state))
            .await
            .map_err(|_too_late| too_slow())?
            .map_err(|error| {
                Failure::new("body-too-large", error.status(), "the body cannot be read")
                    .detail(error.to_string())
            })?;
        // A derived reader would also take a list of the fields' values.
        if bytes.trim_ascii_start().first() != Some(&b'{') {
            return Err(bad_body("it is no JSON object"));
        }
        serde_json::from_slice(&bytes)
            .map(Self)
            .map_err(|error| bad_body(&error.to_string()))
    }
}

fn too_slow() -> Failure {
    Failure::new(
        "body-too-slow",
        StatusCode::REQUEST_TIMEOUT,
        "the body does not come",
    )
    .detail(format!("it was not whole after {} s", BODY_LIMIT.as_secs()))
}

fn bad_body(why: &str) -> Failure {
    Failure::new(
        "bad-body",
        StatusCode::UNPROCESSABLE_ENTITY,
        "the body is not what this path takes",
    )
    .detail(why)
}

/// The parameters of a path.
#[derive(Debug)]
pub(super) struct Place<T>(pub T);

impl<S: Send + Sync, T: DeserializeOwned + Send> FromRequestParts<S> for Place<T> {
    type Rejection = Failure;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Failure> {
        let place = Path::<T>::from_request_parts(parts, state).await;
        place.map(|Path(place)| Self(place)).map_err(|error| {
            Failure::new(
                "bad-path",
                StatusCode::NOT_FOUND,
                "there is nothing at this path",
            )
            .detail(error.to_string())
        })
    }
}

/// Says that a text to be found holds what nobody writes, such as a NUL, where it does.
pub(super) fn written(name: &str, text: &str) -> Result<(), Failure> {
    match text.chars().find(|sign| sign.is_control()) {
        None => Ok(()),
        Some(sign) => Err(Failure::new(
            "bad-query",
            StatusCode::UNPROCESSABLE_ENTITY,
            "the query is not what this path takes",
        )
        .detail(format!(
            "`{name}` holds the control character U+{:04X}",
            u32::from(sign)
        ))
        .hint(Some("write letters, numbers and signs, on one line"))),
    }
}

/// The parameters behind the question mark.
#[derive(Debug)]
pub(super) struct Asked<T>(pub T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequestParts<S> for Asked<T> {
    type Rejection = Failure;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Failure> {
        let asked = Query::<T>::from_request_parts(parts, state).await;
        asked.map(|Query(asked)| Self(asked)).map_err(|error| {
            Failure::new(
                "bad-query",
                StatusCode::UNPROCESSABLE_ENTITY,
                "the query is not what this path takes",
            )
            .detail(error.to_string())
        })
    }
}

#[cfg(test)]
mod tests {
    use axum::body::Body as Sent;
    use futures_util::StreamExt as _;
    use futures_util::stream::{iter, pending};

    use super::*;

    #[tokio::test(start_paused = true)]
    async fn a_body_that_never_ends_is_not_waited_for() {
        let begun = iter([Ok::<_, std::io::Error>("{")]).chain(pending());
        let request = Request::builder()
            .header(header::CONTENT_TYPE, "application/json")
            .body(Sent::from_stream(begun))
            .unwrap();
        let read = Body::<serde_json::Value>::from_request(request, &());
        let read = timeout(BODY_LIMIT * 2, read).await;
        assert!(read.expect("it is given up").is_err());
    }
}
