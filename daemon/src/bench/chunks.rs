//! The bytes of the scale as they arrive, for whoever listens: to teach a scale, or to keep a capture.

use std::sync::Arc;

use tarehand_mixing::tick::Tick;
use tarehand_protocol::api::ChunkWord;
use tokio::sync::broadcast;

use crate::links::LinkEvent;

/// Chunks kept for a reader who is a little late: twenty seconds of a scale that sends 50 times a second.
const KEPT: usize = 1_024;

/// What was heard of a scale, whatever it means.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Heard {
    /// What follows continues nothing that came before; the device, where it was opened.
    Begin(Option<String>),
    /// Bytes.
    Chunk {
        /// When they arrived.
        at: Tick,
        /// How.
        came: ChunkWord,
        /// The bytes.
        bytes: Vec<u8>,
    },
}

/// Where the bytes go.
#[derive(Clone, Debug)]
pub(super) struct ChunksOut(broadcast::Sender<Arc<Heard>>);

impl Default for ChunksOut {
    fn default() -> Self {
        Self(broadcast::Sender::new(KEPT))
    }
}

impl ChunksOut {
    pub(super) fn subscribe(&self) -> broadcast::Receiver<Arc<Heard>> {
        self.0.subscribe()
    }

    /// Hands on what a link tells of bytes; never waits, and costs nothing while nobody listens.
    pub(super) fn hear(&self, event: &LinkEvent) {
        if self.0.receiver_count() == 0 {
            return;
        }
        let chunk = |at: Tick, came: ChunkWord, bytes: &[u8]| Heard::Chunk {
            at,
            came,
            bytes: bytes.to_vec(),
        };
        let heard = match event {
            LinkEvent::Bytes { at, bytes } => chunk(*at, ChunkWord::Stream, bytes),
            LinkEvent::Packet { at, bytes } => chunk(*at, ChunkWord::Packet, bytes),
            LinkEvent::Opened { device, .. } => Heard::Begin(Some(device.clone())),
            LinkEvent::Skipped { .. } => Heard::Begin(None),
            LinkEvent::Described { .. }
            | LinkEvent::Tuned { .. }
            | LinkEvent::About { .. }
            | LinkEvent::Gone { .. } => {
                return;
            }
        };
        // Whoever listened may be gone by now.
        drop(self.0.send(Arc::new(heard)));
    }
}

#[cfg(test)]
mod tests {
    use tarehand_protocol::api::TroubleWord;
    use tokio::sync::broadcast::error::TryRecvError;

    use super::*;

    fn bytes(number: usize) -> LinkEvent {
        LinkEvent::Bytes {
            at: Tick::ZERO,
            bytes: number.to_be_bytes().to_vec(),
        }
    }

    #[test]
    fn a_slow_reader_is_told_how_much_it_lost_and_holds_nobody_up() {
        let out = ChunksOut::default();
        let (mut slow, mut quick) = (out.subscribe(), out.subscribe());
        for number in 0..KEPT + 7 {
            out.hear(&bytes(number));
            assert!(quick.try_recv().is_ok());
        }
        assert_eq!(slow.try_recv(), Err(TryRecvError::Lagged(7)));
        let oldest = slow.try_recv().unwrap();
        let expect = 7_usize.to_be_bytes();
        assert!(matches!(&*oldest, Heard::Chunk { bytes, .. } if *bytes == expect));
    }

    #[test]
    fn what_is_no_bytes_is_not_handed_on_and_a_gap_is_said() {
        let out = ChunksOut::default();
        let mut reader = out.subscribe();
        out.hear(&LinkEvent::Gone {
            kind: TroubleWord::Unplugged,
            why: String::new(),
            hint: None,
        });
        out.hear(&LinkEvent::Skipped { at: Tick::ZERO });
        assert_eq!(*reader.try_recv().unwrap(), Heard::Begin(None));
        assert!(reader.try_recv().is_err());
    }
}
