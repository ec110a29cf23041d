//! The jar on the pan: from settled weights to bookings.
//!
//! Every gram is the difference of two settled gross weights, the one booked last and the one now. Each
//! function here decides to whom a difference belongs, or asks.

use tarehand_protocol::Mass;

use crate::settler::{Change, Zero};

use super::book::JarPlace;
use super::entry::{Cause, Entry, Seen, TaskId};
use super::input::{Cue, Effect};
use super::question::Question;
use super::{BatchState, Session, Turn};

impl Session {
    /// Takes a settled weight.
    pub(super) fn settled(&mut self, turn: &mut Turn, gross: Mass, change: Change) {
        if self.book.state() == BatchState::Paused {
            // What happens in a pause is looked at when the person is back.
            return;
        }
        if self.book.on_fine() {
            self.jar_meanwhile(turn, gross, change);
            return;
        }
        if !self.bottle_settled(turn, gross, change) {
            match self.book.jar() {
                JarPlace::Awaited => self.await_jar(turn, gross),
                JarPlace::OnPan => self.on_pan(turn, gross),
                JarPlace::Gone { gross: gone } => self.while_gone(turn, gross, change, gone),
                JarPlace::Beside { .. } => self.while_beside(turn, gross),
            }
        }
        self.carry_out_wanted(turn);
    }

    /// Waits for the jar to be weighed: at first empty, later with what was weighed into it out of bottles.
    fn await_jar(&mut self, turn: &mut Turn, gross: Mass) {
        if self.book.current().is_none() || self.wants_jar() {
            self.await_first(turn, gross, self.least_jar());
        }
    }

    /// Waits for what is to stand on the empty pan first.
    pub(super) fn await_first(&mut self, turn: &mut Turn, gross: Mass, least: Mass) {
        self.watch.main.gap = None;
        match self.known_empty() {
            Some(empty) if least <= gross - empty => self.place_first(turn, gross),
            // Nothing weighs less than an empty pan: the scale counts from another zero now.
            Some(empty) if gross < empty - self.noticeable() => {
                self.watch.empty_seen = Some(gross);
                turn.effects.push(Effect::EmptyPan(gross));
            }
            Some(_) | None if gross.abs() < least => {
                self.watch.empty_seen = Some(gross);
                turn.effects.push(Effect::EmptyPan(gross));
            }
            // The pan is loaded and its empty weight was never seen: the person must say what this is.
            Some(_) | None => {}
        }
    }

    /// Returns what the pan shows with nothing on it, seen before the batch began or known from its bottles.
    pub(super) fn known_empty(&self) -> Option<Mass> {
        let booked = self.book.current().map(|_| self.book.empty());
        self.watch.empty_seen.or(booked)
    }

    /// Takes what is on the pan as what the batch begins with.
    pub(super) fn place_first(&mut self, turn: &mut Turn, gross: Mass) {
        if self.book.weighs_out() {
            self.place_bottle(turn, gross);
        } else {
            self.place_jar(turn, self.known_empty().unwrap_or_default(), gross);
        }
    }

    /// Takes what is on the pan as the jar, empty but for what was weighed into it out of bottles.
    pub(super) fn place_jar(&mut self, turn: &mut Turn, empty: Mass, gross: Mass) {
        self.record(turn, Entry::JarPlaced { empty, gross });
        turn.effects.push(Effect::EmptyPan(empty));
        match self.book.current() {
            None => self.advance(turn),
            Some(_) => self.judge(turn),
        }
    }

    pub(super) fn on_pan(&mut self, turn: &mut Turn, gross: Mass) {
        if let Some(question) = self.book.question().cloned() {
            self.while_asked(turn, question, gross);
        } else if self.settles_what_was_weighed_finely(gross) {
            self.watch.main.gap = None;
            let (before, after) = (self.book.last(), gross);
            self.record(turn, Entry::JarCompared { before, after });
            self.judge(turn);
        } else if let Some(zero) = self.watch.main.gap.take() {
            self.after_gap(turn, gross, zero);
        } else if self.is_load_gone(gross) {
            self.load_gone(turn, gross);
        } else {
            self.watched(turn, gross, Seen::Watched);
        }
    }

    /// Returns whether what was weighed into the jar on a finer scale is all that this weight tells of.
    fn settles_what_was_weighed_finely(&self, gross: Mass) -> bool {
        !self.book.fine().uncompared.is_zero()
            && (gross - self.book.last()).abs() <= self.noticeable()
    }

