//! What left a bottle: booked, or asked about where it is far more than the step takes.

use tarehand_protocol::Mass;

use crate::procedure::{Amount, StepKind};
use crate::settler::Change;

use super::book::{Bottle, Task};
use super::entry::{By, Entry, Seen, TaskId};
use super::input::Command;
use super::judge::Place;
use super::question::{Answer, Question};
use super::{Session, Turn};

impl Session {
    /// The weight changed while the bottle stood there.
    pub(super) fn changed_in_place(
        &mut self,
        turn: &mut Turn,
        gross: Mass,
        change: Change,
        bottle: &Bottle,
    ) {
        let before = bottle.gross;
        let delta = gross - before;
        let taken_off = bottle
            .laid
            .is_some_and(|laid| self.is_near(Mass::ZERO - laid, delta));
        let heavier = Mass::ZERO < delta;
        let Some(task) = self.book.current().map(|task| task.id) else {
            return;
        };
        match change {
            Change::Gradual if heavier => self.record(
                turn,
                Entry::Filled {
                    task,
                    before,
                    after: gross,
                    seen: Seen::Watched,
                },
            ),
            Change::Jump | Change::Unclear if heavier || taken_off => self.record(
                turn,
                Entry::LaidOn {
                    before,
                    after: gross,
                },
            ),
            Change::Gradual | Change::Jump | Change::Unclear => {
                self.lighter(turn, gross, Seen::Watched);
            }
        }
    }

    /// Books what left the bottle, or asks where that is far more than the step takes.
    pub(super) fn lighter(&mut self, turn: &mut Turn, gross: Mass, seen: Seen) {
        let (Some(bottle), Some(task)) = (self.book.bottle_in_use(), self.book.current()) else {
            return;
        };
        let (before, id) = (bottle.gross, task.id);
        let mass = before - gross;
        if self.noticeable_here() < mass && self.is_far_too_much(task, mass, seen) {
            let after = gross;
            self.ask(turn, Question::BottleLighter { before, after });
            return;
        }
        let place = self.place(task);
        let decides = self.place_with(task, task.poured + mass) != place;
        if self.book.scale_here().flicker() < mass.abs()
            || !mass.is_zero() && (decides || self.book.scale_here().division.is_none())
        {
            self.pour_out(turn, id, gross, seen);
        }
        let asked = self.book.question().and_then(Question::ways_out).is_some();
        if asked && self.noticeable_here() < mass {
            // More was poured meanwhile: the way out is asked anew.
            self.ask_way_out(turn, id);
        }
        self.judge(turn);
    }

    /// Books what left the bottle since the last booking: first what was filled into it here.
    pub(super) fn pour_out(&mut self, turn: &mut Turn, task: TaskId, after: Mass, seen: Seen) {
        let Some(bottle) = self.book.bottle_in_use() else {
            return;
        };
        let before = bottle.gross;
        let from_cup = bottle.filled.min(before - after).max(Mass::ZERO);
        let stop = self.watch.stop.ended();
        self.record(
            turn,
            Entry::PouredOut {
                task,
                before,
                after,
                from_cup,
                seen,
                stop,
            },
        );
    }

    /// Returns whether so much more is hardly a pour: more than twice what the step wants, or, where nobody saw it,
    /// more than it takes. It may as well be another bottle.
    fn is_far_too_much(&self, task: &Task, mass: Mass, seen: Seen) -> bool {
        let poured = task.poured + mass;
        let amount = self.book.addition(task).map(|addition| &addition.amount);
        let most = match (amount, task.target, self.book.step(task)) {
            (Some(Amount::Weighed { .. } | Amount::Counted { .. }), Some(target), _) => target,
            (Some(Amount::Range { high, .. }), _, _) => *high,
            (_, _, StepKind::Thin { at_most, by, .. }) => at_most.unwrap_or(task.poured + *by),
            _ => return false,
        };
        let unseen_above = seen == Seen::Unseen && self.place_with(task, poured) == Place::Above;
        unseen_above || most + most + self.noticeable_here() < poured
    }

    pub(super) fn while_bottle_asked(
        &mut self,
        turn: &mut Turn,
        gross: Mass,
        before: Mass,
        after: Mass,
    ) {
        let lifted = self.bottle_on_pan().is_none();
        if self.is_nothing(gross) || self.is_bare(gross) && !self.is_near(gross, after) {
            if !lifted {
                self.record(turn, Entry::BottleLifted { gross });
            }
            return;
        }
        if lifted {
            self.bottle_back(turn, gross);
        }
        if self.is_near(gross, after) {
            if lifted {
                self.command(turn, Command::Next);
            }
        } else if gross < before - self.noticeable_here() {
            let after = gross;
            self.ask(turn, Question::BottleLighter { before, after });
        } else {
            // It stands there as it did before, or heavier: then nothing of this was poured.
            let answer = Answer::No;
            let by = By::Person;
            self.record(turn, Entry::Answered { answer, by });
            if before + self.noticeable_here() < gross {
                self.place_bottle(turn, gross);
            }
            self.judge(turn);
        }
    }

    /// The person says whether all of it was poured; else another bottle stands there.
    pub(super) fn answer_bottle(&mut self, turn: &mut Turn, after: Mass, answer: Answer) {
        let task = self.book.current().map(|task| task.id);
        match (answer, task) {
            (Answer::Yes, Some(task)) => self.pour_out(turn, task, after, Seen::InHand),
            _ => self.place_bottle(turn, after),
        }
        self.judge(turn);
    }
}
