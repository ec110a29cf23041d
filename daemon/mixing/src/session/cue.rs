//! When to say stop.

use tarehand_protocol::Mass;

use crate::procedure::{Amount, StepKind};
use crate::settler::Live;

use super::book::BatchState;
use super::entry::StopSaid;
use super::input::Cue;
use super::thinning::ThinNow;
use super::{Session, Turn};

/// Below this flow nobody is pouring, it only drips (our own choice).
const DRIP_G_S: f64 = 0.2;

/// A flow of at least this part of the one at the cue is a second pour and no dripping (our own choice).
const POURS_AGAIN: f64 = 0.25;

/// What is watched of the stop cue, from one booking to the next.
#[derive(Clone, Copy, Debug, Default)]
pub(super) enum StopWatch {
    /// It was not said.
    #[default]
    Unsaid,
    /// It was said in this pour.
    Said(StopSaid),
    /// It was said, and the flow has ended.
    Ended(StopSaid),
    /// More was poured after that, and stop was not said again yet.
    Again,
    /// And stop was said again: what settles is no answer to one cue.
    SaidAgain,
}

impl StopWatch {
    const fn is_said(self) -> bool {
        matches!(self, Self::Said(_) | Self::SaidAgain)
    }

    fn say(&mut self, said: StopSaid) {
        *self = match self {
            Self::Unsaid => Self::Said(said),
            _ => Self::SaidAgain,
        };
    }

    fn flow_ended(&mut self) {
        *self = match *self {
            Self::Said(said) => Self::Ended(said),
            Self::SaidAgain => Self::Again,
            other => other,
        };
    }

    fn flows(&mut self, flow_g_s: f64) {
        if let Self::Ended(said) = *self
            && said.flow_per_s.grams() * POURS_AGAIN <= flow_g_s
        {
            *self = Self::Again;
        }
    }

    /// What was poured is booked: returns the one cue it ended after, and begins anew.
    pub(super) fn ended(&mut self) -> Option<StopSaid> {
        match std::mem::take(self) {
            Self::Said(said) | Self::Ended(said) => Some(said),
            Self::Unsaid | Self::Again | Self::SaidAgain => None,
        }
    }
}

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
            self.watch.stop.flow_ended();
            return;
        }
        self.watch.stop.flows(flow_g_s);
        let wanted = self.book.state() == BatchState::Running
            && self.here().gap.is_none()
            && !self.watch.stop.is_said();
        let (Some(aim), Some(net), true) = (self.stop_at(), self.net(), wanted) else {
            return;
        };
        let (ahead, lead) = self.on_its_way(flow_g_s);
        if aim <= net + ahead {
            self.watch.stop.say(StopSaid {
                aim,
                flow_per_s: Mass::from_estimated_grams(flow_g_s),
                lead,
            });
            turn.cue(Cue::Stop);
        }
    }

    /// Returns what still comes when stop is said now, and how much of that was learnt; never less than nothing.
    fn on_its_way(&self, flow_g_s: f64) -> (Mass, Mass) {
        let limits = self.book.limits();
        let seconds = (limits.lag + limits.reaction + limits.fall).as_secs_f64();
        let by_flow = Mass::from_estimated_grams(flow_g_s * seconds);
        let poured = self.book.current().and_then(|task| self.book.pours(task));
        let learnt = poured.and_then(|poured| limits.stop_leads.get(&poured.key));
        let lead = learnt.map_or(Mass::ZERO, |lead| lead.at(flow_g_s));
        let lead = lead.max(Mass::ZERO - by_flow);
        (by_flow + lead, lead)
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
