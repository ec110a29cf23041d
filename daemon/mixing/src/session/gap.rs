//! The first settled weight after a gap: what came in it is booked unseen, asked about, or explained.

use tarehand_protocol::Mass;

use crate::procedure::{Amount, StepKind};
use crate::settler::Zero;

use super::entry::{Seen, TaskId};
use super::question::Question;
use super::{Session, Turn};

impl Session {
    /// Compares the first settled weight after a gap with the last one before it.
    pub(super) fn after_gap(&mut self, turn: &mut Turn, gross: Mass, zero: Zero) {
        let before = self.book.last();
        let delta = gross - before;
        if delta.abs() <= self.noticeable() {
            self.watched(turn, gross, Seen::Unseen);
        } else if self.is_load_gone(gross) {
            match zero {
                Zero::Suspect => self.ask(
                    turn,
                    Question::ZeroLost {
                        before,
                        after: gross,
                    },
                ),
                Zero::Trusted => self.load_gone(turn, gross),
            }
        } else if delta < Mass::ZERO && self.is_taking_out() {
            self.watched(turn, gross, Seen::Unseen);
        } else if delta < Mass::ZERO {
            self.ask(
                turn,
                Question::Lighter {
                    before,
                    after: gross,
                },
            );
        } else if let Some(task) = self.takes_unseen(delta) {
            self.pour(turn, task, gross, Seen::Unseen);
            self.judge(turn);
        } else {
            self.ask(
                turn,
                Question::PouredUnseen {
                    before,
                    after: gross,
                },
            );
        }
    }

    /// Returns the running task when it may have received this much unseen without leaving its tolerance.
    fn takes_unseen(&self, delta: Mass) -> Option<TaskId> {
        let task = self.book.current().filter(|_| self.is_pouring())?;
        let most = match self.book.addition(task).map(|addition| &addition.amount) {
            Some(Amount::Weighed { .. } | Amount::Counted { .. }) => task
                .target
                .map(|target| target + self.book.within(task).unwrap_or(target)),
            Some(Amount::Range { high, .. }) => Some(*high + self.book.scale().uncertainty()),
            Some(Amount::ByEye | Amount::Whole { .. }) => Some(Mass::LIMIT),
            None => match self.book.step(task) {
                StepKind::Thin { at_most, .. } => Some(at_most.unwrap_or(Mass::LIMIT)),
                _ => None,
            },
        };
        most.filter(|most| task.poured + delta <= *most)
            .map(|_| task.id)
    }
}
