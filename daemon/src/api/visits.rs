//! The check in front of every request that comes through an open port.

use axum::body::Body;
use axum::extract::{ConnectInfo, Request, State};
use axum::http::{HeaderName, HeaderValue, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use futures_util::StreamExt as _;

use super::lines::ByLine;
use super::problem::Failure;
use crate::visit::{Caller, Full, Guest, Reception, is_own_origin};

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
    if guest.visitor.is_some()
        && let Some(ConnectInfo(line)) = request.extensions().get::<ConnectInfo<ByLine>>()
    {
        line.is_of_somebody_known();
    }
    request.extensions_mut().insert(guest.clone());
    let response = next.run(request).await;
    while_here(&guest, response)
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
    let guest = guest.unwrap_or_else(Guest::stranger);
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

/// Ends a stream of events when its visitor is gone; refuses it when there are too many.
fn while_here(guest: &Guest, response: Response) -> Response {
    let goes_on = response.headers().get(header::CONTENT_TYPE)
        == Some(&HeaderValue::from_static("text/event-stream"));
    let Some(streams) = guest.streams.as_ref().filter(|_| goes_on) else {
        return response;
    };
    let place = match streams.take() {
        Ok(place) => place,
        Err(full) => return Failure::from(full).into_response(),
    };
    let gone = guest.gone.clone();
    response.map(|body| {
        let body = body.into_data_stream().take_until(gone.cancelled_owned());
        Body::from_stream(body.inspect(move |_| {
            // Taken for as long as there is a body.
            let _held = &place;
        }))
    })
}

impl From<Full> for Failure {
    fn from(full: Full) -> Self {
        let status = match full {
            Full::One => StatusCode::TOO_MANY_REQUESTS,
            Full::All => StatusCode::SERVICE_UNAVAILABLE,
        };
        Self::new(
            "too-many-streams",
            status,
            "no more streams of events can be opened",
        )
        .detail(full.to_string())
        .hint(Some("close a page that nobody looks at"))
    }
}
