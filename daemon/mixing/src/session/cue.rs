//! When to say stop.

use tarehand_protocol::Mass;

use crate::procedure::{Amount, StepKind};
use crate::settler::Live;

use super::book::BatchState;
use super::input::Cue;
use super::thinning::ThinNow;
use super::{Session, Turn};

/// Below this flow nobody is pouring, it only drips (our own choice).
const DRIP_G_S: f64 = 0.2;

impl Session {
    /// Says stop early enough: flow × (scale lag + reaction) + what is still falling, from the flow of this very pour.
    ///
    /// The display lags by the scale's averaging, the person by the reaction time, and what has left
    /// the bottle arrives whatever anybody does; at a steady flow each is flow × its time.
    pub(super) fn say_stop_in_time(&mut self, turn: &mut Turn, live: Live) {
        // Out of a bottle the pan grows lighter.
        let flow_g_s = match self.book.bottle_in_use() {
            Some(_) => -live.flow_g_s,
            None => live.flow_g_s,
        };
        if live.quiet || flow_g_s < DRIP_G_S {
            // The pour is over: the next one gets its own cue. Flicker of a quiet pan is no flow.
            self.watch.stop_said = false;
            return;
        }
        let wanted = self.book.state() == BatchState::Running
            && self.here().gap.is_none()
            && !self.watch.stop_said;
        let (Some(target), Some(net), true) = (self.stop_at(), self.net(), wanted) else {
            return;
        };
        if target <= net + self.on_its_way(flow_g_s) {
            self.watch.stop_said = true;
            turn.cue(Cue::Stop);
        }
    }

    fn on_its_way(&self, flow_g_s: f64) -> Mass {
        let limits = self.book.limits();
        let seconds = (limits.lag + limits.reaction + limits.fall).as_secs_f64();
        Mass::from_estimated_grams(flow_g_s * seconds)
    }

    /// Returns the net weight of the current task at which pouring should end.
    #[must_use]
    pub fn stop_at(&self) -> Option<Mass> {
        let task = self.book.current()?;
        match self.book.step(task) {
            StepKind::Add(addition) => match addition.amount {
                Amount::Weighed { .. } | Amount::Counted { .. } => task.target,
                // The middle: the person may stop anywhere inside.
                Amount::Range { low, high } => Some(Mass::from_micrograms(i64::midpoint(
                    low.micrograms(),
                    high.micrograms(),
                ))),
                Amount::ByEye | Amount::Whole { .. } => None,
            },
            StepKind::Thin { by, .. } => {
                let splash = match self.thin_now() {
                    Some(ThinNow::Splash { until, .. }) => until,
                    // Not advised, but nobody is stopped: the recipe's splash.
                    Some(
                        ThinNow::Measure
                        | ThinNow::Right
                        | ThinNow::TooThin { .. }
                        | ThinNow::AtMost,
                    )
                    | None => task.poured + *by,
                };
                let most = self.book.most_thinner(task);
                Some(most.map_or(splash, |most| splash.min(most)))
            }
            StepKind::Stir { .. }
            | StepKind::Rest { .. }
            | StepKind::Strain { .. }
            | StepKind::Look { .. }
            | StepKind::Trail { .. }
            | StepKind::TakeOut { .. }
            | StepKind::Decant { .. }
            | StepKind::Note { .. } => None,
        }
    }
}
