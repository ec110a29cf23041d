//! Additions are judged: below, inside or above; overshoot and rescue; what comes next.

use tarehand_protocol::Mass;

use crate::procedure::{Amount, Decanted, StepKind};

use super::book::{BatchState, JarPlace, Task};
use super::cue::StopWatch;
use super::entry::{Entry, Seen, TaskId, Verdict};
use super::input::{Cue, Effect, Refusal};
use super::{Session, Turn};

/// Where a pour stands against its target.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Place {
    Below,
    Inside,
    Above,
    /// There is no target in grams.
    Unjudged,
}

impl Place {
    /// Returns the verdict for a pour that is ended where it stands.
    pub(super) const fn verdict(self) -> Verdict {
        match self {
            Self::Below => Verdict::Shortfall,
            Self::Inside => Verdict::Within,
            Self::Above => Verdict::Overshoot,
            Self::Unjudged => Verdict::Recorded,
        }
    }
}

impl Session {
    /// Returns whether the current task pours something.
    pub(super) fn is_pouring(&self) -> bool {
        self.book
            .current()
            .is_some_and(|task| self.book.pours(task).is_some())
    }

    /// Returns whether the current task is finished by the person and not by weight or time.
    pub(super) fn waits_for_person(&self) -> bool {
        self.book
            .current()
            .is_some_and(|task| match self.book.step(task) {
                StepKind::Strain { .. } | StepKind::Look { .. } | StepKind::Note { .. } => true,
                StepKind::Stir { .. }
                | StepKind::Rest { .. }
                | StepKind::Trail { .. }
                | StepKind::TakeOut { .. }
                | StepKind::Decant { .. }
                | StepKind::Thin { .. } => false,
                StepKind::Add(addition) => match addition.amount {
                    Amount::Counted { .. } | Amount::ByEye | Amount::Whole { .. } => {
                        Mass::ZERO < task.poured
                    }
                    Amount::Weighed { .. } | Amount::Range { .. } => false,
                },
            })
    }

    /// Returns where a task stands.
    pub(super) fn place(&self, task: &Task) -> Place {
        self.place_with(task, task.poured)
    }

    /// Returns where a task would stand if it had received so much.
    pub(super) fn place_with(&self, task: &Task, poured: Mass) -> Place {
        match self.book.step(task) {
            StepKind::TakeOut { mass } => {
                return Self::place_of_removal(*mass, Mass::ZERO - poured);
            }
            StepKind::Decant {
                amount: Decanted::Weighed { target, .. },
                ..
            } => {
                let least = *target - self.book.within(task).unwrap_or_default();
                return Self::place_of_removal(least, Mass::ZERO - poured);
            }
            _ => {}
        }
        let Some(addition) = self.book.addition(task) else {
            return Place::Unjudged;
        };
        let (low, high) = match (&addition.amount, task.target, self.book.within(task)) {
            (Amount::Range { low, high }, _, _) => {
                let uncertainty = self.book.scale_of(task).uncertainty();
                (*low - uncertainty, *high + uncertainty)
            }
            (Amount::Weighed { .. } | Amount::Counted { .. }, Some(target), Some(within)) => {
                (target - within, target + within)
            }
            (
                Amount::Weighed { .. }
                | Amount::Counted { .. }
                | Amount::ByEye
                | Amount::Whole { .. },
                _,
                _,
            ) => {
                return Place::Unjudged;
            }
        };
        match poured {
            poured if poured < low => Place::Below,
            poured if high < poured => Place::Above,
            _ => Place::Inside,
        }
    }

    /// More than was asked for is as good: what is poured after taking out is worked out from what is left, and
    /// nothing is poured after decanting. Less is not.
    fn place_of_removal(wanted: Mass, out: Mass) -> Place {
        if out < wanted {
            Place::Below
        } else {
            Place::Inside
        }
    }

    /// Returns whether what is weighed stands on the pan: the jar, or the bottle.
    pub(super) fn is_load_there(&self) -> bool {
        let jar = !self.book.on_fine() && self.book.jar() == JarPlace::OnPan;
        self.book.bottle().is_none() && jar || self.bottle_on_pan().is_some()
    }

    /// Returns whether what is on the pan is what was booked, the bottle, or the jar while the bottle is awaited:
    /// something else may stand there.
    pub(super) fn is_as_booked(&self) -> bool {
        let booked = match self.bottle_on_pan() {
            Some(bottle) => bottle.gross,
            None => self.book.last(),
        };
        let gross = self.here().settled;
        let gross = gross.filter(|_| self.book.weighs_out() && self.is_load_there());
        gross.is_none_or(|gross| (gross - booked).abs() <= self.noticeable_here())
    }

    /// Returns why what is on the pan cannot be judged now.
    ///
    /// Where the next bottle has not come yet nothing can have left it, and nothing need stand there.
    pub(super) fn load_ready(&self) -> Result<(), Refusal> {
        let in_hand = self.book.bottle_in_use().is_some() && self.bottle_on_pan().is_none();
        let none_yet = self.book.weighs_out() && self.book.bottle_in_use().is_none();
        match (self.is_load_there(), self.here().settled) {
            _ if in_hand => Err(Refusal::BottleAway),
            _ if !self.is_as_booked() => Err(Refusal::NotTheJar),
            (true, Some(_)) => Ok(()),
            (true, None) => Err(Refusal::NoWeight),
            (false, _) if none_yet => Ok(()),
            (false, _) => Err(Refusal::NoJar),
        }
    }

