//! What a batch knows for certain: the fold of its journal.
//!
//! Invariant: [`Book::fold`] is the only thing that changes a book, and it judges nothing. Replaying
//! the journal therefore gives the same book, also in a later version.
//!
//! | file | idea |
//! |---|---|
//! | `task` | one thing to do, and how far it has come |
//! | `place` | where the jar and a bottle are |
//! | `fold` | how an entry changes a book |
//! | `extra` | what a rescue adds to the work, and what turned out to be something else |
//! | `undo` | going back, and steps that are opened again |
//! | `pans` | which scale a task is weighed on, and what stands on the finer one |
//! | `vessels` | what stands on the pans: bottles put there and left, zeros that move |
//! | `queries` | what follows from a book |

mod extra;
mod fold;
mod pans;
mod place;
mod queries;
mod task;
mod undo;
mod vessels;

use tarehand_protocol::Mass;

use crate::procedure::{Addition, Ingredient, Procedure, StepKind, Weigh};
use crate::tick::Tick;
use crate::trail::Measured;
use crate::weighing::Scale;

use super::entry::{Entry, Record, TaskId, Verdict};
use super::limits::Limits;
use super::question::Question;

pub use pans::{Chosen, FinePan};
pub use place::{Bottle, BottlePlace, JarPlace};
pub use task::{Purpose, Task};

/// The state of a batch (IEC 61512 / ISA-88).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BatchState {
    /// Opened; the jar is not on the pan yet.
    Idle,
    /// Being made.
    Running,
    /// Waiting for an answer.
    Held,
    /// Waiting because the person said so.
    Paused,
    /// Made.
    Complete,
    /// Given up.
    Aborted,
}

/// A point that undo returns to.
#[derive(Clone, Debug, PartialEq)]
struct Point {
    order: Vec<TaskId>,
    current: Option<TaskId>,
    tasks: Vec<(Option<Mass>, Option<Verdict>)>,
    planned: Mass,
    undoes: Undoes,
}

/// What an undo would take back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Undoes {
    /// That a task is done.
    Judgement,
    /// A rescue.
    Rescue,
}

/// What a batch knows for certain.
#[derive(Clone, Debug, PartialEq)]
pub struct Book {
    procedure: Procedure,
    limits: Limits,
    scale: Scale,
    state: BatchState,
    tasks: Vec<Task>,
    order: Vec<TaskId>,
    current: Option<TaskId>,
    began: Tick,
    question: Option<Question>,
    jar: JarPlace,
    empty: Mass,
    tare: Mass,
    last: Mass,
    /// The bottle that is weighed, or still stands there from a step before.
    bottle: Option<Bottle>,
    /// The second, finer scale.
    fine: FinePan,
    planned: Mass,
    scale_lost: bool,
    /// The ingredients of which there is no more, by key.
    ran_out: Vec<String>,
    /// When a second ingredient came to the first.
    met: Option<Tick>,
    points: Vec<Point>,
    /// The trails of the mix as it is, each with what the jar held.
    trails: Vec<Measured>,
    /// How earlier batches answered to thinner.
    earlier_slopes: Vec<f64>,
    /// What stands in or on the jar and is no part of the mix, as the person said it.
    foreign: Mass,
    /// When something was written down last.
    written: Tick,
}

impl Book {
    /// Opens a book for a procedure.
    #[must_use]
    pub fn open(procedure: Procedure, limits: Limits, scale: Scale) -> Self {
        let tasks: Vec<Task> = procedure
            .steps
            .iter()
            .enumerate()
            .map(|(step, _)| Task::planned(step, &procedure))
            .collect();
        Self {
            order: tasks.iter().map(|task| task.id).collect(),
            state: BatchState::Idle,
            current: None,
            began: Tick::ZERO,
            question: None,
            jar: JarPlace::Awaited,
            empty: Mass::ZERO,
            tare: Mass::ZERO,
            last: Mass::ZERO,
            bottle: None,
            fine: FinePan::default(),
            planned: procedure.planned,
            scale_lost: false,
            ran_out: Vec::new(),
            met: None,
            points: Vec::new(),
            trails: Vec::new(),
            earlier_slopes: Vec::new(),
            foreign: Mass::ZERO,
            written: Tick::ZERO,
            procedure,
            limits,
            scale,
            tasks,
        }
    }

