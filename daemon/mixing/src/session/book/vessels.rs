//! What stands on the pans, folded: bottles put there and left, and zeros that move under them.

use tarehand_protocol::Mass;

use crate::procedure::Weigh;

use super::super::entry::{TaskId, ZeroCause};
use super::super::question::Question;
use super::{Book, Bottle, BottlePlace, Chosen, JarPlace};

impl Book {
    pub(super) fn place_bottle(&mut self, task: TaskId, empty: Mass, gross: Mass) {
        self.begin();
        if self.on_fine() {
            self.fine.empty = empty;
        } else if self.jar == JarPlace::Awaited {
            // No jar was weighed on this pan: only what it holds is known.
            self.last += empty - self.empty;
            self.empty = empty;
        } else {
            self.jar = match self.jar {
                beside @ JarPlace::Beside { .. } => beside,
                JarPlace::Awaited | JarPlace::OnPan | JarPlace::Gone { .. } => {
                    JarPlace::Beside { gross: empty }
                }
            };
        }
        let key = self
            .task(task)
            .and_then(|task| self.pours(task))
            .map(|ingredient| ingredient.key.clone());
        *self.bottle_mut() = key.map(|key| Bottle {
            key,
            gross,
            filled: Mass::ZERO,
            laid: None,
            place: BottlePlace::OnPan,
        });
    }

    /// Forgets a bottle that is off the pan and belongs to a step before: what leaves it from now on is not this batch's.
    pub(super) fn leave_bottle(&mut self) {
        let lifted = |bottle: &Option<Bottle>| {
            bottle
                .as_ref()
                .is_some_and(|bottle| bottle.place != BottlePlace::OnPan)
        };
        let (on_fine, in_use) = (self.on_fine(), self.bottle_in_use().is_some());
        if lifted(&self.bottle) && (on_fine || !in_use) {
            self.bottle = None;
        }
        if lifted(&self.fine.bottle) && (!on_fine || !in_use) {
            self.fine.bottle = None;
        }
    }

    pub(super) fn weigh(&mut self, task: TaskId, weigh: Weigh, chosen: Chosen) {
        if let Some(task) = self.task_mut(task) {
            task.weigh = weigh;
            task.chosen = chosen;
        }
    }

    /// The numbers moved and nothing else: every weight that is kept moves with them.
    pub(super) fn move_zero(&mut self, by: Mass, cause: ZeroCause) {
        self.move_empty(by);
        let empty = self.empty;
        match (&mut self.bottle, cause) {
            (Some(bottle), ZeroCause::EmptyPan) => {
                bottle.place = BottlePlace::Lifted { gross: empty };
            }
            (Some(bottle), ZeroCause::TareKey | ZeroCause::Power) => {
                bottle.place = BottlePlace::OnPan;
            }
            (None, ZeroCause::EmptyPan) => {}
            (None, ZeroCause::TareKey | ZeroCause::Power) => self.jar = JarPlace::OnPan,
        }
    }

    pub(super) fn move_empty(&mut self, by: Mass) {
        self.empty += by;
        self.last += by;
        if let JarPlace::Gone { gross } | JarPlace::Beside { gross } = &mut self.jar {
            *gross += by;
        }
        if let Some(bottle) = &mut self.bottle {
            bottle.gross += by;
        }
        let on_fine = self.on_fine();
        self.question = self.question.take().map(|question| match question {
            // That bottle stands on the finer scale, whose numbers did not move.
            asked @ Question::BottleLighter { .. } if on_fine => asked,
            question => question.moved(by),
        });
    }
}
