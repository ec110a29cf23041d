//! What is in the jar, or comes into it, beyond the recipe: top-ups of a rescue, and what turned out to be something else.

use tarehand_protocol::Mass;

use super::super::entry::{Extra, TaskId, Verdict};
use super::{BatchState, Book, Chosen, Purpose, Task};
use crate::procedure::{Premix, Step, Weigh};
use crate::ratio::Ratio;
use crate::rescue::{RescueKind, RescueOption};

impl Book {
    pub(super) fn rescue(
        &mut self,
        option: &RescueOption,
        targets: &[(TaskId, Mass)],
        extra: &[Extra],
    ) {
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
            self.add_task(extra, place + offset, Some(extra.target), None);
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

    /// Adds a task to the work, at its place in the order.
    fn add_task(
        &mut self,
        extra: &Extra,
        place: usize,
        target: Option<Mass>,
        verdict: Option<Verdict>,
    ) {
        let (weigh, chosen) = self.weigh_of(extra.step);
        self.order.insert(place, extra.task);
        self.tasks.push(Task {
            id: extra.task,
            step: extra.step,
            purpose: Purpose::TopUp,
            target,
            poured: Mass::ZERO,
            left: Mass::ZERO,
            verdict,
            reopened: false,
            weigh,
            chosen,
        });
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

    pub(super) fn add_premixes(&mut self, premixes: &[Premix]) {
        for premix in premixes {
            let known = &mut self.procedure.premixes;
            if !known.iter().any(|known| known.key == premix.key) {
                known.push(premix.clone());
            }
        }
    }

    pub(super) fn was_other(
        &mut self,
        from: TaskId,
        to: TaskId,
        mass: Mass,
        new: Option<&(Extra, Step)>,
    ) {
        if let Some((extra, step)) = new {
            self.procedure.steps.push(step.clone());
            let place = self.order.iter().position(|&id| id == from);
            let place = place.unwrap_or(self.order.len());
            // There is nothing to do: it is in already.
            let verdict = Some(Verdict::Recorded);
            self.add_task(extra, place, step.kind.target(), verdict);
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
}
