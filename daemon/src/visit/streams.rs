//! How many streams of events visitors may have open at once.
//!
//! A stream is answered all the time, so no line with one ever makes room by itself.

use std::sync::Arc;

use tokio::sync::{OwnedSemaphorePermit, Semaphore};

/// Of one visitor: a browser opens no more than six lines to one machine (from memory), and something may run beside it.
const MOST_OF_ONE: usize = 8;
/// Of all visitors: half of the lines a port has (`api/lines.rs`), so that questions and newcomers find one.
const MOST_OF_ALL: usize = 64;

/// The places of all visitors.
#[derive(Clone, Debug)]
pub(super) struct AllStreams(Arc<Semaphore>);

impl Default for AllStreams {
    fn default() -> Self {
        Self(Arc::new(Semaphore::new(MOST_OF_ALL)))
    }
}

impl AllStreams {
    /// Returns what one visitor may take of them.
    pub(super) fn of_one(&self) -> Streams {
        Streams {
            own: Arc::new(Semaphore::new(MOST_OF_ONE)),
            all: Arc::clone(&self.0),
        }
    }
}

/// The places of one visitor.
#[derive(Clone, Debug)]
pub struct Streams {
    own: Arc<Semaphore>,
    all: Arc<Semaphore>,
}

/// A place that is taken until it is dropped.
#[derive(Debug)]
pub struct OpenStream(
    #[expect(dead_code, reason = "held, never looked at")] [OwnedSemaphorePermit; 2],
);

/// Why there is no place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Full {
    /// The visitor has as many as one may have.
    #[error("you have {MOST_OF_ONE} streams of events open, as many as one visitor may have")]
    One,
    /// All visitors together have.
    #[error("{MOST_OF_ALL} streams of events are open, as many as all visitors together may have")]
    All,
}

impl Streams {
    /// Takes a place.
    ///
    /// # Errors
    /// When the visitor, or all of them, have as many as they may.
    pub fn take(&self) -> Result<OpenStream, Full> {
        let place = |places: &Arc<Semaphore>| Arc::clone(places).try_acquire_owned();
        let own = place(&self.own).map_err(|_none_left| Full::One)?;
        let all = place(&self.all).map_err(|_none_left| Full::All)?;
        Ok(OpenStream([own, all]))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_visitor_takes_no_more_than_its_share_and_gets_it_back() {
        let all = AllStreams::default();
        let (one, other) = (all.of_one(), all.of_one());
        let mut open: Vec<_> = (0..MOST_OF_ONE).map(|_| one.take().unwrap()).collect();
        assert_eq!(one.take().unwrap_err(), Full::One);
        drop(other.take().unwrap());
        drop(open.pop());
        drop(one.take().unwrap());
    }

    #[test]
    fn all_visitors_together_have_a_limit() {
        let all = AllStreams::default();
        let visitors: Vec<_> = (0..=MOST_OF_ALL).map(|_| all.of_one()).collect();
        let (last, others) = visitors.split_last().unwrap();
        let open: Vec<_> = others.iter().map(|one| one.take().unwrap()).collect();
        assert_eq!(last.take().unwrap_err(), Full::All);
        drop(open);
        drop(last.take().unwrap());
    }
}
