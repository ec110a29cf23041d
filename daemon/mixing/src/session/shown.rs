//! What the pan shows at this moment, and what that says of the step at hand; only to be shown.

use tarehand_protocol::{Mass, NoWeight};

use super::{JarPlace, Session};
use crate::settler::Change;

/// What the pan shows at this moment, as far as it may be trusted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PanNow {
    /// A weight, live or settled.
    Weight {
        /// The gross.
        gross: Mass,
        /// How fast it grows, in grams a second; an estimate.
        flow_g_s: f64,
        /// Whether it is settled.
        settled: bool,
    },
    /// The scale speaks, but not of a weight.
    NoWeight(NoWeight),
    /// Nothing fresh from the scale.
    Lost,
}

impl Session {
    /// Returns what the pan shows at this moment.
    #[must_use]
    pub fn pan(&self) -> PanNow {
        let pan = self.here();
        match (pan.no_weight, pan.live, pan.settled) {
            (Some(why), _, _) => PanNow::NoWeight(why),
            (None, Some(live), settled) => PanNow::Weight {
                gross: live.gross,
                flow_g_s: live.flow_g_s,
                settled: settled.is_some(),
            },
            (None, None, Some(gross)) => PanNow::Weight {
                gross,
                flow_g_s: 0.0,
                settled: true,
            },
            (None, None, None) => PanNow::Lost,
        }
    }

    /// Returns what has gone into the current task, with what is being poured at this moment.
    #[must_use]
    pub fn net(&self) -> Option<Mass> {
        self.net_ahead(Mass::ZERO)
    }

    /// As [`Session::net`], with the newest reading so far ahead of what is judged ([`Settler::ahead`]); only to be shown.
    ///
    /// [`Settler::ahead`]: crate::settler::Settler::ahead
    #[must_use]
    pub fn net_ahead(&self, ahead: Mass) -> Option<Mass> {
        let task = self.book.current()?;
        let gross = match self.pan() {
            PanNow::Weight { gross, .. } => gross + ahead,
            PanNow::NoWeight(_) | PanNow::Lost => return None,
        };
        if let Some(bottle) = self.book.bottle_in_use() {
            return Some(task.poured + self.leaving(bottle, gross));
        }
        if self.book.on_fine() {
            return Some(task.poured);
        }
        match self.book.jar() {
            JarPlace::Awaited | JarPlace::Beside { .. } if self.book.weighs_out() => {
                Some(task.poured)
            }
            JarPlace::Awaited | JarPlace::Beside { .. } => None,
            JarPlace::OnPan => Some(task.poured + gross - self.book.last()),
            // A pour that starts after the load went away: the tare key was pressed, though nothing is booked yet.
            JarPlace::Gone { gross: gone } => {
                self.pours_after_tare().then(|| task.poured + gross - gone)
            }
        }
    }

    /// Returns whether the person must say so because the pan was loaded before its empty weight was seen.
    #[must_use]
    pub fn asks_whether_jar_is_on(&self) -> bool {
        let loaded = self
            .watch
            .main
            .settled
            .is_some_and(|gross| self.least_first() <= gross);
        self.awaits_first() && self.known_empty().is_none() && loaded
    }

    /// Returns whether the empty pan has been seen, so that the jar may be put on it.
    #[must_use]
    pub const fn empty_pan_seen(&self) -> bool {
        self.watch.empty_seen.is_some()
    }

    fn pours_after_tare(&self) -> bool {
        let JarPlace::Gone { gross: gone } = self.book.jar() else {
            return false;
        };
        self.watch.main.live.is_some_and(|live| {
            live.change == Change::Gradual && gone + self.noticeable() < live.gross
        })
    }
}
