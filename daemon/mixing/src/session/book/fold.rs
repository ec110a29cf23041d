//! How an entry changes a book: mechanically, without judging anything.

use tarehand_protocol::Mass;

use crate::procedure::{Premix, Step, StepKind, Weigh};
use crate::ratio::Ratio;
use crate::rescue::{RescueKind, RescueOption};
use crate::tick::Tick;
use crate::trail::{Measured, Trail};

use super::super::entry::{Cause, Entry, Extra, Record, TaskId, Verdict, ZeroCause};
use super::super::question::{Answer, Question};
use super::{BatchState, Book, BottlePlace, Chosen, JarPlace, Point, Purpose, Task, Undoes};

impl Book {
    /// Takes one entry in.
    pub fn fold(&mut self, record: &Record) {
        self.written = record.at;
        match &record.entry {
            Entry::Opened { .. }
            | Entry::FlowTimed { .. }
            | Entry::Remarked { .. }
            | Entry::RoomKnown { .. }
            | Entry::CameOut { .. }
            | Entry::Moved { .. } => {}
            Entry::Trail { seconds, jar, .. } => {
                let measured = Trail::from_seconds(*seconds).ok().zip(*jar);
                self.trails.extend(measured.map(|(trail, jar)| Measured {
                    trail,
                    thinner: jar.thinner,
                    jar: jar.total,
                }));
            }
            Entry::ThinningKnown { slopes } => self.earlier_slopes.clone_from(slopes),
            Entry::ScaleKnown { scale } => self.scale = *scale,
            Entry::JarPlaced { empty, gross } => {
                // What was weighed into it out of bottles is in it already.
                let mix = self.last - self.empty - self.tare;
                self.jar = JarPlace::OnPan;
                self.begin();
                self.empty = *empty;
                self.tare = *gross - *empty - mix;
                self.last = *gross;
            }
            Entry::Began { task } => {
                self.current = Some(*task);
                self.began = record.at;
                self.leave_bottle();
            }
            Entry::Poured {
                task,
                before,
                after,
                ..
            } => {
                self.receive(*task, *after - *before, record.at);
                self.last = *after;
                self.fine.uncompared = Mass::ZERO;
            }
            Entry::WeighChosen { tasks, weigh } => {
                for task in tasks {
                    self.weigh(*task, *weigh, Chosen::Person);
                }
                self.leave_bottle();
            }
            Entry::WeighFits { task, weigh } => {
                self.weigh(*task, *weigh, Chosen::Scales);
                self.leave_bottle();
            }
            Entry::FineKnown { scale } => {
                self.fine.scale = *scale;
                if scale.is_none() {
                    self.fine.bottle = None;
                }
            }
            Entry::FineLost => self.fine.lost = true,
            Entry::FineBack => self.fine.lost = false,
            Entry::FineCleared => self.fine.bottle = None,
            Entry::FineZeroMoved {
                before,
                after,
                cause,
            } => {
                let by = *after - *before;
                self.move_fine(by, |empty| match cause {
                    ZeroCause::EmptyPan => BottlePlace::Lifted { gross: empty },
                    ZeroCause::TareKey | ZeroCause::Power => BottlePlace::OnPan,
                });
                let on_fine = self.on_fine();
                self.question = self.question.take().map(|question| match question {
                    asked @ Question::BottleLighter { .. } if on_fine => asked.moved(by),
                    other => other,
                });
            }
            Entry::JarCompared { after, .. } => {
                // The finer scale has said what is in it: whatever differs is the jar's scale's, and goes to the tare.
                self.tare += *after - self.last;
                self.last = *after;
                self.fine.uncompared = Mass::ZERO;
            }
            Entry::JarSetAside { gross } => self.jar = JarPlace::Beside { gross: *gross },
            Entry::JarReturned { gross } => {
                self.jar = JarPlace::OnPan;
                // The bottles have said what is in it: whatever differs is the scale's, and goes to the tare.
                self.tare += *gross - self.last;
                self.last = *gross;
                self.fine.uncompared = Mass::ZERO;
            }
            Entry::BottlePlaced { task, empty, gross } => {
                self.place_bottle(*task, *empty, *gross);
            }
            Entry::BottleLifted { gross } => {
                if let Some(bottle) = self.bottle_mut() {
                    bottle.place = BottlePlace::Lifted { gross: *gross };
                }
                self.leave_bottle();
            }
            Entry::BottleBack { .. } => {
                if let Some(bottle) = self.bottle_mut() {
                    bottle.place = BottlePlace::OnPan;
                }
            }
            Entry::PouredOut {
                task,
                before,
                after,
                from_cup,
                ..
            } => {
                let mass = *before - *after;
                self.receive(*task, mass, record.at);
                self.last += mass;
                if self.on_fine() {
                    self.fine.uncompared += mass;
                }
                if let Some(bottle) = self.bottle_mut() {
                    bottle.gross = *after;
                    bottle.filled -= *from_cup;
                }
            }
            Entry::Filled { before, after, .. } => {
                if let Some(bottle) = self.bottle_mut() {
                    bottle.gross = *after;
                    bottle.filled += *after - *before;
                }
            }
            Entry::LaidOn { before, after } => {
                if let Some(bottle) = self.bottle_mut() {
                    bottle.gross = *after;
                    bottle.laid = (before < after).then(|| *after - *before);
                }
            }
            Entry::Changed {
                before,
                after,
                cause,
            } => {
                match cause {
                    Cause::TakenOut => self.take_out(*before, *after),
                    Cause::Foreign => self.foreign += *after - *before,
                    Cause::Residue => {}
                }
                self.last = *after;
            }
            Entry::Decanted {
                task,
                before,
                after,
                ..
            } => {
                self.keep_part(*before, *after);
                if let Some(task) = self.task_mut(*task) {
                    task.poured += *after - *before;
                }
                self.last = *after;
                self.fine.uncompared = Mass::ZERO;
            }
            Entry::Judged { task, verdict, .. } => {
                self.remember(Undoes::Judgement);
                if let Some(task) = self.task_mut(*task) {
                    task.verdict = Some(*verdict);
                }
            }
            Entry::Asked { question } => {
                self.question = Some(question.clone());
                self.state = BatchState::Held;
            }
            Entry::Answered {
                answer: Answer::Yes | Answer::No | Answer::Option(_),
                ..
            } => {
                self.question = None;
                self.state = BatchState::Running;
            }
            Entry::RanOut { task } => {
                let key = self.task(*task).and_then(|task| self.pours(task));
                self.ran_out
                    .extend(key.map(|ingredient| ingredient.key.clone()));
            }
            Entry::WasOther {
                from,
                to,
                mass,
                new,
            } => self.was_other(*from, *to, *mass, new.as_ref()),
            Entry::Rescued {
                option,
                targets,
                extra,
                steps,
                premixes,
                ..
            } => {
                self.remember(Undoes::Rescue);
                self.procedure.steps.extend_from_slice(steps);
                self.add_premixes(premixes);
                self.rescue(option, targets, extra);
            }
            Entry::Undone => self.undo(),
            Entry::WentBack { task } => {
                self.remember(Undoes::Judgement);
                self.reopen(*task, record.at);
            }
            Entry::Paused => self.state = BatchState::Paused,
            Entry::Resumed => {
                self.state = if self.question.is_some() {
                    BatchState::Held
                } else {
                    BatchState::Running
                };
                if self.jar == JarPlace::Awaited && self.current.is_none() {
                    self.state = BatchState::Idle;
                }
            }
            Entry::LoadGone { gross } => self.jar = JarPlace::Gone { gross: *gross },
            Entry::JarBack { .. } => self.jar = JarPlace::OnPan,
            Entry::ZeroMoved {
                before,
                after,
                cause,
            } => self.move_zero(*after - *before, *cause),
            Entry::JarMistaken => {
                self.jar = JarPlace::Awaited;
                self.state = BatchState::Idle;
                self.current = None;
            }
            Entry::ScaleLost => self.scale_lost = true,
            Entry::ScaleBack => self.scale_lost = false,
            Entry::Completed => self.state = BatchState::Complete,
            Entry::Aborted => self.state = BatchState::Aborted,
        }
    }