    /// Rebuilds a book from its journal; `None` when the journal does not begin with an opening.
    #[must_use]
    pub fn rebuild(journal: &[Record]) -> Option<Self> {
        let (first, rest) = journal.split_first()?;
        let Entry::Opened {
            procedure,
            limits,
            scale,
        } = &first.entry
        else {
            return None;
        };
        let mut book = Self::open(procedure.clone(), limits.clone(), *scale);
        for record in rest {
            book.fold(record);
        }
        Some(book)
    }

    /// Returns the procedure the batch follows.
    #[must_use]
    pub const fn procedure(&self) -> &Procedure {
        &self.procedure
    }

    /// Returns the limits the person has set.
    #[must_use]
    pub const fn limits(&self) -> &Limits {
        &self.limits
    }

    /// Returns the scale as far as it is known.
    #[must_use]
    pub const fn scale(&self) -> Scale {
        self.scale
    }

    /// Returns the state of the batch.
    #[must_use]
    pub const fn state(&self) -> BatchState {
        self.state
    }

    /// Returns whether the batch is over.
    #[must_use]
    pub const fn is_over(&self) -> bool {
        matches!(self.state, BatchState::Complete | BatchState::Aborted)
    }

    /// Returns every task in the order of work, without those of a rescue that was taken back.
    pub fn tasks(&self) -> impl Iterator<Item = &Task> {
        self.order.iter().filter_map(|&id| self.task(id))
    }

    /// Returns every task by its number, those of a rescue that was taken back too: what they received is in the jar.
    pub fn all_tasks(&self) -> impl Iterator<Item = &Task> {
        self.tasks.iter()
    }

    /// Returns a task by its number.
    #[must_use]
    pub fn task(&self, id: TaskId) -> Option<&Task> {
        self.tasks.get(usize::try_from(id.0).unwrap_or(usize::MAX))
    }

    /// Returns the task being worked at.
    #[must_use]
    pub fn current(&self) -> Option<&Task> {
        self.current.and_then(|id| self.task(id))
    }

    /// Returns when the current task began.
    #[must_use]
    pub const fn began(&self) -> Tick {
        self.began
    }

    /// Returns the first task that is still to be done.
    #[must_use]
    pub fn first_open(&self) -> Option<&Task> {
        self.tasks().find(|task| task.verdict.is_none())
    }

    /// Returns the task before the current one in the order of work.
    #[must_use]
    pub fn previous(&self) -> Option<&Task> {
        let current = self.current?;
        self.tasks().take_while(|task| task.id != current).last()
    }

    /// Returns the last addition at or before the current task.
    #[must_use]
    pub fn last_addition(&self) -> Option<&Task> {
        let place = self.order.iter().position(|&id| Some(id) == self.current)?;
        let before = self
            .order
            .iter()
            .take(place + 1)
            .rev()
            .filter_map(|&id| self.task(id));
        before.into_iter().find(|task| self.pours(task).is_some())
    }

    /// Returns what the batch waits for.
    #[must_use]
    pub const fn question(&self) -> Option<&Question> {
        self.question.as_ref()
    }

    /// Returns where the jar is.
    #[must_use]
    pub const fn jar(&self) -> JarPlace {
        self.jar
    }

    /// Returns what the scale shows, or would show, with an empty pan.
    #[must_use]
    pub const fn empty(&self) -> Mass {
        self.empty
    }

    /// Returns the weight of the empty jar.
    #[must_use]
    pub const fn tare(&self) -> Mass {
        self.tare
    }

    /// Returns the weight of the jar without anything that may be poured out of it: an amended jar holds its mix
    /// already when it is weighed.
    #[must_use]
    pub fn jar_alone(&self) -> Mass {
        self.tare - self.held_before()
    }

    /// Returns what an amended jar held before anything of this batch went into it; nothing in a jar of its own.
    #[must_use]
    pub fn held_before(&self) -> Mass {
        let amends = self.procedure.amends.as_ref();
        amends.map_or(Mass::ZERO, |amends| amends.holds)
    }

    /// Returns how much heavier the amended jar is than its record says, where that is more than the scale can err.
    #[must_use]
    pub fn unlike_its_record(&self) -> Option<Mass> {
        let amends = self.procedure.amends.as_ref()?;
        let off = self.tare - amends.gross();
        let known = !self.tare.is_zero() && !amends.tare.is_zero();
        let most = amends.within + self.scale.uncertainty();
        (known && most < off.abs()).then_some(off)
    }