    /// Judges the current addition, if there is a settled weight to judge it by.
    pub(super) fn judge(&mut self, turn: &mut Turn) {
        let judged = self.book.state() == BatchState::Running
            && self.is_load_there()
            && self.is_as_booked()
            && self.here().settled.is_some()
            && self.here().gap.is_none();
        if judged && self.book.on_fine() && !self.jar_follows(turn) {
            return;
        }
        let Some(task) = self.book.current().filter(|_| judged) else {
            return;
        };
        let by_weight = match self.book.addition(task).map(|addition| &addition.amount) {
            Some(Amount::Weighed { .. } | Amount::Range { .. }) => !task.reopened,
            Some(Amount::Counted { .. } | Amount::ByEye | Amount::Whole { .. }) => false,
            None => self.is_taking_out() && !(self.is_decanting() && task.reopened),
        };
        if !by_weight {
            return;
        }
        match self.place(task) {
            Place::Below | Place::Unjudged => self.watch.inside_since = None,
            Place::Inside => {
                let since = *self.watch.inside_since.get_or_insert(turn.now);
                let done = since + self.book.limits().dwell;
                if turn.now < done {
                    turn.effects.push(Effect::WakeAt(done));
                } else if self.is_decanting() {
                    self.finish(turn, Verdict::Within);
                } else if self.is_taking_out() {
                    self.taken_out(turn);
                } else {
                    self.book_last_digit(turn);
                    match self.book.current().map(|task| self.place(task)) {
                        Some(Place::Inside) => self.finish(turn, Verdict::Within),
                        Some(Place::Above) => self.finish(turn, Verdict::Overshoot),
                        Some(Place::Below | Place::Unjudged) | None => {
                            self.watch.inside_since = None;
                        }
                    }
                }
            }
            Place::Above => self.finish(turn, Verdict::Overshoot),
        }
    }

    /// Judges a task that was done already, after more of it turned up.
    pub(super) fn judge_again(&mut self, turn: &mut Turn, id: TaskId) {
        let above = self
            .book
            .task(id)
            .is_some_and(|task| self.place(task) == Place::Above);
        if above {
            self.record(turn, Entry::Began { task: id });
            self.finish(turn, Verdict::Overshoot);
        }
    }

    /// Returns whether a task was judged an overshoot and no way out has been chosen yet.
    ///
    /// A chosen way out begins the next task, so the current one can only be such a task while it is owed one.
    pub(super) fn owes_rescue(&self, task: &Task) -> bool {
        task.verdict == Some(Verdict::Overshoot) && self.is_in_ratio(task)
    }

    /// Returns whether an addition is part of a ratio: what goes into a finished jar afterwards is none of one.
    pub(super) fn is_in_ratio(&self, task: &Task) -> bool {
        self.book.procedure().amends.is_none()
            && self
                .book
                .addition(task)
                .is_some_and(|addition| addition.amount.share().is_some())
    }

    /// Writes the judgement of the current task down and goes on.
    pub(super) fn finish(&mut self, turn: &mut Turn, verdict: Verdict) {
        self.book_last_digit(turn);
        let Some(task) = self.book.current() else {
            return;
        };
        let (id, in_ratio) = (task.id, self.is_in_ratio(task));
        self.judged(turn, verdict);
        if verdict == Verdict::Overshoot && in_ratio {
            self.rescue(turn, id)
        } else {
            self.advance(turn)
        }
    }

    /// Writes the judgement of the current task down.
    pub(super) fn judged(&mut self, turn: &mut Turn, verdict: Verdict) {
        let Some(task) = self.book.current() else {
            return;
        };
        let entry = Entry::Judged {
            task: task.id,
            verdict,
            poured: task.poured,
            target: task.target,
            within: self.book.within(task),
        };
        self.record(turn, entry);
        turn.cue(Cue::Judged { verdict });
    }

    /// Books the last digit that was not worth an entry before, so that it does not go to the next addition.
    pub(super) fn book_last_digit(&mut self, turn: &mut Turn) {
        let watched = self.is_pouring()
            && self.is_load_there()
            && self.book.question().is_none()
            && self.here().gap.is_none();
        let (Some(gross), Some(task)) =
            (self.here().settled.filter(|_| watched), self.book.current())
        else {
            return;
        };
        let id = task.id;
        if let Some(bottle) = self.bottle_on_pan() {
            if gross != bottle.gross && self.is_near(gross, bottle.gross) {
                self.pour_out(turn, id, gross, Seen::Watched);
            }
            return;
        }
        if gross != self.book.last() && (gross - self.book.last()).abs() <= self.noticeable() {
            self.pour(turn, id, gross, Seen::Watched);
        }
    }

    /// Begins the next open task, or completes the batch.
    pub(super) fn advance(&mut self, turn: &mut Turn) {
        self.watch.inside_since = None;
        self.watch.stop = StopWatch::default();
        self.watch.time_said = false;
        let Some(task) = self.book.first_open().map(|task| task.id) else {
            self.record(turn, Entry::Completed);
            turn.cue(Cue::Complete);
            return;
        };
        self.record(turn, Entry::Began { task });
        self.scale_for_step(turn);
        turn.cue(Cue::Begin { task });
        if let Some(due) = self.due() {
            turn.effects.push(Effect::WakeAt(due));
        }
        self.look_again(turn);
        // What was named afterwards, or more of an ingredient than a way out asks for, may be in already.
        self.judge(turn);
    }
}