    pub(super) fn begin(&mut self) {
        if self.state == BatchState::Idle {
            self.state = BatchState::Running;
        }
    }

    /// Books what came into the jar, however it was weighed.
    fn receive(&mut self, id: TaskId, mass: Mass, at: Tick) {
        if self.changes_mix(id) {
            // Trails of another mix say nothing of how this one answers to thinner.
            self.trails.clear();
        }
        if let Some(task) = self.task_mut(id) {
            task.poured += mass;
            task.left += mass;
        }
        if self.met.is_none() && self.has_met() {
            self.met = Some(at);
        }
    }

    fn rescue(&mut self, option: &RescueOption, targets: &[(TaskId, Mass)], extra: &[Extra]) {
        for &(task, target) in targets {
            if let Some(task) = self.task_mut(task) {
                task.target = Some(target);
            }
        }
        let place = self
            .current
            .and_then(|current| self.order.iter().position(|&id| id == current));
        let place = match place {
            Some(place) if option.kind.comes_first() => place,
            Some(place) => place + 1,
            None => self.order.len(),
        };
        if option.kind.comes_first()
            && let Some(task) = self.current.and_then(|id| self.task_mut(id))
        {
            // It goes on after it, even where it was left as it is before.
            task.verdict = None;
        }
        for (offset, extra) in extra.iter().enumerate() {
            let (weigh, chosen) = self.weigh_of(extra.step);
            self.order.insert(place + offset, extra.task);
            self.tasks.push(Task {
                id: extra.task,
                step: extra.step,
                purpose: Purpose::TopUp,
                target: Some(extra.target),
                poured: Mass::ZERO,
                left: Mass::ZERO,
                verdict: None,
                reopened: false,
                weigh,
                chosen,
            });
        }
        self.planned = match option.kind {
            RescueKind::TopUpExact
            | RescueKind::TopUpLeast
            | RescueKind::Accept
            | RescueKind::Unthinned
            | RescueKind::ReadyMade => self.planned.max(option.total),
            RescueKind::MakeLess | RescueKind::TakeOut => option.total,
        };
    }

