//! Waiting for a condition: the one place that may poll.

use std::thread;
use std::time::{Duration, Instant};

/// How long to let the others work between two looks.
const PAUSE: Duration = Duration::from_millis(3);

/// A moment after which waiting is over.
#[derive(Clone, Copy, Debug)]
pub struct Deadline(Instant);

impl Deadline {
    /// Returns the moment `limit` from now.
    #[must_use]
    #[expect(
        clippy::disallowed_methods,
        reason = "a test's limit is wall time: it guards against hanging, no result depends on it"
    )]
    pub fn after(limit: Duration) -> Self {
        Self(Instant::now() + limit)
    }

    /// Returns the time left; `None` when it is over.
    #[must_use]
    #[expect(
        clippy::disallowed_methods,
        reason = "a test's limit is wall time: it guards against hanging, no result depends on it"
    )]
    pub fn left(self) -> Option<Duration> {
        self.0
            .checked_duration_since(Instant::now())
            .filter(|left| !left.is_zero())
    }
}

/// Waits until `look` finds something, and returns it.
///
/// # Panics
/// When `limit` is over, naming `what` was waited for.
#[track_caller]
pub fn wait_for<T>(what: &str, limit: Duration, look: impl FnMut() -> Option<T>) -> T {
    match wait_until(limit, look) {
        Some(found) => found,
        None => panic!("waited {limit:?} in vain for {what}"),
    }
}

/// Waits until `look` finds something; `None` when `limit` is over.
#[expect(
    clippy::disallowed_methods,
    reason = "the one place that polls: what it looks at has no way to wake it"
)]
pub fn wait_until<T>(limit: Duration, mut look: impl FnMut() -> Option<T>) -> Option<T> {
    let deadline = Deadline::after(limit);
    loop {
        let found = look();
        if found.is_some() || deadline.left().is_none() {
            return found;
        }
        thread::sleep(PAUSE);
    }
}
