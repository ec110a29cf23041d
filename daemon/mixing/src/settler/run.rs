//! The run of readings that have stayed together.

use std::collections::VecDeque;
use std::time::Duration;

use tarehand_protocol::Mass;

use crate::tick::Tick;

/// Readings older than this say nothing new about a weight that is still quiet.
const KEPT: Duration = Duration::from_millis(1_500);
/// Never more than this, however fast the scale.
const MOST: usize = 256;

/// The newest readings that all lie within the band round their median.
#[derive(Clone, Debug, Default)]
pub(super) struct QuietRun {
    readings: VecDeque<(Tick, Mass)>,
    announced: bool,
}

impl QuietRun {
    /// Adds a reading and drops the oldest ones until the rest agree again.
    pub(super) fn push(&mut self, at: Tick, gross: Mass, band: Mass) {
        self.readings.push_back((at, gross));
        while self.readings.len() > MOST || self.is_longer_than_kept(at) {
            self.readings.pop_front();
        }
        while self.disagrees(band) {
            self.readings.pop_front();
            self.announced = false;
        }
    }

    /// Returns whether the readings cover `time` with at least `fresh` of them.
    pub(super) fn is_quiet(&self, time: Duration, fresh: usize) -> bool {
        match (self.readings.front(), self.readings.back()) {
            (Some(first), Some(last)) => {
                fresh <= self.readings.len() && time <= last.0.since(first.0)
            }
            _ => false,
        }
    }

    pub(super) fn median(&self) -> Option<Mass> {
        let mut masses: Vec<Mass> = self.readings.iter().map(|&(_, mass)| mass).collect();
        masses.sort_unstable();
        masses.get(masses.len() / 2).copied()
    }

    pub(super) fn last(&self) -> Option<Mass> {
        self.readings.back().map(|&(_, mass)| mass)
    }

    pub(super) fn clear(&mut self) {
        *self = Self::default();
    }

    /// Returns whether this run has been announced as settled already.
    pub(super) const fn announced(&self) -> bool {
        self.announced
    }

    pub(super) fn announce(&mut self) {
        self.announced = true;
    }

    pub(super) const fn forget_announcement(&mut self) {
        self.announced = false;
    }

    fn is_longer_than_kept(&self, now: Tick) -> bool {
        3 < self.readings.len()
            && self
                .readings
                .front()
                .is_some_and(|first| KEPT < now.since(first.0))
    }

    fn disagrees(&self, band: Mass) -> bool {
        let Some(median) = self.median() else {
            return false;
        };
        1 < self.readings.len()
            && self
                .readings
                .iter()
                .any(|&(_, mass)| band < (mass - median).abs())
    }
}
