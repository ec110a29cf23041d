//! Proving that the process lives, and ending when nobody needs it.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, AtomicUsize, Ordering};
use std::time::Duration;

use axum::body::Body;
use axum::extract::{Request, State};
use axum::middleware::Next;
use axum::response::Response;
use tarehand_protocol::api::BatchStateWord;
use tokio_util::sync::CancellationToken;

use super::Benches;

/// How often it is looked whether anybody needs the service.
const LOOK: Duration = Duration::from_secs(5);

/// Tells the supervisor that the process lives, at half the period it asks for.
///
/// It proves that the runtime turns, not that a scale or a disk is quick.
pub(super) async fn feed(stop: CancellationToken) {
    let Some(period) = sd_notify::watchdog_enabled() else {
        return;
    };
    loop {
        tokio::select! {
            () = stop.cancelled() => return,
            () = tokio::time::sleep(period / 2) => {}
        }
        if let Err(error) = sd_notify::notify(&[sd_notify::NotifyState::Watchdog]) {
            tracing::warn!(%error, "the supervisor was not told");
        }
    }
}

/// Counts clients: how many there are and how many there have been.
#[derive(Clone, Debug, Default)]
pub(super) struct Clients {
    now: Arc<AtomicUsize>,
    ever: Arc<AtomicU64>,
}

/// One client, counted until its answer has been sent.
struct Counted(Arc<AtomicUsize>);

impl Drop for Counted {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::Relaxed);
    }
}

/// Counts a request until its answer, a live stream included, has ended.
pub(super) async fn count(
    State(clients): State<Clients>,
    request: Request,
    next: Next,
) -> Response {
    clients.ever.fetch_add(1, Ordering::Relaxed);
    clients.now.fetch_add(1, Ordering::Relaxed);
    let counted = Counted(Arc::clone(&clients.now));
    let response = next.run(request).await;
    response.map(|body| {
        // The guard travels with the body and is dropped when the client has it all, or is gone.
        let stream = futures_util::StreamExt::map(body.into_data_stream(), move |data| {
            let _counted = &counted;
            data
        });
        Body::from_stream(stream)
    })
}

/// Stops the service when for `idle` no client has asked anything and no batch is being made.
pub(super) async fn end_when_idle(
    idle: Duration,
    benches: Benches,
    clients: Clients,
    stop: CancellationToken,
) {
    let mut quiet = Duration::ZERO;
    let mut ever = 0;
    while quiet < idle {
        tokio::select! {
            () = stop.cancelled() => return,
            () = tokio::time::sleep(LOOK) => {}
        }
        let asked = clients.ever.load(Ordering::Relaxed);
        let making = benches.all().iter().any(|bench| {
            let view = bench.view();
            let view = view.borrow();
            let over = matches!(
                view.state,
                BatchStateWord::Complete | BatchStateWord::Aborted
            );
            view.batch.is_some() && !over
        });
        let needed = making || asked != ever || 0 < clients.now.load(Ordering::Relaxed);
        ever = asked;
        quiet = if needed { Duration::ZERO } else { quiet + LOOK };
    }
    tracing::info!("nobody needs the service: it ends");
    stop.cancel();
}
