//! What follows from a book: tolerances, contents, and what a rescue has to know.

use tarehand_protocol::Mass;

use crate::procedure::{Amount, Ingredient, StepKind};
use crate::ratio::Ratio;
use crate::rescue::{Part, Situation};

use super::super::entry::TaskId;
use super::{Book, Purpose, Task};

impl Book {
    /// Returns the tolerance in force for a task, the larger of the recipe's and the weighing's; `None` where nothing is judged.
    #[must_use]
    pub fn within(&self, task: &Task) -> Option<Mass> {
        let target = task.target?;
        let asked = match &self.addition(task)?.amount {
            Amount::Weighed { within, .. } => within.of(target),
            Amount::Counted { within, .. } => within.as_ref()?.of(target),
            Amount::Range { .. } => Mass::ZERO,
            Amount::ByEye | Amount::Whole { .. } => return None,
        };
        Some(asked.max(self.scale.uncertainty()))
    }

    /// Returns whether the weighing's uncertainty, and not the recipe, sets the tolerance of a task.
    #[must_use]
    pub fn is_widened(&self, task: &Task) -> bool {
        let asked = match (
            self.addition(task).map(|addition| &addition.amount),
            task.target,
        ) {
            (Some(Amount::Weighed { within, .. }), Some(target)) => Some(within.of(target)),
            (Some(Amount::Counted { within, .. }), Some(target)) => {
                within.as_ref().map(|within| within.of(target))
            }
            _ => None,
        };
        asked.is_some_and(|asked| asked < self.scale.uncertainty())
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

    /// Returns what a rescue has to know.
    #[must_use]
    pub fn situation(&self) -> Situation {
        let mut parts: Vec<Part> = Vec::new();
        let mut outside = Mass::ZERO;
        for task in &self.tasks {
            let Some(ingredient) = self.pours(task) else {
                continue;
            };
            let Some(share) = self
                .addition(task)
                .and_then(|addition| addition.amount.share())
            else {
                outside += task.poured;
                continue;
            };
            let open = match (task.verdict, task.target) {
                (None, Some(target)) => (target - task.poured).max(Mass::ZERO),
                (None, None) | (Some(_), _) => Mass::ZERO,
            };
            // A top-up pours more of a step that already counts its share.
            let share = if task.purpose == Purpose::Planned {
                share.clone()
            } else {
                Ratio::zero()
            };
            match parts.iter_mut().find(|part| part.key == ingredient.key) {
                Some(part) => {
                    part.share = &part.share + &share;
                    part.poured += task.poured;
                    part.open += open;
                }
                None => parts.push(Part {
                    key: ingredient.key.clone(),
                    name: ingredient.name.clone(),
                    share,
                    poured: task.poured,
                    open,
                    stock: ingredient.stock,
                    density_ug_per_ml: ingredient.density_ug_per_ml,
                }),
            }
        }
        for part in &mut parts {
            part.stock = part
                .stock
                .map(|stock| (stock - part.poured).max(Mass::ZERO));
        }
        Situation {
            planned: self.planned,
            parts,
            jar_ul: self.procedure.jar_ul,
            outside,
            least_pour: self.scale.uncertainty(),
        }
    }

    /// Returns the number the next new task gets.
    #[must_use]
    pub fn next_task_id(&self) -> TaskId {
        TaskId(u32::try_from(self.tasks.len()).unwrap_or(u32::MAX))
    }
}