    /// The weight changed before everybody's eyes, or so little in a gap that nobody need be asked.
    pub(super) fn watched(&mut self, turn: &mut Turn, gross: Mass, seen: Seen) {
        let before = self.book.last();
        let delta = gross - before;
        let Some(task) = self.book.current() else {
            return;
        };
        let (id, place) = (task.id, self.place(task));
        if self.is_decanting() && self.noticeable() < task.poured + delta {
            // More than was let out cannot have run back.
            self.ask(
                turn,
                Question::AddedInHand {
                    before,
                    after: gross,
                },
            );
        } else if self.is_taking_out() {
            if self.book.scale().flicker() < delta.abs()
                || !delta.is_zero() && self.book.scale().division.is_none()
            {
                let entry = if self.is_decanting() {
                    Entry::Decanted {
                        task: id,
                        before,
                        after: gross,
                        seen,
                    }
                } else {
                    Entry::Changed {
                        before,
                        after: gross,
                        cause: Cause::TakenOut,
                    }
                };
                self.record(turn, entry);
            }
            self.judge(turn);
        } else if self.is_pouring() {
            if delta < -self.noticeable() && task.poured.is_zero() && self.is_little(delta) {
                // Nothing was poured yet: the stick of the stir before left the jar.
                self.residue(turn, gross);
                return;
            }
            if delta < -self.noticeable() {
                self.ask(
                    turn,
                    Question::Lighter {
                        before,
                        after: gross,
                    },
                );
                return;
            }
            // Small steps back are the needle coming to rest; booked as they are, they cancel exactly.
            // The last digit alone is booked only where it decides: what is judged is what the scale shows.
            let decides = self.place_with(task, task.poured + delta) != place;
            if self.book.scale().flicker() < delta.abs()
                || !delta.is_zero() && (decides || self.book.scale().division.is_none())
            {
                self.pour(turn, id, gross, seen);
            }
            self.judge(turn);
        } else if self.noticeable() < delta.abs() {
            self.residue(turn, gross);
        }
    }

    /// Books a change that is no ingredient: residue, a stick, a drop at the rim.
    pub(super) fn residue(&mut self, turn: &mut Turn, after: Mass) {
        let before = self.book.last();
        self.record(
            turn,
            Entry::Changed {
                before,
                after,
                cause: Cause::Residue,
            },
        );
    }

    /// Returns whether a stick or a strainer may have carried this much: a twentieth of the mix (our own choice).
    pub(super) fn is_little(&self, change: Mass) -> bool {
        let mix = self.book.last() - self.book.empty() - self.book.jar_alone();
        change.abs() <= Mass::from_micrograms(mix.micrograms() / 20).max(self.noticeable())
    }

    /// Books what came into the jar since the last booking.
    pub(super) fn pour(&mut self, turn: &mut Turn, task: TaskId, after: Mass, seen: Seen) {
        let before = self.book.last();
        let stop = self.watch.stop.ended();
        self.record(
            turn,
            Entry::Poured {
                task,
                before,
                after,
                seen,
                stop,
            },
        );
    }

    /// A question is open and the weight settled again.
    fn while_asked(&mut self, turn: &mut Turn, question: Question, gross: Mass) {
        let gap = self.watch.main.gap.take();
        if let Some(after) = question.waiting() {
            if self.is_load_gone(gross) {
                self.load_gone(turn, gross);
            } else if self.book.scale().flicker() < (gross - after).abs() {
                self.ask(turn, question.about(gross));
            }
            return;
        }
        let delta = gross - self.book.last();
        match (question, gap) {
            _ if delta.abs() <= self.noticeable() => {}
            // More was poured meanwhile: it is booked, and the way out is asked anew.
            (question, None) if Mass::ZERO < delta && question.ways_out().is_some() => {
                let task = question.ways_out().map(|(task, _)| task);
                let task = task.filter(|&id| {
                    self.book
                        .task(id)
                        .is_some_and(|task| self.book.pours(task).is_some())
                });
                if let Some(task) = task {
                    self.pour(turn, task, gross, Seen::Watched);
                    self.ask_way_out(turn, task);
                }
            }
            // Anything else comes first; the way out is asked again after it.
            (_, None) if self.is_load_gone(gross) => self.load_gone(turn, gross),
            (_, gap) => self.after_gap(turn, gross, gap.unwrap_or(Zero::Trusted)),
        }
    }

    pub(super) fn ask(&mut self, turn: &mut Turn, question: Question) {
        if self.book.question() == Some(&question) {
            return;
        }
        self.record(turn, Entry::Asked { question });
        turn.cue(Cue::Asks);
    }
}
