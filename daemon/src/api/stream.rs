//! Live state as server-sent events.
//!
//! A slow reader gets the newest weight and the newest view, never a backlog.

use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;

use axum::response::Sse;
use axum::response::sse::{Event, KeepAlive};
use futures_util::Stream;
use futures_util::stream::unfold;
use serde::Serialize;
use tarehand_mixing::tick::Tick;
use tarehand_protocol::api::{Chunk, ChunksBegin, ReadingLine};
use tarehand_protocol::scale::capture::hex;
use tokio::sync::broadcast::{self, error::RecvError};
use tokio_util::sync::CancellationToken;

use crate::bench::{Bench, Heard};

/// A quiet stream says that it lives this often.
const ALIVE: Duration = Duration::from_secs(2);

type Events<S> = Sse<axum::response::sse::KeepAliveStream<S>>;

/// Returns the events `weight` and `view` of a bench, the newest of each.
pub(super) fn newest(
    bench: &Bench,
    stop: CancellationToken,
) -> Events<impl Stream<Item = Result<Event, Infallible>> + use<>> {
    let mut view = bench.view();
    let mut weight = bench.weight();
    // What is there already is sent first.
    view.mark_changed();
    weight.mark_changed();
    alive(unfold(
        (view, weight, stop),
        async |(mut view, mut weight, stop)| {
            let event = tokio::select! {
                biased;
                () = stop.cancelled() => return None,
                changed = view.changed() => {
                    changed.ok()?;
                    let view = Arc::clone(&view.borrow_and_update());
                    event("view", &*view)
                }
                changed = weight.changed() => {
                    changed.ok()?;
                    let weight = weight.borrow_and_update().clone();
                    event("weight", &weight)
                }
            };
            Some((Ok(event), (view, weight, stop)))
        },
    ))
}

/// Returns every reading from now on as the event `reading`; `missed` counts what a slow reader lost.
pub(super) fn every(
    readings: broadcast::Receiver<Arc<ReadingLine>>,
    stop: CancellationToken,
) -> Events<impl Stream<Item = Result<Event, Infallible>> + use<>> {
    all(readings, stop, |line| event("reading", line))
}

/// Returns the bytes from now on as the events `begin` and `chunk`; `missed` counts what a slow reader lost.
pub(super) fn chunks(
    heard: broadcast::Receiver<Arc<Heard>>,
    stop: CancellationToken,
) -> Events<impl Stream<Item = Result<Event, Infallible>> + use<>> {
    all(heard, stop, |heard| match heard {
        Heard::Begin(device) => event(
            "begin",
            &ChunksBegin {
                device: device.clone(),
            },
        ),
        Heard::Chunk { at, came, bytes } => event(
            "chunk",
            &Chunk {
                at_us: u64::try_from(at.since(Tick::ZERO).as_micros()).unwrap_or(u64::MAX),
                came: *came,
                hex: hex(bytes),
            },
        ),
    })
}

/// Returns all that is sent from now on, each as its event.
fn all<T: Send + Sync + 'static>(
    sent: broadcast::Receiver<Arc<T>>,
    stop: CancellationToken,
    as_event: fn(&T) -> Event,
) -> Events<impl Stream<Item = Result<Event, Infallible>> + use<T>> {
    alive(unfold(
        (sent, stop, as_event),
        async |(mut sent, stop, as_event)| {
            let received = tokio::select! {
                () = stop.cancelled() => return None,
                received = sent.recv() => received,
            };
            let event = match received {
                Ok(one) => as_event(&one),
                Err(RecvError::Lagged(count)) => {
                    Event::default().event("missed").data(count.to_string())
                }
                Err(RecvError::Closed) => return None,
            };
            Some((Ok(event), (sent, stop, as_event)))
        },
    ))
}

fn alive<S: Stream<Item = Result<Event, Infallible>> + Send + 'static>(stream: S) -> Events<S> {
    Sse::new(stream).keep_alive(KeepAlive::new().interval(ALIVE))
}

fn event(name: &str, message: &impl Serialize) -> Event {
    let text = serde_json::to_string(message).expect("a message of the API is always JSON");
    Event::default().event(name).data(text)
}
