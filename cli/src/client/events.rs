//! A stream of events, as messages of the API.

use std::collections::VecDeque;
use std::time::Duration;

use http_body_util::BodyExt;
use hyper::body::Incoming;
use tarehand_protocol::api::{Chunk, ChunksBegin, ReadingLine, View, WeightNow};
use tokio::time::timeout;

use super::error::ClientError;
use super::sse::{Event, Sse};

/// A stream that says nothing at all for so long is given up; the service says every few seconds that it lives.
const SILENCE_LIMIT: Duration = Duration::from_secs(15);

/// What a stream tells.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Happening {
    /// The newest weight.
    Weight(WeightNow),
    /// The newest view.
    View(Box<View>),
    /// A reading.
    Reading(ReadingLine),
    /// Bytes of the scale as they arrived.
    Chunk(Chunk),
    /// The bytes that follow continue nothing that came before.
    Begin(ChunksBegin),
    /// So much came faster than it was read.
    Missed(u64),
}

/// An open stream of events.
#[derive(Debug)]
pub(crate) struct Events {
    what: String,
    body: Incoming,
    sse: Sse,
    waiting: VecDeque<Event>,
}

impl Events {
    pub(super) fn new(what: String, body: Incoming) -> Self {
        Self {
            what,
            body,
            sse: Sse::default(),
            waiting: VecDeque::new(),
        }
    }

    /// Waits for what happens next; `None` when the service has ended the stream.
    ///
    /// May be dropped while it waits: nothing is lost.
    pub(crate) async fn next(&mut self) -> Result<Option<Happening>, ClientError> {
        loop {
            while let Some(event) = self.waiting.pop_front() {
                if let Some(happening) = self.read(&event)? {
                    return Ok(Some(happening));
                }
            }
            let frame = match timeout(SILENCE_LIMIT, self.body.frame()).await {
                Ok(Some(Ok(frame))) => frame,
                Ok(None) => return Ok(None),
                Ok(Some(Err(source))) => return Err(self.broken(source.into())),
                Err(_elapsed) => {
                    return Err(ClientError::TimedOut {
                        what: self.what.clone(),
                        limit: SILENCE_LIMIT,
                    });
                }
            };
            let Ok(bytes) = frame.into_data() else {
                continue; // trailers
            };
            match self.sse.push(&bytes) {
                Ok(events) => self.waiting.extend(events),
                Err(source) => return Err(self.broken(source.into())),
            }
        }
    }

    /// Reads an event; one of a kind this version does not know is passed over.
    fn read(&self, event: &Event) -> Result<Option<Happening>, ClientError> {
        let data = event.data.as_str();
        let read = match event.name.as_str() {
            "weight" => serde_json::from_str(data).map(Happening::Weight),
            "view" => serde_json::from_str(data).map(Happening::View),
            "reading" => serde_json::from_str(data).map(Happening::Reading),
            "chunk" => serde_json::from_str(data).map(Happening::Chunk),
            "begin" => serde_json::from_str(data).map(Happening::Begin),
            "missed" => serde_json::from_str(data).map(Happening::Missed),
            _ => return Ok(None),
        };
        read.map(Some).map_err(|source| ClientError::NotUnderstood {
            what: format!("{} ({})", self.what, event.name),
            source,
        })
    }

    fn broken(&self, source: Box<dyn std::error::Error + Send + Sync>) -> ClientError {
        ClientError::Broken {
            what: self.what.clone(),
            source,
        }
    }
}
