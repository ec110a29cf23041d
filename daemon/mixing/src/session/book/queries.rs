//! What follows from a book: tolerances, contents, and what a rescue has to know.

use std::collections::BTreeMap;

use tarehand_protocol::Mass;

use crate::procedure::{Amount, Decanted, Ingredient, StepKind};
use crate::ratio::Ratio;
use crate::rescue::Situation;
use crate::weighing::Scales;

use super::super::entry::{Entry, TaskId};
use super::{Book, Task};

impl Book {
    /// Returns whether an entry speaks only of steps that there are once it is folded.
    ///
    /// A session writes no other. Of a journal that comes from outside it is asked before [`Book::fold`], which judges nothing.
    #[must_use]
    pub fn has_steps_of(&self, entry: &Entry) -> bool {
        let known = self.procedure.steps.len();
        match entry {
            Entry::Rescued { extra, steps, .. } => {
                let known = known + steps.len();
                extra.iter().all(|extra| extra.step < known)
            }
            Entry::WasOther { new, .. } => {
                new.as_ref().is_none_or(|(extra, _)| extra.step <= known)
            }
            _ => true,
        }
    }

    /// Returns the tolerance in force for a task, the larger of the recipe's and the weighing's; `None` where nothing is judged.
    #[must_use]
    pub fn within(&self, task: &Task) -> Option<Mass> {
        let target = task.target?;
        if let StepKind::Decant {
            amount: Decanted::Weighed { within, .. },
            ..
        } = self.step(task)
        {
            return Some(within.of(target).max(self.scale.uncertainty()));
        }
        let asked = match &self.addition(task)?.amount {
            Amount::Weighed { within, .. } => within.of(target),
            Amount::Counted { within, .. } => within.as_ref()?.of(target),
            Amount::Range { .. } => Mass::ZERO,
            Amount::ByEye | Amount::Whole { .. } => return None,
        };
        Some(asked.max(self.scale_of(task).uncertainty()))
    }

    /// Returns whether the weighing's uncertainty, and not the recipe, sets the tolerance of a task.
    #[must_use]
    pub fn is_widened(&self, task: &Task) -> bool {
        self.would_widen(task, self.scale_of(task))
    }

    /// Returns what the procedure planned of an ingredient; `None` where nothing in grams was planned.
    #[must_use]
    pub fn planned_for(&self, key: &str) -> Option<Mass> {
        let steps = self
            .procedure
            .steps
            .iter()
            .filter_map(|step| match &step.kind {
                StepKind::Add(addition) if addition.ingredient.key == key => {
                    addition.amount.target()
                }
                _ => None,
            });
        steps.reduce(std::ops::Add::add)
    }

    /// Returns the mass of everything in the jar, by ingredient key, in the order of the procedure.
    #[must_use]
    pub fn contents(&self) -> Vec<(&Ingredient, Mass)> {
        let mut contents: Vec<(&Ingredient, Mass)> = Vec::new();
        for task in &self.tasks {
            let Some(ingredient) = self.pours(task) else {
                continue;
            };
            match contents
                .iter_mut()
                .find(|(known, _)| known.key == ingredient.key)
            {
                Some((_, mass)) => *mass += task.poured,
                None => contents.push((ingredient, task.poured)),
            }
        }
        contents
    }

    /// Returns what is in the jar of everything that was poured, without what was taken out again.
    #[must_use]
    pub fn in_jar(&self) -> Mass {
        let pours = self.tasks.iter().filter(|task| self.pours(task).is_some());
        pours.map(|task| task.left).sum()
    }

    /// Returns the most that can still leave the jar: what is in it, and no more than was poured and has not been let out.
    #[must_use]
    pub fn most_that_can_leave(&self) -> Mass {
        let moved = self
            .tasks
            .iter()
            .filter(|task| self.pours(task).is_some() || self.step(task).lets_out());
        self.held_before() + self.in_jar().min(moved.map(|task| task.poured).sum())
    }

    /// Returns what is in the jar of everything that was added to thin the mix.
    #[must_use]
    pub fn thinner(&self) -> Mass {
        let thins = self
            .tasks
            .iter()
            .filter(|task| matches!(self.step(task), StepKind::Thin { .. }));
        thins.map(|task| task.left).sum()
    }

    /// Returns the most thinner that the recipe allows in a thinning task, for the batch as large as it is aimed at now.
    #[must_use]
    pub fn most_thinner(&self, task: &Task) -> Option<Mass> {
        let StepKind::Thin { at_most, .. } = self.step(task) else {
            return None;
        };
        let grown = Ratio::from_mass(self.planned)
            .checked_div(&Ratio::from_mass(self.procedure.planned))
            .unwrap_or_else(Ratio::one);
        at_most.map(|most| (&grown * &Ratio::from_mass(most)).to_mass())
    }

    /// Returns what a rescue has to know.
    #[must_use]
    pub fn situation(&self) -> Situation {
        let scales = Scales {
            jar: self.scale,
            fine: self.fine.scale.filter(|_| !self.fine.lost),
        };
        let mut situation = Situation::of(&self.procedure, scales);
        situation.planned = self.planned;
        let mut open: BTreeMap<&str, Mass> = BTreeMap::new();
        let mut poured: BTreeMap<&str, Mass> = BTreeMap::new();
        for task in &self.tasks {
            let Some(ingredient) = self.pours(task) else {
                continue;
            };
            *poured.entry(&ingredient.key).or_default() += task.poured;
            let in_ratio = self
                .addition(task)
                .is_some_and(|addition| addition.amount.share().is_some());
            let left = Ratio::from_mass(task.left);
            if !in_ratio || situation.put(&ingredient.key, &left).is_none() {
                situation.outside += task.left;
                continue;
            }
            if let (None, Some(target)) = (task.verdict, task.target) {
                *open.entry(&ingredient.key).or_default() += (target - task.poured).max(Mass::ZERO);
            }
        }
        for source in &mut situation.sources {
            let key = source.key.as_str();
            source.open = open
                .get(key)
                .copied()
                .map_or_else(Ratio::zero, Ratio::from_mass);
            let gone = poured.get(key).copied().unwrap_or_default();
            source.stock = source.stock.map(|stock| (stock - gone).max(Mass::ZERO));
            if self.ran_out.iter().any(|out| out == key) {
                source.stock = Some(Mass::ZERO);
            }
        }
        situation
    }

    /// Returns the number the next new task gets.
    #[must_use]
    pub fn next_task_id(&self) -> TaskId {
        TaskId(u32::try_from(self.tasks.len()).unwrap_or(u32::MAX))
    }
}
