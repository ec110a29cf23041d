//! Who may come in: the owner through the socket, a token holder through loopback.

use std::io;

use axum::extract::{Request, State};
use axum::http::{StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use axum::serve::Listener;
use tokio::net::unix::SocketAddr;
use tokio::net::{UnixListener, UnixStream};

use super::problem::Failure;
use crate::visit::secret;

/// The Unix socket, for the user who runs the service and nobody else.
///
/// The file's mode says so already; the peer is asked all the same, because a folder may have been
/// opened up by mistake.
#[derive(Debug)]
pub struct OwnSocket(pub UnixListener);

impl Listener for OwnSocket {
    type Io = UnixStream;
    type Addr = SocketAddr;

    async fn accept(&mut self) -> (UnixStream, SocketAddr) {
        let own = rustix::process::geteuid().as_raw();
        loop {
            let (stream, address) = Listener::accept(&mut self.0).await;
            match stream.peer_cred() {
                Ok(peer) if peer.uid() == own || peer.uid() == 0 => return (stream, address),
                Ok(peer) => tracing::warn!(
                    user = peer.uid(),
                    "another user was turned away from the socket"
                ),
                Err(error) => tracing::warn!(%error, "a peer that cannot be named was turned away"),
            }
        }
    }

    fn local_addr(&self) -> io::Result<SocketAddr> {
        self.0.local_addr()
    }
}

/// The secret that opens loopback.
#[derive(Clone)]
pub struct Token(String);

impl std::fmt::Debug for Token {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Token(…)")
    }
}

impl Token {
    /// Takes the secret; the service reads or makes it.
    #[must_use]
    pub const fn new(secret: String) -> Self {
        Self(secret)
    }

    fn opens(&self, given: &str) -> bool {
        secret::same(&self.0, given)
    }
}

/// Lets a request on loopback through when it carries the token and names a loopback host.
///
/// The host is checked against pages that make a name of theirs point to loopback.
pub async fn guard(State(token): State<Token>, request: Request, next: Next) -> Response {
    match admit(&token, &request) {
        Ok(()) => next.run(request).await,
        Err(failure) => failure.into_response(),
    }
}

fn admit(token: &Token, request: &Request) -> Result<(), Failure> {
    let text = |name: header::HeaderName| {
        request
            .headers()
            .get(name)
            .and_then(|value| value.to_str().ok())
    };
    let host = text(header::HOST).map(|host| host.rsplit_once(':').map_or(host, |(name, _)| name));
    if !matches!(host, Some("127.0.0.1" | "localhost" | "[::1]")) {
        return Err(Failure::new(
            "strange-host",
            StatusCode::FORBIDDEN,
            "this host is not served",
        ));
    }
    let given = text(header::AUTHORIZATION).and_then(|value| value.strip_prefix("Bearer "));
    if given.is_some_and(|given| token.opens(given)) {
        return Ok(());
    }
    Err(Failure::new(
        "no-token",
        StatusCode::UNAUTHORIZED,
        "the token is missing or wrong",
    )
    .hint(Some(
        "send `authorization: Bearer TOKEN`; the token is in the runtime folder",
    )))
}
