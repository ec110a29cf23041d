//! The order of work for one pair of hands: premixes before what needs them, rests while something else is mixed.

mod order;

use std::collections::BTreeMap;
use std::time::Duration;

use super::{PlannedJar, PlannedPremix};
use crate::procedure::{Procedure, Step, StepKind};
use crate::shelf::{Form, Shelf};
use order::Chunk;

/// What one pour takes a person, bottle in hand (*common practice*, not a standard): half a minute.
const ONE_POUR: Duration = Duration::from_secs(30);

/// The order of work.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Work {
    /// What to do, in order.
    pub stints: Vec<Stint>,
    /// From the first pour to the last rest; an estimate.
    pub takes: Duration,
    /// The same if nothing were done while something rests.
    pub one_after_another: Duration,
    /// Whether no order is shorter; `false` where there are too many to try.
    pub shortest: bool,
}

/// A stretch of work on one jar or premix without a rest in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stint {
    /// The name of the jar or premix.
    pub name: String,
    /// Its key or stem.
    pub key: String,
    /// Its steps, from 0, first and last.
    pub steps: (usize, usize),
    /// When it can begin, from the beginning of the work.
    pub begins: Duration,
    /// How long the hands are at it.
    pub takes: Duration,
    /// How long it rests afterwards.
    pub rests: Duration,
}

/// One jar or premix to be mixed.
struct Task<'p> {
    key: &'p str,
    name: &'p str,
    procedure: &'p Procedure,
    has_powder: bool,
}

/// Orders the work of a plan.
pub(super) fn order(premixes: &[PlannedPremix], jars: &[PlannedJar], shelf: &Shelf) -> Work {
    let of_premix = premixes
        .iter()
        .map(|premix| (premix.key.as_str(), premix.name.as_str(), &premix.procedure));
    let of_jar = jars
        .iter()
        .map(|jar| (jar.stem.as_str(), jar.name.as_str(), &jar.procedure));
    let tasks: Vec<Task<'_>> = of_premix
        .chain(of_jar)
        .map(|(key, name, procedure)| Task {
            key,
            name,
            procedure,
            has_powder: has_powder(procedure, shelf),
        })
        .collect();
    let last_of_premix = |chunks: &BTreeMap<&str, usize>, task: &Task<'_>| -> Vec<usize> {
        let pours = task
            .procedure
            .steps
            .iter()
            .filter_map(|step| step.kind.ingredient());
        pours
            .filter_map(|ingredient| chunks.get(ingredient.key.as_str()).copied())
            .collect()
    };
    let mut chunks: Vec<Chunk> = Vec::new();
    let mut stints: Vec<(usize, (usize, usize))> = Vec::new();
    let mut ends: BTreeMap<&str, usize> = BTreeMap::new();
    for (number, task) in tasks.iter().enumerate() {
        let mut after = last_of_premix(&ends, task);
        for (steps, takes, rests) in stretches(&task.procedure.steps) {
            chunks.push(Chunk {
                takes,
                rests,
                after: std::mem::replace(&mut after, vec![chunks.len()]),
                eager: task.has_powder,
            });
            stints.push((number, steps));
        }
        if number < premixes.len() && !chunks.is_empty() {
            ends.insert(task.key, chunks.len() - 1);
        }
    }
    let ordered = order::order(&chunks);
    Work {
        takes: ordered.takes,
        one_after_another: chunks.iter().map(|chunk| chunk.takes + chunk.rests).sum(),
        shortest: ordered.shortest,
        stints: ordered
            .begins
            .into_iter()
            .map(|(chunk, begins)| {
                let (task, steps) = stints[chunk];
                Stint {
                    name: tasks[task].name.to_owned(),
                    key: tasks[task].key.to_owned(),
                    steps,
                    begins,
                    takes: chunks[chunk].takes,
                    rests: chunks[chunk].rests,
                }
            })
            .collect(),
    }
}

fn has_powder(procedure: &Procedure, shelf: &Shelf) -> bool {
    let mut pours = procedure
        .steps
        .iter()
        .filter_map(|step| step.kind.ingredient());
    pours.any(|ingredient| {
        shelf.get(&ingredient.key).and_then(|item| item.form) == Some(Form::Powder)
    })
}

/// Cuts steps at their rests: first and last step, the time of the hands, and the rest that follows.
fn stretches(steps: &[Step]) -> Vec<((usize, usize), Duration, Duration)> {
    let mut found = Vec::new();
    let (mut first, mut takes) = (0, Duration::ZERO);
    for (at, step) in steps.iter().enumerate() {
        match &step.kind {
            StepKind::Rest { time } => {
                found.push(((first, at), takes, *time));
                (first, takes) = (at + 1, Duration::ZERO);
            }
            StepKind::Stir { time } => takes += *time,
            StepKind::Add(_)
            | StepKind::Thin { .. }
            | StepKind::TakeOut { .. }
            | StepKind::Decant { .. } => takes += ONE_POUR,
            StepKind::Strain { .. }
            | StepKind::Look { .. }
            | StepKind::Trail { .. }
            | StepKind::Note { .. } => {}
        }
    }
    if first < steps.len() {
        found.push(((first, steps.len() - 1), takes, Duration::ZERO));
    }
    found
}
