//! How an entry changes a book: mechanically, without judging anything.

use tarehand_protocol::Mass;

use crate::procedure::{Premix, Step, StepKind};
use crate::ratio::Ratio;
use crate::rescue::{RescueKind, RescueOption};
use crate::tick::Tick;
use crate::trail::{Measured, Trail};

use super::super::entry::{Cause, Entry, Extra, Record, TaskId, Verdict};
use super::super::question::Answer;
use super::{BatchState, Book, JarPlace, Point, Purpose, Task, Undoes};

impl Book {
    /// Takes one entry in.
    pub fn fold(&mut self, record: &Record) {
        self.written = record.at;
        match &record.entry {
            Entry::Opened { .. } | Entry::FlowTimed { .. } | Entry::Remarked { .. } => {}
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
                self.jar = JarPlace::OnPan;
                self.state = BatchState::Running;
                self.empty = *empty;
                self.tare = *gross - *empty;
                self.last = *gross;
            }
            Entry::Began { task } => {
                self.current = Some(*task);
                self.began = record.at;
            }
            Entry::Poured {
                task,
                before,
                after,
                ..
            } => {
                if self.changes_mix(*task) {
                    // Trails of another mix say nothing of how this one answers to thinner.
                    self.trails.clear();
                }
                if let Some(task) = self.task_mut(*task) {
                    task.poured += *after - *before;
                    task.left += *after - *before;
                }
                self.last = *after;
                if self.met.is_none() && self.has_met() {
                    self.met = Some(record.at);
                }
            }
            Entry::Changed {
                before,
                after,
                cause,
            } => {
                if *cause == Cause::TakenOut {
                    self.take_out(*before, *after);
                }
                self.last = *after;
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
                if self.jar == JarPlace::Awaited {
                    self.state = BatchState::Idle;
                }
            }
            Entry::LoadGone { gross } => self.jar = JarPlace::Gone { gross: *gross },
            Entry::JarBack { .. } => self.jar = JarPlace::OnPan,
            Entry::ZeroMoved { before, after, .. } => {
                // The numbers moved and nothing else: every weight that is kept moves with them.
                self.jar = JarPlace::OnPan;
                self.move_empty(*after - *before);
            }
            Entry::EmptyMoved { before, after } => self.move_empty(*after - *before),
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

    fn move_empty(&mut self, by: Mass) {
        self.empty += by;
        self.last += by;
        if let JarPlace::Gone { gross } = &mut self.jar {
            *gross += by;
        }
        self.question = self.question.take().map(|question| question.moved(by));
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

    fn add_premixes(&mut self, premixes: &[Premix]) {
        for premix in premixes {
            let known = &mut self.procedure.premixes;
            if !known.iter().any(|known| known.key == premix.key) {
                known.push(premix.clone());
            }
        }
    }

    /// Takes a part of the mix out: every ingredient keeps the same fraction of what is left of it.
    fn take_out(&mut self, before: Mass, after: Mass) {
        let jar = self.empty + self.tare;
        let kept = Ratio::from_mass((after - jar).max(Mass::ZERO))
            .checked_div(&Ratio::from_mass((before - jar).max(Mass::ZERO)));
        if let Some(kept) = kept {
            for task in &mut self.tasks {
                task.left = (&kept * &Ratio::from_mass(task.left)).to_mass();
            }
        }
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
            });
        }
        let mut left = Mass::ZERO;
        if let Some(from) = self.task_mut(from) {
            let part = Ratio::from_mass(mass).checked_div(&Ratio::from_mass(from.poured));
            let part = part.unwrap_or_else(Ratio::one);
            left = (&part * &Ratio::from_mass(from.left)).to_mass();
            from.poured -= mass;
            from.left -= left;
            from.verdict = None;
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
        self.order = point.order;
        self.current = point.current;
        self.planned = point.planned;
        self.question = None;
        self.state = BatchState::Running;
        if let (Undoes::Judgement, Some(task)) =
            (point.undoes, self.current.and_then(|id| self.task_mut(id)))
        {
            task.reopened = true;
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
    }

    fn task_mut(&mut self, id: TaskId) -> Option<&mut Task> {
        self.tasks
            .get_mut(usize::try_from(id.0).unwrap_or(usize::MAX))
    }
}
