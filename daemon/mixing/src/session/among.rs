//! One jar among several: it is brought to the pan, or was mistaken for another.

use tarehand_protocol::Mass;

use super::book::JarPlace;
use super::cue::StopWatch;
use super::entry::{Entry, ZeroCause};
use super::input::{Effect, SettingDown};
use super::question::Question;
use super::{Session, Turn};

impl Session {
    /// The jar is brought to the pan. Setting it down after another one says yes to nothing.
    pub(super) fn brought(
        &mut self,
        turn: &mut Turn,
        empty: Mass,
        gross: Mass,
        setting_down: SettingDown,
    ) {
        self.watch.main.no_weight = None;
        self.watch.main.live = None;
        self.watch.main.settled = Some(gross);
        self.watch.inside_since = None;
        self.watch.stop = StopWatch::default();
        match self.book.jar() {
            JarPlace::Awaited => {
                self.watch.main.gap = None;
                self.watch.empty_seen = Some(empty);
                if self.least_jar() <= gross - empty {
                    self.place_jar(turn, empty, gross);
                }
            }
            JarPlace::Gone { .. } => {
                let before = self.book.empty();
                if before != empty {
                    let after = empty;
                    let cause = ZeroCause::EmptyPan;
                    let moved = Entry::ZeroMoved {
                        before,
                        after,
                        cause,
                    };
                    self.record(turn, moved);
                }
                turn.effects.push(Effect::EmptyPan(empty));
                let asked = self.book.question().and_then(Question::waiting_for_jar);
                if self.book.on_fine() && asked.is_none() {
                    self.jar_back_meanwhile(turn, gross, setting_down);
                } else {
                    self.jar_back(turn, gross, setting_down);
                }
            }
            // What was weighed out of bottles meanwhile is in it.
            JarPlace::Beside { .. } => self.jar_returned(turn, gross),
            JarPlace::OnPan => {}
        }
    }

    /// What stands on the pan is another jar. One that nothing was poured into was never this one, unless a cup is in the
    /// hand: what was in that may be in it.
    pub(super) fn taken_away(&mut self, turn: &mut Turn) {
        if self.book.jar() != JarPlace::OnPan {
            return;
        }
        let untouched = !self.book.is_cup_in_hand()
            && self
                .book
                .all_tasks()
                .all(|task| task.poured.is_zero() && task.verdict.is_none());
        self.blind();
        self.watch.wanted = None;
        if untouched && self.book.last() - self.book.empty() == self.book.tare() {
            self.watch.empty_seen = None;
            self.record(turn, Entry::JarMistaken);
        } else {
            let gross = self.book.empty();
            self.record(turn, Entry::LoadGone { gross });
        }
    }
}
