//! What the person may say.

use crate::procedure::Weigh;
use crate::rescue::RescueKind;
use crate::settler::{Change, Zero};

use super::book::{BatchState, Undoes};
use super::entry::{By, Entry, Verdict};
use super::input::{Command, Cue, Effect, Refusal};
use super::question::{Answer, Question};
use super::{Session, Turn, Wanted};

/// A remark longer than this is cut: a record is not a diary.
const REMARK_CHARS: usize = 2_000;

impl Session {
    pub(super) fn command(&mut self, turn: &mut Turn, command: Command) {
        if let Err(refusal) = self.carry_out(turn, command) {
            turn.effects.push(Effect::Refuse(refusal));
        }
    }

    fn carry_out(&mut self, turn: &mut Turn, command: Command) -> Result<(), Refusal> {
        if let Command::Remark(text) = command {
            let text = text.chars().take(REMARK_CHARS).collect();
            self.record(turn, Entry::Remarked { text });
            return Ok(());
        }
        if self.book.is_over() {
            return Err(Refusal::Over);
        }
        let paused = self.book.state() == BatchState::Paused;
        if let Some(wanted) = self.must_settle_first(&command) {
            self.watch.wanted = Some(wanted);
            turn.cue(Cue::WaitingToSettle);
            return Ok(());
        }
        self.watch.wanted = None;
        match command {
            Command::Abort => {
                self.record(turn, Entry::Aborted);
                turn.cue(Cue::Aborted);
                Ok(())
            }
            Command::Resume if paused => {
                self.resume(turn);
                Ok(())
            }
            Command::Resume => Err(Refusal::NotPaused),
            _ if paused => Err(Refusal::Paused),
            Command::Pause => {
                self.watch.inside_since = None;
                self.record(turn, Entry::Paused);
                Ok(())
            }
            Command::Next => self.next(turn),
            Command::Back => self.back(turn),
            Command::Undo => self.undo(turn),
            Command::Skip => self.skip(turn),
            Command::Answer(answer) => self.answer(turn, answer),
            Command::Tared => self.tare_was_pressed(turn).ok_or(Refusal::NotGone),
            Command::RanOut => self.ran_out(turn),
            Command::WasOther(key) => self.was_other(turn, &key),
            Command::Trail(seconds) => self.trail_said(turn, seconds),
            Command::TrailStart => self.trail_start(turn),
            Command::TrailStop => self.trail_stop(turn),
            Command::FlowTimed(time) => self.flow_timed(turn, time),
            Command::WeighOut => self.weigh(turn, Weigh::Bottle),
            Command::WeighIn => self.weigh(turn, Weigh::Jar),
            Command::JarIs(_) => Err(Refusal::NoSuchJar),
            Command::Remark(_) => Ok(()),
        }
    }

    /// Returns the command as one that must wait: what is in the air belongs to the task it was poured for.
    ///
    /// Said twice, skip, back, undo and a trail wait no longer; next always needs a weight to judge.
    fn must_settle_first(&self, command: &Command) -> Option<Wanted> {
        let leaves = matches!(
            command,
            Command::Next
                | Command::Back
                | Command::Skip
                | Command::Undo
                | Command::RanOut
                | Command::WasOther(_)
                | Command::WeighOut
                | Command::WeighIn
                // A trail is kept with what the jar held, the splash just poured too.
                | Command::Trail(_)
        );
        let moving = self.here().live.is_some() && self.here().settled.is_none();
        let in_the_air = self.book.state() == BatchState::Running
            && self.is_load_there()
            && (self.is_pouring() || self.is_decanting());
        let wanted = Wanted {
            task: self.book.current()?.id,
            command: command.clone(),
        };
        let insists = !matches!(command, Command::Next | Command::RanOut)
            && self.watch.wanted.as_ref() == Some(&wanted);
        (leaves && moving && in_the_air && !insists).then_some(wanted)
    }

    /// The weight has settled: what waited for it is done, unless something else came up.
    pub(super) fn carry_out_wanted(&mut self, turn: &mut Turn) {
        let Some(wanted) = self.watch.wanted.take() else {
            return;
        };
        let same = self.book.current().map(|task| task.id) == Some(wanted.task);
        if same && self.book.state() == BatchState::Running && self.is_load_there() {
            self.command(turn, wanted.command);
        }
    }

    fn resume(&mut self, turn: &mut Turn) {
        self.record(turn, Entry::Resumed);
        // What happened in the pause is a gap like any other.
        self.watch.main.gap.get_or_insert(Zero::Trusted);
        self.watch.fine.gap.get_or_insert(Zero::Trusted);
        if let Some(gross) = self.watch.fine.settled.filter(|_| self.book.on_fine()) {
            self.bottle_settled(turn, gross, Change::Unclear);
        }
        if let Some(gross) = self.watch.main.settled {
            self.settled(turn, gross, Change::Unclear);
        }
        if let Some(due) = self.due() {
            turn.effects.push(Effect::WakeAt(due));
        }
    }

