//! What a batch knows for certain: the fold of its journal.
//!
//! Invariant: [`Book::fold`] is the only thing that changes a book, and it judges nothing. Replaying
//! the journal therefore gives the same book, also in a later version.

use tarehand_protocol::Mass;

use crate::procedure::{Addition, Amount, Ingredient, Procedure, StepKind};
use crate::rescue::{Part, Situation};
use crate::tick::Tick;
use crate::weighing::Scale;

use super::entry::{Entry, Extra, Record, TaskId, Verdict};
use super::limits::Limits;
use super::question::{Answer, Question};

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

/// Where the jar is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum JarPlace {
    /// It has not been put on the pan yet.
    Awaited,
    /// On the pan.
    OnPan,
    /// The load is gone from the pan: the jar was lifted, or the scale's tare was pressed. Nobody knows which yet.
    Gone {
        /// What the scale showed then.
        gross: Mass,
    },
}

/// Why a task is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// The recipe says so.
    Planned,
    /// A rescue added it.
    TopUp,
}

/// One thing to do, and how far it has come.
#[derive(Clone, Debug, PartialEq)]
pub struct Task {
    /// Its number.
    pub id: TaskId,
    /// The step of the procedure it does.
    pub step: usize,
    /// Why it is there.
    pub purpose: Purpose,
    /// What it should receive, where that is known in grams.
    pub target: Option<Mass>,
    /// What it has received.
    pub poured: Mass,
    /// How it came out, once it is done.
    pub verdict: Option<Verdict>,
    /// Reopened by the person: only the person finishes it.
    pub reopened: bool,
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
    planned: Mass,
    scale_lost: bool,
    points: Vec<Point>,
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
            planned: procedure.planned,
            scale_lost: false,
            points: Vec::new(),
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
                self.jar = JarPlace::OnPan;
                self.empty += *after - *before;
                self.last = *after;
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
        let gone = self
            .tasks
            .split_off(point.tasks.len().min(self.tasks.len()));
        for task in gone {
            if let Some(first) = self.tasks.iter_mut().find(|first| first.step == task.step) {
                first.poured += task.poured;
            }
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

    /// Returns every task in the order of work.
    pub fn tasks(&self) -> impl Iterator<Item = &Task> {
        self.order.iter().filter_map(|&id| self.task(id))
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

    /// Returns the gross that was settled and booked last.
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
            | StepKind::Note { .. } => None,
        }
    }

    /// Returns the ingredient that a task pours, if it pours one.
    #[must_use]
    pub fn pours(&self, task: &Task) -> Option<&Ingredient> {
        match self.step(task) {
            StepKind::Add(addition) => Some(&addition.ingredient),
            StepKind::Thin { with, .. } => Some(with),
            StepKind::Stir { .. }
            | StepKind::Rest { .. }
            | StepKind::Strain { .. }
            | StepKind::Look { .. }
            | StepKind::Trail { .. }
            | StepKind::Note { .. } => None,
        }
    }

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
                crate::ratio::Ratio::zero()
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

impl Task {
    fn planned(step: usize, procedure: &Procedure) -> Self {
        let target = match &procedure.steps[step].kind {
            StepKind::Add(addition) => addition.amount.target(),
            StepKind::Stir { .. }
            | StepKind::Rest { .. }
            | StepKind::Strain { .. }
            | StepKind::Look { .. }
            | StepKind::Trail { .. }
            | StepKind::Thin { .. }
            | StepKind::Note { .. } => None,
        };
        Self {
            id: TaskId(u32::try_from(step).unwrap_or(u32::MAX)),
            step,
            purpose: Purpose::Planned,
            target,
            poured: Mass::ZERO,
            verdict: None,
            reopened: false,
        }
    }
}
