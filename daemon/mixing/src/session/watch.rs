//! What is watched of the scales but not certain: lost on a restart without harm.

use tarehand_protocol::{Mass, NoWeight};

use super::cue::StopWatch;
use super::{Command, Session, TaskId};
use crate::settler::{Live, Zero};
use crate::tick::Tick;

/// What is watched but not certain.
#[derive(Clone, Debug, Default)]
pub(super) struct Watch {
    pub(super) main: PanWatch,
    pub(super) fine: PanWatch,
    pub(super) inside_since: Option<Tick>,
    pub(super) stop: StopWatch,
    pub(super) wanted: Option<Wanted>,
    pub(super) empty_seen: Option<Mass>,
    pub(super) time_said: bool,
    /// The task, weighed out of a bottle, at which something that weighs what the jar does came to the pan.
    pub(super) jar_like: Option<TaskId>,
    /// When the line was drawn whose trail is being timed.
    pub(super) trail_since: Option<Tick>,
}

/// What is watched of one scale.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct PanWatch {
    pub(super) live: Option<Live>,
    pub(super) no_weight: Option<NoWeight>,
    pub(super) settled: Option<Mass>,
    pub(super) gap: Option<Zero>,
}

impl PanWatch {
    /// Nobody has seen yet what happened since the last entry.
    pub(super) fn after_gap() -> Self {
        Self {
            gap: Some(Zero::Trusted),
            ..Self::default()
        }
    }

    /// Forgets every weight: there is none that could be judged.
    pub(super) fn blind(&mut self) {
        self.live = None;
        self.settled = None;
    }

    /// The scale is back: what happened meanwhile is to be judged, and a zero that was lost stays so.
    pub(super) fn back(&mut self, zero: Zero) {
        self.blind();
        self.gap = match (self.gap, zero) {
            (Some(Zero::Suspect), _) | (_, Zero::Suspect) => Some(Zero::Suspect),
            (_, Zero::Trusted) => Some(Zero::Trusted),
        };
    }
}

/// A command that waits until what is on its way into the jar has settled.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Wanted {
    pub(super) task: TaskId,
    pub(super) command: Command,
}

impl Session {
    /// What is watched of the scale that the current step is weighed on.
    pub(super) fn here(&self) -> &PanWatch {
        if self.book.on_fine() {
            &self.watch.fine
        } else {
            &self.watch.main
        }
    }

    pub(super) fn here_mut(&mut self) -> &mut PanWatch {
        if self.book.on_fine() {
            &mut self.watch.fine
        } else {
            &mut self.watch.main
        }
    }
}
