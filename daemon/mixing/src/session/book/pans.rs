//! Which scale a task is weighed on, and what stands on the finer one.

use tarehand_protocol::Mass;

use crate::procedure::{Amount, Weigh};
use crate::weighing::Scale;

use super::{Book, Bottle, BottlePlace, Task};

/// The second, finer scale of a bench, and what stands on it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FinePan {
    /// The scale as far as it is known; `None` where there is none.
    pub scale: Option<Scale>,
    /// Whether it is away.
    pub lost: bool,
    /// What it shows, or would show, with nothing on it.
    pub empty: Mass,
    /// The bottle or small cup on it.
    pub bottle: Option<Bottle>,
    /// What went into the jar by it and was not compared with the jar's own scale yet.
    pub uncompared: Mass,
}

/// Why a task is weighed as it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Chosen {
    /// The recipe says so, or nobody says anything.
    Recipe,
    /// It follows from what the scales can tell apart.
    Scales,
    /// The person said so.
    Person,
}

impl Book {
    /// Returns the finer scale, and what stands on it.
    #[must_use]
    pub const fn fine(&self) -> &FinePan {
        &self.fine
    }

    /// Returns whether the current task is weighed out on the finer scale.
    #[must_use]
    pub fn on_fine(&self) -> bool {
        self.current()
            .is_some_and(|task| task.weigh == Weigh::Fine && self.pours(task).is_some())
    }

    /// Returns whether what leaves the cup or bottle of the current step is known only when it is set back.
    #[must_use]
    pub fn is_cup_in_hand(&self) -> bool {
        self.bottle_in_use()
            .is_some_and(|bottle| bottle.place != BottlePlace::OnPan)
    }

    /// Returns the scale that a task is weighed on.
    #[must_use]
    pub fn scale_of(&self, task: &Task) -> Scale {
        match (task.weigh, self.fine.scale) {
            (Weigh::Fine, Some(fine)) => fine,
            (Weigh::Jar | Weigh::Bottle | Weigh::Fine, _) => self.scale,
        }
    }

    /// Returns the scale that the current task is weighed on.
    #[must_use]
    pub fn scale_here(&self) -> Scale {
        self.current()
            .map_or(self.scale, |task| self.scale_of(task))
    }

    /// Returns what that scale shows with nothing on it.
    #[must_use]
    pub fn empty_here(&self) -> Mass {
        if self.on_fine() {
            self.fine.empty
        } else {
            self.empty
        }
    }

    /// Returns whether the uncertainty of a scale is more than what a recipe allows for a task.
    #[must_use]
    pub fn would_widen(&self, task: &Task, scale: Scale) -> bool {
        let amount = self.addition(task).map(|addition| &addition.amount);
        let asked = match (amount, task.target) {
            (Some(Amount::Weighed { within, .. }), Some(target)) => Some(within.of(target)),
            (Some(Amount::Counted { within, .. }), Some(target)) => {
                within.as_ref().map(|within| within.of(target))
            }
            _ => None,
        };
        asked.is_some_and(|asked| asked < scale.uncertainty())
    }

    pub(super) fn bottle_mut(&mut self) -> &mut Option<Bottle> {
        if self.on_fine() {
            &mut self.fine.bottle
        } else {
            &mut self.bottle
        }
    }

    /// The numbers of the finer scale moved and nothing else.
    pub(super) fn move_fine(&mut self, by: Mass, place: impl FnOnce(Mass) -> BottlePlace) {
        self.fine.empty += by;
        let place = place(self.fine.empty);
        if let Some(bottle) = &mut self.fine.bottle {
            bottle.gross += by;
            bottle.place = place;
        }
    }
}
