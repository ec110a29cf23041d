//! The bench's clock as a link's thread needs it.

use std::time::Duration;

use tarehand_mixing::Tick;

use crate::clock::Clock;

/// The bench's clock: moments in bench time, waits in wall time.
pub(super) trait Time {
    /// Returns the bench time now.
    fn now(&self) -> Tick;

    /// Returns how many times as fast as the wall's this clock runs.
    fn rate(&self) -> f64;

    /// Returns how much wall time lies between two moments.
    fn wall_between(&self, earlier: Tick, later: Tick) -> Duration {
        later.since(earlier).div_f64(self.rate())
    }

    /// Returns the moment when so much wall time will have passed.
    fn after_wall(&self, wall: Duration) -> Tick {
        self.now() + wall.mul_f64(self.rate())
    }
}

impl Time for Clock {
    fn now(&self) -> Tick {
        Self::now(self)
    }

    fn rate(&self) -> f64 {
        Self::rate(self)
    }
}
