//! The jar on its own scale while a step is weighed out on the finer one.
//!
//! What leaves the cup is booked once, by the finer scale; here the jar must have grown by as much, as far as its own
//! scale can tell. Where it has not, the person is asked.

use tarehand_protocol::Mass;

use crate::settler::{Change, Zero};

use super::book::{BottlePlace, JarPlace};
use super::entry::{By, Entry};
use super::input::SettingDown;
use super::question::{Answer, Question};
use super::{Session, Turn};

impl Session {
    /// The weight settled on the jar's scale, and what counts is the finer one.
    pub(super) fn jar_meanwhile(&mut self, turn: &mut Turn, gross: Mass, change: Change) {
        let question = self.book.question().cloned();
        let about_jar = question.as_ref().and_then(Question::waiting_for_jar);
        match (self.book.jar(), about_jar) {
            (JarPlace::Awaited | JarPlace::Beside { .. }, _) => self.watch.main.gap = None,
            (JarPlace::Gone { gross: gone }, Some(_)) => self.while_gone(turn, gross, change, gone),
            (JarPlace::Gone { gross: gone }, None) => self.jar_may_be_back(turn, gross, gone),
            (JarPlace::OnPan, Some(_)) if self.agrees(gross) => {
                // It was only slow: it shows what it should.
                self.watch.main.gap = None;
                let (answer, by) = (Answer::No, By::Person);
                self.record(turn, Entry::Answered { answer, by });
                self.go_on_finely(turn);
            }
            (JarPlace::OnPan, Some(_)) => self.on_pan(turn, gross),
            (JarPlace::OnPan, None) => {
                let zero = self.watch.main.gap.take();
                match zero {
                    Some(zero @ Zero::Suspect) if self.is_load_gone(gross) => {
                        self.after_gap(turn, gross, zero);
                    }
                    _ if self.is_load_gone(gross) => self.load_gone(turn, gross),
                    _ if question.is_none() => self.go_on_finely(turn),
                    _ => {}
                }
            }
        }
    }

    /// What was asked about the jar is answered, or it has settled: what stands on the finer scale is looked at again.
    pub(super) fn go_on_finely(&mut self, turn: &mut Turn) {
        if let Some(gross) = self.watch.fine.settled {
            self.bottle_settled(turn, gross, Change::Unclear);
        }
        if self.book.on_fine() && self.book.question().is_none() && self.jar_follows(turn) {
            self.judge(turn);
        }
    }

    fn jar_may_be_back(&mut self, turn: &mut Turn, gross: Mass, gone: Mass) {
        let near = |other: Mass| (gross - other).abs() <= self.noticeable();
        if near(gone) {
            // Nothing new.
        } else if near(self.book.empty()) || near(Mass::ZERO) {
            self.record(turn, Entry::LoadGone { gross });
        } else if self.is_jar(gross) {
            self.jar_back_meanwhile(turn, gross, SettingDown::AfterLifting);
        }
    }

    /// The jar is back: how much heavier it is, is compared once the cup has said what left it.
    pub(super) fn jar_back_meanwhile(
        &mut self,
        turn: &mut Turn,
        gross: Mass,
        setting_down: SettingDown,
    ) {
        self.watch.main.gap = None;
        let says_yes = setting_down == SettingDown::AfterLifting && self.agrees(gross);
        self.record(turn, Entry::JarBack { gross });
        if says_yes && self.book.question().is_some() {
            self.lifted_and_set_back(turn);
        } else {
            self.go_on_finely(turn);
        }
    }

    fn agrees(&self, gross: Mass) -> bool {
        (gross - self.book.last()).abs() <= self.noticeable()
    }

    /// Returns whether the jar has grown by what was weighed into it on the finer scale, as far as its own can tell;
    /// where it has not, that is asked about, and where nobody can tell yet, it is waited for.
    pub(super) fn jar_follows(&mut self, turn: &mut Turn) -> bool {
        match self.book.jar() {
            JarPlace::Awaited | JarPlace::Beside { .. } => return true,
            JarPlace::Gone { .. } => return false,
            JarPlace::OnPan => {}
        }
        if !self.cup_is_known() {
            return false;
        }
        let main = &self.watch.main;
        let Some(after) = main.settled.filter(|_| main.gap.is_none()) else {
            // Where it cannot say anything, nothing waits for it.
            return self.book.scale_lost() || main.no_weight.is_some();
        };
        let before = self.book.last();
        if self.agrees(after) {
            if !self.book.fine().uncompared.is_zero() && before != after {
                self.record(turn, Entry::JarCompared { before, after });
            }
            return true;
        }
        self.ask(
            turn,
            if before < after {
                Question::PouredUnseen { before, after }
            } else {
                Question::Lighter { before, after }
            },
        );
        false
    }

    /// Returns whether what left the cup is booked: it is neither in the hand nor moving.
    fn cup_is_known(&self) -> bool {
        let Some(bottle) = self.book.bottle_in_use() else {
            return true;
        };
        let shown = self.watch.fine.settled;
        bottle.place == BottlePlace::OnPan
            && self.watch.fine.gap.is_none()
            && shown.is_some_and(|gross| self.is_near(gross, bottle.gross))
    }
}
