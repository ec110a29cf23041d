//! Going back: the points a person can go back to, and steps that are opened again.

use tarehand_protocol::Mass;

use super::super::entry::{TaskId, Verdict};
use super::{BatchState, Book, Point, Undoes};
use crate::tick::Tick;

impl Book {
    pub(super) fn remember(&mut self, undoes: Undoes) {
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
    pub(super) fn undo(&mut self) {
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

    pub(super) fn reopen(&mut self, id: TaskId, at: Tick) {
        if let Some(task) = self.task_mut(id) {
            task.verdict = None;
            task.reopened = true;
        }
        self.current = Some(id);
        self.began = at;
        self.leave_bottle();
    }
}