    /// Returns how more of a step is weighed: as the step was, or as everything is where nothing is weighed in the jar.
    fn weigh_of(&self, step: usize) -> (Weigh, Chosen) {
        let same = self.tasks.iter().rev().find(|task| task.step == step);
        match same {
            Some(task) => (task.weigh, task.chosen),
            None if self.never_needs_jar() => (Weigh::Bottle, Chosen::Recipe),
            None => (Weigh::Jar, Chosen::Recipe),
        }
    }

    fn add_premixes(&mut self, premixes: &[Premix]) {
        for premix in premixes {
            let known = &mut self.procedure.premixes;
            if !known.iter().any(|known| known.key == premix.key) {
                known.push(premix.clone());
            }
        }
    }

    /// A part of the mix leaves the jar: every ingredient keeps the same fraction of what is left of it.
    fn keep_part(&mut self, before: Mass, after: Mass) {
        let jar = self.empty + self.jar_alone();
        let kept = Ratio::from_mass((after - jar).max(Mass::ZERO))
            .checked_div(&Ratio::from_mass((before - jar).max(Mass::ZERO)));
        if let Some(kept) = kept {
            for task in &mut self.tasks {
                task.left = (&kept * &Ratio::from_mass(task.left)).to_mass();
            }
        }
    }

    /// Takes a part of the mix out, as a rescue asked for it or by accident.
    fn take_out(&mut self, before: Mass, after: Mass) {
        self.keep_part(before, after);
        let current = self.current;
        let removes = current
            .and_then(|id| self.task(id))
            .is_some_and(|task| matches!(self.step(task), StepKind::TakeOut { .. }));
        if let Some(task) = current.filter(|_| removes).and_then(|id| self.task_mut(id)) {
            task.poured += after - before;
        }
    }

    /// Returns whether a pour for a task makes another mix; a rescue's pour brings the same one back.
    fn changes_mix(&self, task: TaskId) -> bool {
        self.task(task).is_some_and(|task| {
            task.purpose == Purpose::Planned && !matches!(self.step(task), StepKind::Thin { .. })
        })
    }

    /// Returns whether two ingredients are in the jar.
    fn has_met(&self) -> bool {
        let mut keys = self
            .tasks
            .iter()
            .filter(|task| Mass::ZERO < task.poured)
            .filter_map(|task| self.pours(task))
            .map(|ingredient| ingredient.key.as_str());
        let first = keys.next();
        keys.any(|key| Some(key) != first)
    }

