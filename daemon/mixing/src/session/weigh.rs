//! How a step is weighed: what the person says of it.

use crate::procedure::Weigh;
use crate::settler::Change;

use super::book::{Bottle, BottlePlace, Task};
use super::bottle::Holder;
use super::cue::StopWatch;
use super::entry::{Entry, TaskId};
use super::input::Refusal;
use super::{Session, Turn};

impl Session {
    /// Chooses how the current step is weighed; before the first one, how all of them are.
    pub(super) fn weigh(&mut self, turn: &mut Turn, weigh: Weigh) -> Result<(), Refusal> {
        if self.book.question().is_some() {
            return Err(Refusal::Asked);
        }
        let in_hand = |bottle: &Bottle| bottle.place != BottlePlace::OnPan;
        let on_fine = self.book.on_fine();
        // What left a cup is known by the jar alone where the finer scale cannot say it any more.
        let never_known = on_fine && self.book.fine().lost && weigh == Weigh::Jar;
        if self.book.bottle_in_use().is_some_and(in_hand) && !never_known {
            return Err(Refusal::BottleAway);
        }
        let weigh = match self.book.current() {
            Some(task) if weigh == Weigh::Bottle && (on_fine || self.fits_fine(task)) => {
                Weigh::Fine
            }
            Some(_) | None => weigh,
        };
        let tasks: Vec<TaskId> = match self.book.current() {
            Some(task) if self.book.pours(task).is_none() => return Err(Refusal::NothingPoured),
            Some(task) => self.weighed_otherwise([task].into_iter(), weigh),
            None => self.weighed_otherwise(self.book.tasks(), weigh),
        };
        if tasks.is_empty() {
            return self.this_is_the_bottle(turn);
        }
        self.watch.inside_since = None;
        self.watch.stop = StopWatch::default();
        self.record(turn, Entry::WeighChosen { tasks, weigh });
        if self.book.on_fine() {
            self.look_at_fine(turn);
            return Ok(());
        }
        if on_fine {
            self.jar_counts_again(turn);
            return Ok(());
        }
        if let Some(gross) = self.watch.main.settled {
            self.settled(turn, gross, Change::Unclear);
        }
        Ok(())
    }

    fn weighed_otherwise<'a>(
        &self,
        tasks: impl Iterator<Item = &'a Task>,
        weigh: Weigh,
    ) -> Vec<TaskId> {
        tasks
            .filter(|task| self.book.pours(task).is_some() && task.weigh != weigh)
            .map(|task| task.id)
            .collect()
    }

    /// A bottle that weighs what the jar does is taken for it until the person says what it is.
    fn this_is_the_bottle(&mut self, turn: &mut Turn) -> Result<(), Refusal> {
        let id = self.book.current().map(|task| task.id);
        let doubtful = id.is_some() && self.watch.jar_like == id || !self.is_as_booked();
        let waits = matches!(self.holder(), Holder::BottleAwaited) && doubtful;
        let gross = self.here().settled.filter(|_| waits);
        match gross {
            Some(gross) if self.least_bottle() <= gross - self.book.empty_here() => {
                self.here_mut().gap = None;
                self.place_bottle(turn, gross);
                Ok(())
            }
            Some(_) | None => Err(Refusal::WeighedSo),
        }
    }
}
