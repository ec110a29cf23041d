//! Jar on, jar gone, jar back, gaps and moved zeros: from settled weights to bookings.
//!
//! Every gram is the difference of two settled gross weights, the one booked last and the one now. Each
//! function here decides to whom a difference belongs, or asks.

use tarehand_protocol::Mass;

use crate::procedure::{Amount, StepKind};
use crate::settler::{Change, Zero};

use super::book::JarPlace;
use super::entry::{By, Cause, Entry, Seen, TaskId, ZeroCause};
use super::input::{Command, Cue, Effect};
use super::question::{Answer, Question};
use super::{BatchState, Session, Turn};

impl Session {
    /// Takes a settled weight.
    pub(super) fn settled(&mut self, turn: &mut Turn, gross: Mass, change: Change) {
        if self.book.state() == BatchState::Paused {
            // What happens in a pause is looked at when the person is back.
            return;
        }
        match self.book.jar() {
            JarPlace::Awaited => self.await_jar(turn, gross),
            JarPlace::OnPan => self.on_pan(turn, gross),
            JarPlace::Gone { gross: gone } => self.while_gone(turn, gross, change, gone),
        }
        if self.watch.next_wanted {
            self.watch.next_wanted = false;
            self.command(turn, Command::Next);
        }
    }

    fn await_jar(&mut self, turn: &mut Turn, gross: Mass) {
        self.watch.gap = None;
        match self.watch.empty_seen {
            Some(empty) if self.least_jar() <= gross - empty => self.place_jar(turn, empty, gross),
            Some(_) | None if gross.abs() < self.least_jar() => {
                self.watch.empty_seen = Some(gross);
                turn.effects.push(Effect::EmptyPan(gross));
            }
            // The pan is loaded and its empty weight was never seen: the person must say that this is the jar.
            Some(_) | None => {}
        }
    }

    /// Takes what is on the pan as the empty jar.
    pub(super) fn place_jar(&mut self, turn: &mut Turn, empty: Mass, gross: Mass) {
        self.record(turn, Entry::JarPlaced { empty, gross });
        turn.effects.push(Effect::EmptyPan(empty));
        self.advance(turn);
    }

    fn on_pan(&mut self, turn: &mut Turn, gross: Mass) {
        if let Some(question) = self.book.question().cloned() {
            self.while_asked(turn, question, gross);
        } else if let Some(zero) = self.watch.gap.take() {
            self.after_gap(turn, gross, zero);
        } else {
            self.watched(turn, gross, Seen::Watched);
        }
    }

    /// The weight changed before everybody's eyes, or so little in a gap that nobody need be asked.
    fn watched(&mut self, turn: &mut Turn, gross: Mass, seen: Seen) {
        let before = self.book.last();
        let delta = gross - before;
        let Some(task) = self.book.current() else {
            return;
        };
        let (id, place) = (task.id, self.place(task));
        if self.is_pouring() {
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
            self.record(
                turn,
                Entry::Changed {
                    before,
                    after: gross,
                    cause: Cause::Residue,
                },
            );
        }
    }

    /// Books what came into the jar since the last booking.
    pub(super) fn pour(&mut self, turn: &mut Turn, task: TaskId, after: Mass, seen: Seen) {
        let before = self.book.last();
        self.record(
            turn,
            Entry::Poured {
                task,
                before,
                after,
                seen,
            },
        );
    }

