//! The open port.

use std::io;
use std::net::{Ipv4Addr, Ipv6Addr, SocketAddr, TcpListener};

use axum::Router;
use rustix::net::{Shutdown, shutdown, sockopt};
use tokio_util::sync::CancellationToken;
use tokio_util::task::TaskTracker;

use super::kept::{KeptError, Place};
use crate::api::{Bounded, ByLine};

/// How long a visitor's line may take nothing of what is sent before it is closed, in milliseconds: the line of a tablet that
/// went out of reach would keep its place for a quarter of an hour otherwise (tcp(7), `tcp_retries2`). A page that
/// slept so long asks anew.
const DEAD_AFTER_MS: u32 = 30_000;

/// Why the page cannot be opened.
#[derive(Debug, thiserror::Error)]
pub enum OpenError {
    /// The port is not to be had.
    #[error("cannot listen at port {port}: {source}")]
    Port {
        /// Which.
        port: u16,
        /// Why.
        source: io::Error,
    },
    /// What is open cannot be kept.
    #[error(transparent)]
    Kept(#[from] KeptError),
    /// The service is still starting.
    #[error("the service is still starting")]
    TooEarly,
}

impl OpenError {
    /// Returns what the person can do about it.
    #[must_use]
    pub fn hint(&self) -> &'static str {
        match self {
            Self::Port { .. } => "another program has it; leave the port out, or name another",
            Self::Kept(error) => error.hint(),
            Self::TooEarly => "ask again in a moment",
        }
    }
}

/// A port with the page behind it.
#[derive(Debug)]
pub(super) struct Port {
    place: Place,
    listener: TcpListener,
    address: SocketAddr,
    closed: CancellationToken,
}

impl Port {
    /// Takes a port; 0 is any free one.
    pub(super) fn bind(place: Place, port: u16) -> Result<Self, OpenError> {
        let listener = match place {
            Place::Here => TcpListener::bind((Ipv4Addr::LOCALHOST, port)),
            // Both families where the system has both.
            Place::Room => TcpListener::bind((Ipv6Addr::UNSPECIFIED, port))
                .or_else(|_one_family| TcpListener::bind((Ipv4Addr::UNSPECIFIED, port))),
        };
        let ready = |listener: TcpListener| {
            listener.set_nonblocking(true)?;
            // Every line that is opened here has it from the start.
            sockopt::set_tcp_user_timeout(&listener, DEAD_AFTER_MS)?;
            let address = listener.local_addr()?;
            Ok((listener, address))
        };
        let (listener, address) = listener
            .and_then(ready)
            .map_err(|source| OpenError::Port { port, source })?;
        Ok(Self {
            place,
            listener,
            address,
            closed: CancellationToken::new(),
        })
    }

    /// Begins to serve.
    pub(super) fn serve(
        &self,
        router: Router,
        stop: &CancellationToken,
        tasks: &TaskTracker,
    ) -> Result<(), OpenError> {
        let failed = |source| OpenError::Port {
            port: self.address.port(),
            source,
        };
        let listener = self.listener.try_clone().map_err(failed)?;
        let listener = tokio::net::TcpListener::from_std(listener).map_err(failed)?;
        let (closed, stop) = (self.closed.clone(), stop.clone());
        let end = async move {
            tokio::select! {
                () = closed.cancelled() => {}
                () = stop.cancelled() => {}
            }
        };
        let service = router.into_make_service_with_connect_info::<ByLine>();
        let server = axum::serve(Bounded::new(listener), service).with_graceful_shutdown(end);
        tasks.spawn(async move {
            if let Err(error) = server.await {
                tracing::error!(%error, "the page is no longer served");
            }
        });
        Ok(())
    }

    /// Stops to serve. What visitors look at is ended by turning them out.
    pub(super) fn close(self) {
        // The port is free at once, not when the task that serves it gets its turn.
        if let Err(error) = shutdown(&self.listener, Shutdown::Both) {
            tracing::debug!(%error, "the port was closed already");
        }
        self.closed.cancel();
    }

    pub(super) const fn place(&self) -> Place {
        self.place
    }

    pub(super) const fn address(&self) -> SocketAddr {
        self.address
    }
}
