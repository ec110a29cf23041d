//! The one clock of a bench: monotonic, counting suspend, scaled in a rehearsal.

use std::time::Duration;

use rustix::time::{ClockId, clock_gettime};
use tarehand_mixing::Tick;
use tarehand_mixing::shelf::Date;

/// The clock of one bench.
///
/// It follows the system's boot-time clock, which is monotonic and counts suspend, so a rest goes
/// on while the lid is closed. A rehearsal's clock runs `rate` times as fast as the wall's.
#[derive(Clone, Copy, Debug)]
pub struct Clock {
    origin: Duration,
    base: Tick,
    rate: f64,
}

impl Clock {
    /// Starts a clock at `base` that runs `rate` times as fast as the wall's.
    #[must_use]
    pub fn starting_at(base: Tick, rate: f64) -> Self {
        Self {
            origin: boot_time(),
            base,
            rate,
        }
    }

    /// Returns the bench time now.
    #[must_use]
    pub fn now(&self) -> Tick {
        self.base + boot_time().saturating_sub(self.origin).mul_f64(self.rate)
    }

    /// Leaps ahead, as a rehearsal does over a long rest; never back.
    pub fn leap_to(&mut self, tick: Tick) {
        self.base = self.base + tick.since(self.now());
    }

    /// Returns how long to wait on the wall's clock until `tick`; zero when it is past.
    #[must_use]
    pub fn wall_until(&self, tick: Tick) -> Duration {
        tick.since(self.now()).div_f64(self.rate)
    }

    /// Returns how many times as fast as the wall's this clock runs.
    #[must_use]
    pub const fn rate(&self) -> f64 {
        self.rate
    }
}

fn boot_time() -> Duration {
    let time = clock_gettime(ClockId::Boottime);
    let seconds = u64::try_from(time.tv_sec).unwrap_or(0);
    let nanos = u32::try_from(time.tv_nsec).unwrap_or(0);
    Duration::new(seconds, nanos)
}

/// Returns the day it is where this machine is.
#[must_use]
pub fn today() -> Date {
    let here = jiff::Timestamp::now().to_zoned_datetime(jiff::tz::TimeZone::system());
    let text = here.strftime("%Y-%m-%d").to_string();
    text.parse().expect("a date was just written in its form")
}