    fn next(&mut self, turn: &mut Turn) -> Result<(), Refusal> {
        if self.book.question().is_some() {
            return self.answer(turn, Answer::Yes);
        }
        if self.awaits_first() {
            let empty = self.known_empty().unwrap_or_default();
            let least = self.least_first();
            let gross = self
                .watch
                .main
                .settled
                .filter(|gross| least <= *gross - empty)
                .ok_or(Refusal::NoJar)?;
            self.place_first(turn, gross);
            return Ok(());
        }
        let task = self.book.current().ok_or(Refusal::NoJar)?;
        if self.is_taking_out() && !self.is_decanting() {
            self.taken_out(turn);
            return Ok(());
        }
        if !self.is_pouring() && !self.is_decanting() {
            self.finish(turn, Verdict::Recorded);
            return Ok(());
        }
        self.load_ready()?;
        let id = task.id;
        self.book_last_digit(turn);
        let task = self.book.task(id).ok_or(Refusal::NoJar)?;
        let verdict = self.place(task).verdict();
        self.finish(turn, verdict);
        Ok(())
    }

    fn back(&mut self, turn: &mut Turn) -> Result<(), Refusal> {
        if self.book.question().is_some() {
            return Err(Refusal::Asked);
        }
        let task = self
            .book
            .previous()
            .map(|task| task.id)
            .ok_or(Refusal::NothingBefore)?;
        self.watch.inside_since = None;
        self.watch.time_said = false;
        self.record(turn, Entry::WentBack { task });
        self.scale_for_step(turn);
        turn.cue(Cue::Begin { task });
        self.look_again(turn);
        if let Some(due) = self.due() {
            turn.effects.push(Effect::WakeAt(due));
        }
        Ok(())
    }

    fn undo(&mut self, turn: &mut Turn) -> Result<(), Refusal> {
        // A question about a difference is about the pan and stays open until it is answered.
        if self.book.question().and_then(Question::waiting).is_some() {
            return Err(Refusal::Asked);
        }
        let undoes = self.book.undoes().ok_or(Refusal::NothingToUndo)?;
        self.watch.inside_since = None;
        self.watch.time_said = false;
        self.record(turn, Entry::Undone);
        self.scale_for_step(turn);
        self.look_again(turn);
        if let (Undoes::Rescue, Some(task)) = (undoes, self.book.current().map(|task| task.id)) {
            self.ask_way_out(turn, task);
        }
        if let Some(due) = self.due() {
            turn.effects.push(Effect::WakeAt(due));
        }
        Ok(())
    }

    fn skip(&mut self, turn: &mut Turn) -> Result<(), Refusal> {
        if self.book.question().is_some() {
            return Err(Refusal::Asked);
        }
        self.book.current().ok_or(Refusal::NoJar)?;
        if self.is_taking_out() && !self.is_decanting() {
            self.taken_out(turn);
            return Ok(());
        }
        self.finish(turn, Verdict::Skipped);
        Ok(())
    }

    fn answer(&mut self, turn: &mut Turn, answer: Answer) -> Result<(), Refusal> {
        let question = self.book.question().cloned().ok_or(Refusal::NothingAsked)?;
        match (&question, answer) {
            (
                Question::Overshoot { options, .. }
                | Question::OffRatio { options, .. }
                | Question::TooThin { options, .. },
                Answer::Yes | Answer::Option(_),
            ) => {
                let option = match answer {
                    Answer::Option(number) => usize::from(number)
                        .checked_sub(1)
                        .and_then(|index| options.get(index)),
                    // The one proposed; with nothing feasible, going on as planned.
                    Answer::Yes | Answer::No => {
                        options.iter().find(|option| option.may_be_chosen())
                    }
                };
                let option = option.ok_or(Refusal::NotAnAnswer)?;
                if !option.may_be_chosen() {
                    return Err(Refusal::NotFeasible);
                }
                let option = option.clone();
                self.record(
                    turn,
                    Entry::Answered {
                        answer,
                        by: By::Person,
                    },
                );
                match question {
                    Question::TooThin { .. } if option.kind == RescueKind::Accept => {
                        self.leave_thin(turn, option);
                    }
                    _ => self.take(turn, option, By::Person),
                }
                self.advance(turn);
                Ok(())
            }
            (
                Question::Overshoot { .. } | Question::OffRatio { .. } | Question::TooThin { .. },
                Answer::No,
            )
            | (_, Answer::Option(_)) => Err(Refusal::NotAnAnswer),
            (_, Answer::Yes | Answer::No) => {
                self.settle_difference(turn, &question, answer);
                Ok(())
            }
        }
    }
}
