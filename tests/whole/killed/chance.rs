//! Chance that the same seed brings again.

use std::time::Duration;

/// A source of chance: SplitMix64 (Steele, Lea and Flood, OOPSLA 2014; from memory).
#[derive(Debug)]
pub(super) struct Chance(u64);

impl Chance {
    pub(super) const fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn draw(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Returns a whole number from `low` to `high`, both included.
    pub(super) fn between(&mut self, low: i64, high: i64) -> i64 {
        let width = high.abs_diff(low) + 1;
        low + i64::try_from(self.draw() % width).unwrap()
    }

    /// Returns yes so many times in a hundred.
    pub(super) fn percent(&mut self, percent: i64) -> bool {
        self.between(1, 100) <= percent
    }

    /// Returns a duration of whole microseconds from `low` to `high` milliseconds.
    pub(super) fn millis(&mut self, low: i64, high: i64) -> Duration {
        Duration::from_micros(self.between(low * 1_000, high * 1_000).unsigned_abs())
    }
}
