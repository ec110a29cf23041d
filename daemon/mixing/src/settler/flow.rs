//! How fast a weight grows.

use std::collections::VecDeque;
use std::time::Duration;

use tarehand_protocol::Mass;

use crate::tick::Tick;

/// The slope is taken over this long: short enough to follow a hand, long enough to outvote noise (our own choice).
const SPAN: Duration = Duration::from_millis(600);

/// The slope of the newest readings, by least squares.
#[derive(Clone, Debug, Default)]
pub(super) struct FlowEstimate {
    points: VecDeque<(Tick, Mass)>,
}

impl FlowEstimate {
    pub(super) fn observe(&mut self, at: Tick, gross: Mass) {
        self.points.push_back((at, gross));
        while 2 < self.points.len()
            && self
                .points
                .front()
                .is_some_and(|first| SPAN < at.since(first.0))
        {
            self.points.pop_front();
        }
    }

    pub(super) fn clear(&mut self) {
        self.points.clear();
    }

    /// Returns the slope in grams a second, nothing while there are fewer than two moments.
    pub(super) fn grams_per_second(&self) -> f64 {
        let (Some(first), true) = (self.points.front(), 1 < self.points.len()) else {
            return 0.0;
        };
        let count = f64::from(u32::try_from(self.points.len()).unwrap_or(u32::MAX));
        let point = |&(at, mass): &(Tick, Mass)| {
            (at.since(first.0).as_secs_f64(), (mass - first.1).grams())
        };
        let (sum_t, sum_m) = self
            .points
            .iter()
            .map(point)
            .fold((0.0, 0.0), |sum, p| (sum.0 + p.0, sum.1 + p.1));
        let (mean_t, mean_m) = (sum_t / count, sum_m / count);
        let (top, bottom) =
            self.points
                .iter()
                .map(point)
                .fold((0.0, 0.0), |(top, bottom), (t, m)| {
                    (
                        top + (t - mean_t) * (m - mean_m),
                        bottom + (t - mean_t) * (t - mean_t),
                    )
                });
        if 0.0 < bottom { top / bottom } else { 0.0 }
    }
}