    fn was_other(&mut self, from: TaskId, to: TaskId, mass: Mass, new: Option<&(Extra, Step)>) {
        if let Some((extra, step)) = new {
            let (weigh, chosen) = self.weigh_of(extra.step);
            self.procedure.steps.push(step.clone());
            let place = self.order.iter().position(|&id| id == from);
            self.order
                .insert(place.unwrap_or(self.order.len()), extra.task);
            self.tasks.push(Task {
                id: extra.task,
                step: extra.step,
                purpose: Purpose::TopUp,
                target: step.kind.target(),
                poured: Mass::ZERO,
                left: Mass::ZERO,
                // There is nothing to do: it is in already.
                verdict: Some(Verdict::Recorded),
                reopened: false,
                weigh,
                chosen,
            });
        }
        // What some of the mix was decanted without cannot be made up for in the jar any more.
        let decanted = self.has_decanted();
        let mut left = Mass::ZERO;
        if let Some(from) = self.task_mut(from) {
            let part = Ratio::from_mass(mass).checked_div(&Ratio::from_mass(from.poured));
            let part = part.unwrap_or_else(Ratio::one);
            left = (&part * &Ratio::from_mass(from.left)).to_mass();
            from.poured -= mass;
            from.left -= left;
            if !decanted {
                from.verdict = None;
            }
        }
        if let Some(to) = self.task_mut(to) {
            to.poured += mass;
            to.left += left;
        }
        self.question = None;
        self.state = BatchState::Running;
    }

    fn remember(&mut self, undoes: Undoes) {
        self.points.push(Point {
            order: self.order.clone(),
            current: self.current,
            tasks: self
                .tasks
                .iter()
                .map(|task| (task.target, task.verdict))
                .collect(),
            planned: self.planned,
            undoes,
        });
    }

    /// Goes back to the last point. What was poured since stays poured: it counts for the same ingredient.
    fn undo(&mut self) {
        let Some(point) = self.points.pop() else {
            return;
        };
        for index in point.tasks.len()..self.tasks.len() {
            self.withdraw(index);
        }
        for (task, (target, verdict)) in self.tasks.iter_mut().zip(point.tasks) {
            task.target = target;
            task.verdict = verdict;
        }
        self.take_back_order(point.order);
        self.current = point.current;
        self.planned = point.planned;
        self.question = None;
        self.state = BatchState::Running;
        if let (Undoes::Judgement, Some(task)) =
            (point.undoes, self.current.and_then(|id| self.task_mut(id)))
        {
            task.reopened = true;
        }
        self.leave_bottle();
    }

    /// Puts the work into the order of before. What has come in since and belongs to no step of that order, as an ingredient
    /// that was named afterwards, is in the jar all the same: it stays where it stood, with nothing to do.
    fn take_back_order(&mut self, order: Vec<TaskId>) {
        let later = std::mem::replace(&mut self.order, order);
        let mut place = self.order.len();
        for id in later.into_iter().rev() {
            if let Some(known) = self.order.iter().position(|&known| known == id) {
                place = known;
                continue;
            }
            let Some(task) = self.task_mut(id).filter(|task| Mass::ZERO < task.poured) else {
                continue;
            };
            task.verdict = task.verdict.or(Some(Verdict::Recorded));
            self.order.insert(place, id);
        }
    }

    /// Takes a task of a rescue out of the work. It keeps its number, for the journal speaks of it.
    fn withdraw(&mut self, index: usize) {
        let task = &mut self.tasks[index];
        let (step, poured, left) = (task.step, task.poured, task.left);
        task.poured = Mass::ZERO;
        task.left = Mass::ZERO;
        task.target = None;
        if let Some(first) = self.tasks.iter_mut().find(|first| first.step == step) {
            first.poured += poured;
            first.left += left;
        }
    }

    fn reopen(&mut self, id: TaskId, at: Tick) {
        if let Some(task) = self.task_mut(id) {
            task.verdict = None;
            task.reopened = true;
        }
        self.current = Some(id);
        self.began = at;
        self.leave_bottle();
    }

    pub(super) fn task_mut(&mut self, id: TaskId) -> Option<&mut Task> {
        self.tasks
            .get_mut(usize::try_from(id.0).unwrap_or(usize::MAX))
    }
}
