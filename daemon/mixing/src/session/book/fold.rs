//! How an entry changes a book: mechanically, without judging anything.

use tarehand_protocol::Mass;

use crate::tick::Tick;

use super::super::entry::{Entry, Extra, Record, TaskId};
use super::super::question::Answer;
use super::{BatchState, Book, JarPlace, Point, Purpose, Task, Undoes};

impl Book {
    /// Takes one entry in.
    pub fn fold(&mut self, record: &Record) {
        match &record.entry {
            Entry::Opened { .. } | Entry::Trail { .. } | Entry::Remarked { .. } => {}
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
                if let Some(task) = self.task_mut(*task) {
                    task.poured += *after - *before;
                }
                self.last = *after;
            }
            Entry::Changed { after, .. } => self.last = *after,
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
            Entry::Rescued {
                option,
                targets,
                extra,
                ..
            } => {
                self.remember(Undoes::Rescue);
                self.rescue(option.total, targets, extra);
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
                let by = *after - *before;
                self.jar = JarPlace::OnPan;
                self.empty += by;
                self.last += by;
                self.question = self.question.take().map(|question| question.moved(by));
            }
            Entry::ScaleLost => self.scale_lost = true,
            Entry::ScaleBack => self.scale_lost = false,
            Entry::Completed => self.state = BatchState::Complete,
            Entry::Aborted => self.state = BatchState::Aborted,
        }
    }

    fn rescue(&mut self, total: Mass, targets: &[(TaskId, Mass)], extra: &[Extra]) {
        for &(task, target) in targets {
            if let Some(task) = self.task_mut(task) {
                task.target = Some(target);
            }
        }
        let place = self
            .current
            .and_then(|current| self.order.iter().position(|&id| id == current));
        let place = place.map_or(self.order.len(), |place| place + 1);
        for (offset, extra) in extra.iter().enumerate() {
            self.order.insert(place + offset, extra.task);
            self.tasks.push(Task {
                id: extra.task,
                step: extra.step,
                purpose: Purpose::TopUp,
                target: Some(extra.target),
                poured: Mass::ZERO,
                verdict: None,
                reopened: false,
            });
        }
        self.planned = self.planned.max(total);
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
        let (step, poured) = (task.step, task.poured);
        task.poured = Mass::ZERO;
        task.target = None;
        if let Some(first) = self.tasks.iter_mut().find(|first| first.step == step) {
            first.poured += poured;
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
