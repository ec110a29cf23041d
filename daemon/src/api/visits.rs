//! The check in front of every request that comes through an open port.

use axum::body::Body;
use axum::extract::{Request, State};
use axum::http::{HeaderName, HeaderValue, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use futures_util::StreamExt as _;
use tokio_util::sync::CancellationToken;

use super::problem::Failure;
use crate::visit::{Caller, Guest, Reception, is_own_origin};

/// Lets a request through when it comes by a name of ours, from a page of ours, and from somebody who may.
///
/// An answer that goes on, such as a stream of events, ends when its visitor is turned away.
pub async fn guard(
    State(reception): State<Reception>,
    mut request: Request,
    next: Next,
) -> Response {
    let guest = match admit(&reception, &request) {
        Ok(guest) => guest,
        Err(failure) => return failure.into_response(),
    };
    let gone = guest.gone.clone();
    request.extensions_mut().insert(guest);
    let response = next.run(request).await;
    until(gone, response)
}

fn admit(reception: &Reception, request: &Request) -> Result<Guest, Failure> {
    let text = |name: HeaderName| {
        let value = request.headers().get(name);
        value.map(|value| value.to_str().unwrap_or_default())
    };
    let host = text(header::HOST).unwrap_or_default();
    if !reception.serves(host) {
        let hint = "go to it by its number, as `tarehand page` says it";
        return Err(Failure::new(
            "strange-host",
            StatusCode::FORBIDDEN,
            "this host is not served",
        )
        .hint(Some(hint)));
    }
    if text(header::ORIGIN).is_some_and(|origin| !is_own_origin(origin, host)) {
        return Err(Failure::new(
            "strange-origin",
            StatusCode::FORBIDDEN,
            "another page may not ask here",
        ));
    }
    let secret = text(header::AUTHORIZATION).and_then(|value| value.strip_prefix("Bearer "));
    let guest = secret.and_then(|secret| reception.known(secret));
    let guest = guest.unwrap_or_else(|| Guest {
        caller: Caller::Stranger,
        visitor: None,
        gone: CancellationToken::new(),
    });
    if guest.caller.may(request.method(), request.uri().path()) {
        return Ok(guest);
    }
    Err(match guest.caller {
        Caller::Stranger => Failure::new(
            "not-let-in",
            StatusCode::UNAUTHORIZED,
            "you were not let in, or were turned away",
        )
        .hint(Some("ask for a code at the machine: tarehand page")),
        Caller::Visitor(_) | Caller::Owner => Failure::new(
            "not-yours",
            StatusCode::FORBIDDEN,
            "that is not what you were let in for",
        ),
    })
}

/// Ends the body of an answer when its visitor is gone.
fn until(gone: CancellationToken, response: Response) -> Response {
    let goes_on = response.headers().get(header::CONTENT_TYPE)
        == Some(&HeaderValue::from_static("text/event-stream"));
    if !goes_on {
        return response;
    }
    response.map(|body| {
        let body = body.into_data_stream().take_until(gone.cancelled_owned());
        Body::from_stream(body)
    })
}
