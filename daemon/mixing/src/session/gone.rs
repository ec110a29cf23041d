//! The load is gone from the pan: lifted, or tared away by the scale's own key.

use tarehand_protocol::Mass;

use crate::settler::Change;

use super::entry::{Cause, Entry, Seen, ZeroCause};
use super::input::{Command, Cue, Effect, SettingDown};
use super::question::Question;
use super::{JarPlace, Session, Turn};

impl Session {
    /// Returns whether a settled weight means that the load is gone: more than half of it went at once, or the scale
    /// shows its own zero where it did not before.
    pub(super) fn is_load_gone(&self, gross: Mass) -> bool {
        if self.may_be_scooped(gross) {
            return false;
        }
        let here = self.expected();
        let half = Mass::from_micrograms((here - self.book.empty()).micrograms() / 2);
        let below_half = gross <= self.book.empty() + half;
        gross < here - self.noticeable() && (below_half || gross.abs() <= self.noticeable())
    }

    pub(super) fn load_gone(&mut self, turn: &mut Turn, gross: Mass) {
        let asked = self.book.question().and_then(Question::waiting_for_jar);
        if self.book.weighs_out() && !self.book.on_fine() && asked.is_none() {
            self.record(turn, Entry::JarSetAside { gross });
            return;
        }
        self.record(turn, Entry::LoadGone { gross });
        turn.cue(Cue::LoadGone);
    }

    /// Returns what the scale shows when the jar stands on it as it did before it went.
    fn expected(&self) -> Mass {
        self.book
            .question()
            .and_then(Question::waiting_for_jar)
            .unwrap_or_else(|| self.book.last())
    }

    /// Takes a weight that settled while the load is gone.
    pub(super) fn while_gone(&mut self, turn: &mut Turn, gross: Mass, change: Change, gone: Mass) {
        let near = |other: Mass| (gross - other).abs() <= self.noticeable();
        if near(self.expected()) {
            self.jar_back(turn, gross, SettingDown::AfterLifting);
        } else if self.is_without_foreign(gross) {
            self.foreign_left(turn, gross);
        } else if near(gone) {
            // Nothing new.
        } else if near(self.book.empty()) || near(Mass::ZERO) {
            // The load was still on its way out, or the scale still averaging, when it was missed.
            self.record(turn, Entry::LoadGone { gross });
        } else if change == Change::Gradual && gone < gross {
            self.move_zero(turn, gone, ZeroCause::TareKey);
            self.on_pan(turn, gross);
        } else if self.is_jar(gross) && self.may_be_let_out(gross) {
            self.jar_back(turn, gross, SettingDown::AfterLifting);
        }
        // Anything lighter than the empty jar is not the jar: no gram is booked, and the bench goes on waiting.
    }

    /// Returns whether this may still be the jar, with however much taken out of it as it was asked for.
    ///
    /// The scale's own zero is more likely its tare key, and no more than it holds can have left it.
    pub(super) fn may_be_scooped(&self, gross: Mass) -> bool {
        let scooped = self.is_taking_out() && self.may_be_let_out(gross);
        scooped && self.is_jar(gross) && self.noticeable() < gross.abs()
    }

    /// Returns whether what is missing was in the jar at all, where some of the mix is let out of it.
    fn may_be_let_out(&self, gross: Mass) -> bool {
        let missing = self.book.last() - gross;
        let most = self.book.most_that_can_leave() + self.noticeable();
        !self.is_taking_out() || missing <= most
    }

    pub(super) fn is_jar(&self, gross: Mass) -> bool {
        self.book.empty() + self.book.jar_alone() - self.noticeable() <= gross
    }

    pub(super) fn jar_back(&mut self, turn: &mut Turn, gross: Mass, setting_down: SettingDown) {
        let unchanged = (gross - self.expected()).abs() <= self.noticeable();
        self.record(turn, Entry::JarBack { gross });
        match setting_down {
            _ if self.watch.main.gap.is_some() => self.on_pan(turn, gross),
            SettingDown::AfterLifting if unchanged => self.lifted_and_set_back(turn),
            SettingDown::InItsTurn if unchanged => self.judge(turn),
            SettingDown::AfterLifting | SettingDown::InItsTurn => self.back_changed(turn, gross),
        }
    }

    /// Something as heavy as the jar came to the pan, and the jar is expected with another weight: it is asked about.
    pub(super) fn other_jar_back(&mut self, turn: &mut Turn, gross: Mass) {
        if self.is_jar(gross) {
            self.jar_back(turn, gross, SettingDown::InItsTurn);
        }
    }

    /// Returns whether this is the jar as it was before something came to it that is no part of the mix.
    fn is_without_foreign(&self, gross: Mass) -> bool {
        let foreign = self.book.foreign();
        let asked = self.book.question().is_some();
        let before = self.book.last() - foreign;
        self.noticeable() < foreign && !asked && (gross - before).abs() <= self.noticeable()
    }

    /// What was laid to the jar is gone again, as it came.
    fn foreign_left(&mut self, turn: &mut Turn, gross: Mass) {
        let before = self.book.last();
        self.record(turn, Entry::JarBack { gross });
        let left = Entry::Changed {
            before,
            after: gross,
            cause: Cause::Foreign,
        };
        self.record(turn, left);
        self.judge(turn);
    }

    /// The jar is back, heavier or lighter than it went.
    fn back_changed(&mut self, turn: &mut Turn, gross: Mass) {
        let before = self.book.last();
        let asked = self.book.question().cloned();
        match asked.filter(|question| question.waiting().is_some()) {
            Some(question) => self.ask(turn, question.about(gross)),
            // Poured out in the hand, as it was asked for.
            None if self.is_taking_out() => self.watched(turn, gross, Seen::InHand),
            None if !self.is_pouring() && self.is_little(gross - before) => {
                self.residue(turn, gross);
                self.lifted_and_set_back(turn);
            }
            None if before < gross => self.ask(
                turn,
                Question::AddedInHand {
                    before,
                    after: gross,
                },
            ),
            None => self.ask(
                turn,
                Question::Lighter {
                    before,
                    after: gross,
                },
            ),
        }
    }

    /// Lifting the jar and setting it back says yes where something waits for the person.
    pub(super) fn lifted_and_set_back(&mut self, turn: &mut Turn) {
        if self.book.question().is_some() || self.waits_for_person() {
            self.command(turn, Command::Next);
        } else {
            self.judge(turn);
        }
    }

    /// The jar never moved, but the scale counts from another zero now.
    pub(super) fn move_zero(&mut self, turn: &mut Turn, after: Mass, cause: ZeroCause) {
        let before = self.expected();
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

    /// Says that the scale's own tare was pressed; `None` when the load is not gone.
    pub(super) fn tare_was_pressed(&mut self, turn: &mut Turn) -> Option<()> {
        if let Some(told) = self.bottle_was_tared(turn) {
            return Some(told);
        }
        let gross = match self.book.jar() {
            JarPlace::Gone { gross } => gross,
            // It went beside the scale, the bench thought.
            JarPlace::Beside { gross } if self.book.bottle().is_none() => gross,
            JarPlace::Awaited | JarPlace::OnPan | JarPlace::Beside { .. } => return None,
        };
        self.move_zero(turn, gross, ZeroCause::TareKey);
        if let Some(settled) = self.watch.main.settled {
            self.settled(turn, settled, Change::Unclear);
        }
        Some(())
    }
}