    /// Returns the bottle that is weighed, or still stands on the pan from a step before: on the scale that the
    /// current task is weighed on.
    #[must_use]
    pub fn bottle(&self) -> Option<&Bottle> {
        if self.on_fine() {
            self.fine.bottle.as_ref()
        } else {
            self.bottle.as_ref()
        }
    }

    /// Returns the bottle of the current task, where that is weighed out of one and it is known.
    #[must_use]
    pub fn bottle_in_use(&self) -> Option<&Bottle> {
        let key = &self.pours(self.current()?)?.key;
        let bottle = self.bottle()?;
        (self.weighs_out() && bottle.key == *key).then_some(bottle)
    }

    /// Returns whether what comes now is weighed out of its bottle, on whichever scale.
    #[must_use]
    pub fn weighs_out(&self) -> bool {
        match self.current() {
            Some(task) => self.pours(task).is_some() && task.weigh != Weigh::Jar,
            None => self.state == BatchState::Idle && self.never_needs_jar(),
        }
    }

    /// Returns whether every step that pours is weighed out of its bottle, so that the jar never needs to be on the pan.
    #[must_use]
    pub fn never_needs_jar(&self) -> bool {
        let mut pours = self.tasks().filter(|task| self.pours(task).is_some());
        let first = pours.next();
        first.is_some_and(|task| task.weigh == Weigh::Bottle)
            && pours.all(|task| task.weigh == Weigh::Bottle)
    }

    /// Returns the gross of the jar that was settled and booked last, with what was weighed into it beside the scale since.
    #[must_use]
    pub const fn last(&self) -> Mass {
        self.last
    }

    /// Returns the total that is aimed at now: the planned one, or what a rescue made of it.
    #[must_use]
    pub const fn planned(&self) -> Mass {
        self.planned
    }

    /// Returns whether the scale is away.
    #[must_use]
    pub const fn scale_lost(&self) -> bool {
        self.scale_lost
    }

    /// Returns whether there is no more of some ingredient.
    #[must_use]
    pub const fn has_run_out(&self) -> bool {
        !self.ran_out.is_empty()
    }

    /// Returns when a mix that hardens can no longer be worked with; `None` while its parts have not met.
    #[must_use]
    pub fn hardens(&self) -> Option<Tick> {
        Some(self.met? + self.procedure.pot_life?)
    }

    /// Returns the trails of the mix as it is; those of before its last ingredient are not among them.
    #[must_use]
    pub fn trails(&self) -> &[Measured] {
        &self.trails
    }

    /// Returns how fast the logarithm of the trail fell with thinner in each earlier batch.
    #[must_use]
    pub fn earlier_slopes(&self) -> &[f64] {
        &self.earlier_slopes
    }

    /// Returns what stands in or on the jar and is no part of the mix.
    #[must_use]
    pub const fn foreign(&self) -> Mass {
        self.foreign
    }

    /// Returns when something was written down last.
    #[must_use]
    pub const fn written(&self) -> Tick {
        self.written
    }

    /// Returns whether the current step lets mix out of the jar.
    #[must_use]
    pub fn lets_out(&self) -> bool {
        self.current()
            .is_some_and(|task| self.step(task).lets_out())
    }

    /// Returns whether some of the mix is in another vessel: what is poured now would not reach that part of it.
    #[must_use]
    pub fn has_decanted(&self) -> bool {
        self.tasks.iter().any(|task| {
            matches!(self.step(task), StepKind::Decant { .. }) && task.poured < Mass::ZERO
        })
    }

    /// Returns what an undo would take back.
    #[must_use]
    pub fn undoes(&self) -> Option<Undoes> {
        self.points.last().map(|point| point.undoes)
    }

    /// Returns the step a task does.
    #[must_use]
    pub fn step(&self, task: &Task) -> &StepKind {
        &self.procedure.steps[task.step].kind
    }

    /// Returns the addition a task does, if it does one.
    #[must_use]
    pub fn addition(&self, task: &Task) -> Option<&Addition> {
        match self.step(task) {
            StepKind::Add(addition) => Some(addition),
            StepKind::Stir { .. }
            | StepKind::Rest { .. }
            | StepKind::Strain { .. }
            | StepKind::Look { .. }
            | StepKind::Trail { .. }
            | StepKind::Thin { .. }
            | StepKind::TakeOut { .. }
            | StepKind::Decant { .. }
            | StepKind::Note { .. } => None,
        }
    }

    /// Returns the ingredient that a task pours, if it pours one.
    #[must_use]
    pub fn pours(&self, task: &Task) -> Option<&Ingredient> {
        self.step(task).ingredient()
    }
}