    /// The first settled weight after a gap, compared with the last one before it.
    fn after_gap(&mut self, turn: &mut Turn, gross: Mass, zero: Zero) {
        let before = self.book.last();
        let delta = gross - before;
        let half = Mass::from_micrograms((before - self.book.empty()).micrograms() / 2);
        if delta.abs() <= self.noticeable() {
            self.watched(turn, gross, Seen::Unseen);
        } else if delta < Mass::ZERO && gross <= self.book.empty() + half {
            match zero {
                Zero::Suspect => self.ask(
                    turn,
                    Question::ZeroLost {
                        before,
                        after: gross,
                    },
                ),
                Zero::Trusted => {
                    self.record(turn, Entry::LoadGone { gross });
                    turn.cue(Cue::LoadGone);
                }
            }
        } else if delta < Mass::ZERO {
            self.ask(
                turn,
                Question::Lighter {
                    before,
                    after: gross,
                },
            );
        } else if let Some(task) = self.takes_unseen(delta) {
            self.record(
                turn,
                Entry::Poured {
                    task,
                    before,
                    after: gross,
                    seen: Seen::Unseen,
                },
            );
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

    /// A question is open and the weight settled again.
    fn while_asked(&mut self, turn: &mut Turn, question: Question, gross: Mass) {
        let before = self.book.last();
        match question.waiting() {
            None => {
                // An overshoot is asked about, and more was poured meanwhile: it is booked, and asked anew.
                let zero = self.watch.gap.take();
                let delta = gross - before;
                if self.noticeable() < delta.abs() {
                    if let (None, Question::Overshoot { task, .. }, true) =
                        (zero, &question, Mass::ZERO < delta)
                    {
                        let task = *task;
                        self.record(
                            turn,
                            Entry::Poured {
                                task,
                                before,
                                after: gross,
                                seen: Seen::Watched,
                            },
                        );
                        self.ask_overshoot(turn, task);
                    } else {
                        self.watch.gap = zero.or(Some(Zero::Trusted));
                    }
                }
            }
            Some(after) => {
                self.watch.gap = None;
                if self.book.scale().flicker() < (gross - after).abs() {
                    self.ask(turn, question.about(gross));
                }
            }
        }
    }

    /// The load went away, and the weight settled again.
    fn while_gone(&mut self, turn: &mut Turn, gross: Mass, change: Change, gone: Mass) {
        self.watch.gap = None;
        let last = self.book.last();
        let expected = self
            .book
            .question()
            .and_then(Question::waiting)
            .unwrap_or(last);
        let delta = gross - expected;
        if (gross - gone).abs() <= self.noticeable()
            || (gross - self.book.empty()).abs() <= self.noticeable()
        {
            return;
        }
        if delta.abs() <= self.noticeable() {
            self.record(turn, Entry::JarBack { gross });
            self.lifted_and_set_back(turn);
        } else if change == Change::Gradual && gross < last {
            self.move_zero(turn, gone, ZeroCause::TareKey);
            self.on_pan(turn, gross);
        } else if Mass::ZERO < delta {
            self.record(turn, Entry::JarBack { gross });
            self.heavier(turn, gross);
        } else if self.book.empty() + self.book.tare() - self.noticeable() <= gross {
            self.record(turn, Entry::JarBack { gross });
            self.lighter(turn, gross);
        }
        // Anything lighter than the empty jar is not the jar: no gram is booked, and the bench goes on waiting.
    }

    fn heavier(&mut self, turn: &mut Turn, gross: Mass) {
        let before = self.book.last();
        if let Some(question) = self.book.question().cloned() {
            self.ask(turn, question.about(gross));
        } else if self.is_pouring() {
            self.ask(
                turn,
                Question::AddedInHand {
                    before,
                    after: gross,
                },
            );
        } else {
            self.record(
                turn,
                Entry::Changed {
                    before,
                    after: gross,
                    cause: Cause::Residue,
                },
            );
            self.lifted_and_set_back(turn);
        }
    }

    fn lighter(&mut self, turn: &mut Turn, gross: Mass) {
        let before = self.book.last();
        // A stick or a strainer carries a little away: a twentieth of the mix is still "a little" (our own choice).
        let little = Mass::from_micrograms(
            (before - self.book.empty() - self.book.tare()).micrograms() / 20,
        );
        if let Some(question) = self.book.question().cloned() {
            self.ask(turn, question.about(gross));
        } else if !self.is_pouring() && before - gross <= little.max(self.noticeable()) {
            self.record(
                turn,
                Entry::Changed {
                    before,
                    after: gross,
                    cause: Cause::Residue,
                },
            );
            self.lifted_and_set_back(turn);
        } else {
            self.ask(
                turn,
                Question::Lighter {
                    before,
                    after: gross,
                },
            );
        }
    }

    /// Lifting the jar and setting it back unchanged says yes where something waits for the person.
    fn lifted_and_set_back(&mut self, turn: &mut Turn) {
        if self.book.question().is_some() || self.waits_for_person() {
            self.command(turn, Command::Next);
        } else {
            self.judge(turn);
        }
    }

    /// The jar never moved, but the scale counts from another zero now.
    pub(super) fn move_zero(&mut self, turn: &mut Turn, after: Mass, cause: ZeroCause) {
        let before = self.book.last();
        self.record(
            turn,
            Entry::ZeroMoved {
                before,
                after,
                cause,
            },
        );
        turn.effects.push(Effect::EmptyPan(self.book.empty()));
    }

    pub(super) fn ask(&mut self, turn: &mut Turn, question: Question) {
        if self.book.question() == Some(&question) {
            return;
        }
        self.record(turn, Entry::Asked { question });
        turn.cue(Cue::Asks);
    }

    /// Carries out the answer to a question about a difference.
    pub(super) fn settle_difference(
        &mut self,
        turn: &mut Turn,
        question: &Question,
        answer: Answer,
    ) {
        self.record(
            turn,
            Entry::Answered {
                answer,
                by: By::Person,
            },
        );
        let yes = answer == Answer::Yes;
        match *question {
            Question::Overshoot { .. } => {}
            Question::PouredUnseen { before, after } => {
                self.book_answer(turn, before, after, yes.then_some(Seen::Unseen))
            }
            Question::AddedInHand { before, after } => {
                self.book_answer(turn, before, after, yes.then_some(Seen::InHand))
            }
            Question::Lighter { before, after } => {
                let cause = if yes { Cause::TakenOut } else { Cause::Foreign };
                self.record(
                    turn,
                    Entry::Changed {
                        before,
                        after,
                        cause,
                    },
                );
                self.judge(turn);
            }
            Question::ZeroLost { after, .. } => {
                if yes {
                    self.move_zero(turn, after, ZeroCause::Power);
                    self.judge(turn);
                } else {
                    self.record(turn, Entry::LoadGone { gross: after });
                    turn.cue(Cue::LoadGone);
                }
            }
        }
    }

    fn book_answer(&mut self, turn: &mut Turn, before: Mass, after: Mass, seen: Option<Seen>) {
        // On a stir or rest nothing is poured: what came unseen went in with the addition before.
        let task = self
            .book
            .current()
            .filter(|_| self.is_pouring())
            .or_else(|| self.book.last_addition())
            .map(|task| task.id);
        match (seen, task) {
            (Some(seen), Some(task)) => {
                self.record(
                    turn,
                    Entry::Poured {
                        task,
                        before,
                        after,
                        seen,
                    },
                );
                if self.book.current().map(|task| task.id) == Some(task) {
                    self.judge(turn);
                } else {
                    self.judge_again(turn, task);
                }
            }
            (None, _) | (_, None) => {
                self.record(
                    turn,
                    Entry::Changed {
                        before,
                        after,
                        cause: Cause::Foreign,
                    },
                );
                self.judge(turn);
            }
        }
    }
}
