//! The answer to a question about a difference, booked.

use tarehand_protocol::Mass;

use super::entry::{By, Cause, Entry, Seen, ZeroCause};
use super::question::{Answer, Question, Slip};
use super::{JarPlace, Session, Turn};

impl Session {
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
            Question::Overshoot { .. } | Question::OffRatio { .. } | Question::TooThin { .. } => {}
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
                let mendable = self.is_off_ratio() && !self.book.has_decanted();
                if cause == Cause::TakenOut && mendable {
                    self.way_out_of(turn, Slip::TakenOut);
                } else {
                    self.go_on(turn);
                }
            }
            Question::BottleLighter { after, .. } => self.answer_bottle(turn, after, answer),
            Question::ZeroLost { after, .. } => {
                if yes {
                    self.move_zero(turn, after, ZeroCause::Power);
                    self.go_on(turn);
                } else {
                    self.load_gone(turn, after);
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
                        stop: None,
                    },
                );
                if self.book.current().map(|task| task.id) == Some(task) {
                    self.go_on(turn);
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
                self.go_on(turn);
            }
        }
    }

    /// Goes on where the question about the difference came in between.
    fn go_on(&mut self, turn: &mut Turn) {
        let owed = self.book.current().filter(|task| self.owes_rescue(task));
        match owed.map(|task| task.id) {
            Some(task) => self.rescue(turn, task),
            _ if self.too_thin(turn) => {}
            _ => match (self.watch.main.settled, self.book.jar()) {
                _ if self.book.on_fine() => self.go_on_finely(turn),
                // What is on the pan may not be what was asked about any more.
                (Some(gross), JarPlace::OnPan) => self.on_pan(turn, gross),
                _ => self.judge(turn),
            },
        }
    }
}
