//! The bench's clock as a value.

use std::ops::Add;
use std::time::Duration;

use serde::{Deserialize, Serialize};

/// A moment on a bench's clock: whole microseconds of bench time.
///
/// Bench time runs on through suspend and restart; in a rehearsal it runs faster than the wall's.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct Tick(u64);

impl Tick {
    /// The moment the bench's clock began.
    pub const ZERO: Self = Self(0);

    /// Makes the moment this many microseconds after the beginning.
    #[must_use]
    pub const fn from_micros(micros: u64) -> Self {
        Self(micros)
    }

    /// Makes the moment this many milliseconds after the beginning.
    #[must_use]
    pub const fn from_millis(millis: u64) -> Self {
        Self(millis.saturating_mul(1_000))
    }

    /// Returns the microseconds since the beginning.
    #[must_use]
    pub const fn micros(self) -> u64 {
        self.0
    }

    /// Returns the time from `earlier` to this moment, zero when `earlier` is later.
    #[must_use]
    pub const fn since(self, earlier: Self) -> Duration {
        Duration::from_micros(self.0.saturating_sub(earlier.0))
    }
}

impl Add<Duration> for Tick {
    type Output = Self;

    fn add(self, time: Duration) -> Self {
        Self(
            self.0
                .saturating_add(u64::try_from(time.as_micros()).unwrap_or(u64::MAX)),
        )
    }
}
