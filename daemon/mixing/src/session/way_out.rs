//! The way out of a slip: taken within the person's limits, asked for, carried out.

use tarehand_protocol::Mass;

use crate::procedure::{Addition, Amount, Ingredient, Premix, Step, StepKind, Weigh, Within};
use crate::ratio::Ratio;
use crate::rescue::{self, RescueKind, RescueOption};

use super::book::{Book, Task};
use super::entry::{By, Entry, Extra, TaskId, Verdict};
use super::input::Cue;
use super::judge::Place;
use super::question::{Question, Slip};
use super::{Session, Turn};

impl Session {
    /// An overshoot: takes the way out that the person's limits allow, or asks.
    pub(super) fn rescue(&mut self, turn: &mut Turn, task: TaskId) {
        let options = self.options();
        match self.allowed(&options) {
            Some(option) => self.take_by_limit(turn, option),
            None => self.ask(turn, Question::Overshoot { task, options }),
        }
    }

    /// Something else put the ratio out of reach as planned: takes the way out that the limits allow, or asks.
    pub(super) fn way_out_of(&mut self, turn: &mut Turn, slip: Slip) {
        let Some(task) = self.book.current().map(|task| task.id) else {
            return;
        };
        let options = self.options();
        match self.allowed(&options) {
            Some(option) => self.take_by_limit(turn, option),
            None => self.ask(
                turn,
                Question::OffRatio {
                    task,
                    slip,
                    options,
                },
            ),
        }
    }

    /// Asks for the way out, whatever the limits allow.
    pub(super) fn ask_way_out(&mut self, turn: &mut Turn, task: TaskId) {
        let thins = |task: &Task| matches!(self.book.step(task), StepKind::Thin { .. });
        if self.book.task(task).is_some_and(thins) && !self.is_off_ratio() {
            return self.ask_of_thinness(turn);
        }
        let options = self.options();
        let overshoot = self.book.task(task).is_some_and(|task| {
            self.book.pours(task).is_some() && self.place(task) == Place::Above
        });
        let question = if overshoot {
            Question::Overshoot { task, options }
        } else {
            let slip = if self.book.has_run_out() {
                Slip::RanOut
            } else {
                Slip::TakenOut
            };
            Question::OffRatio {
                task,
                slip,
                options,
            }
        };
        self.ask(turn, question);
    }

    /// The ways out that are worth offering here.
    fn options(&self) -> Vec<RescueOption> {
        /// A batch of less than this part of what was planned is none (our own choice).
        const LEAST_PART: i64 = 20;
        let mut options = rescue::options(&self.book.situation());
        let planned = self.book.procedure().planned.micrograms();
        let least = Mass::from_micrograms(planned / LEAST_PART);
        options.retain(|option| option.kind != RescueKind::MakeLess || least <= option.total);
        self.still_possible(options)
    }

    /// After some of the mix was decanted nothing is poured for a way out: it would not reach what is in the other
    /// vessel.
    pub(super) fn still_possible(&self, mut options: Vec<RescueOption>) -> Vec<RescueOption> {
        if self.book.has_decanted() {
            options.retain(|option| option.kind == RescueKind::Accept);
        }
        options
    }

    /// Returns the way out that may be taken without asking: the first one, when it keeps every share within its
    /// tolerance, makes the batch grow by no more than the person allows, and takes nothing out. A mix that hardens
    /// is never rescued by itself.
    pub(super) fn allowed(&self, options: &[RescueOption]) -> Option<RescueOption> {
        let first = options.first()?;
        let by_itself = match first.kind {
            RescueKind::TopUpExact | RescueKind::TopUpLeast | RescueKind::Unthinned => true,
            RescueKind::Accept => first.within,
            // Nobody but the person knows whether there is such a jar.
            RescueKind::MakeLess | RescueKind::TakeOut | RescueKind::ReadyMade => false,
        };
        let small = first.growth(self.book.procedure().planned) <= self.book.limits().grow_by;
        let hardens = self.book.procedure().pot_life.is_some();
        (by_itself && small && first.obstacle.is_none() && !hardens).then(|| first.clone())
    }

    pub(super) fn take_by_limit(&mut self, turn: &mut Turn, option: RescueOption) {
        let changes = option.kind != RescueKind::Accept;
        self.take(turn, option, By::Limit);
        if changes {
            turn.cue(Cue::Rescued {
                total: self.book.planned(),
            });
        }
        self.advance(turn);
    }

    /// Returns whether the jar can no longer come out as the recipe says by going on as planned.
    pub(super) fn is_off_ratio(&self) -> bool {
        if self.book.procedure().amends.is_some() {
            return false;
        }
        let situation = self.book.situation();
        !rescue::going_on(&situation).is_within(&situation)
    }

    /// Carries an option out: new targets for what is open, new tasks for what is not.
    pub(super) fn take(&mut self, turn: &mut Turn, option: RescueOption, by: By) {
        let mut plan = Plan {
            next: self.book.next_task_id(),
            targets: Vec::new(),
            extra: Vec::new(),
            steps: Vec::new(),
            premixes: Vec::new(),
        };
        match option.kind {
            RescueKind::Accept => {}
            RescueKind::TakeOut => self.plan_removal(&mut plan, option.take_out),
            RescueKind::TopUpExact | RescueKind::TopUpLeast | RescueKind::MakeLess => {
                self.plan_pours(&mut plan, &option);
            }
            RescueKind::Unthinned => self.plan_unthinned(&mut plan, &option),
            RescueKind::ReadyMade => self.plan_ready_made(&mut plan, &option),
        }
        self.record(
            turn,
            Entry::Rescued {
                option,
                targets: plan.targets,
                extra: plan.extra,
                steps: plan.steps,
                premixes: plan.premixes,
                by,
            },
        );
    }

    fn plan_pours(&self, plan: &mut Plan, option: &RescueOption) {
        for source in self.book.situation().sources {
            let pours = option.pours.iter().filter(|pour| pour.key == source.key);
            let mass: Mass = pours.map(|pour| pour.mass).sum();
            let open: Vec<&Task> = self.open_tasks(&source.key).collect();
            if !open.is_empty() {
                plan.targets.extend(spread(mass, &open));
            } else if !mass.is_zero() {
                let step = self.step_of(&source.key);
                let step =
                    step.unwrap_or_else(|| plan.step(&self.book, self.new_step(&source.key)));
                plan.task(step, mass);
            }
        }
    }

    /// The mix is taken out first; what is poured then is worked out from what really was.
    fn plan_removal(&self, plan: &mut Plan, mass: Mass) {
        let step = Step {
            kind: StepKind::TakeOut { mass },
            note: Some("stir well first: what is taken out must be the mix".to_owned()),
        };
        let step = plan.step(&self.book, step);
        plan.task(step, Mass::ZERO - mass);
    }

    /// A step that pours something that the recipe has only inside premixes, or not at all.
    pub(super) fn new_step(&self, key: &str) -> Step {
        let situation = self.book.situation();
        let known = |ingredient: &&Ingredient| ingredient.key == key;
        let premixes = &self.book.procedure().premixes;
        let mut parts = premixes.iter().flat_map(|premix| &premix.parts);
        let ingredient = parts
            .find_map(|(part, _)| Some(part).filter(known))
            .cloned();
        let inside = situation.sources.iter().any(|source| source.key == key);
        let amount = if inside {
            Amount::Weighed {
                share: Ratio::zero(),
                target: Mass::ZERO,
                within: Within::beside_the_recipe(),
            }
        } else {
            Amount::ByEye
        };
        let ingredient = ingredient.unwrap_or_else(|| Ingredient::by_name(key));
        Step {
            kind: StepKind::Add(Addition {
                ingredient,
                amount,
                // The fold weighs it as everything is weighed in this batch.
                weigh: Weigh::Jar,
            }),
            note: None,
        }
    }

    /// Returns whether the current task lets some of the mix out of the jar: for a way out, or to decant it.
    pub(super) fn is_taking_out(&self) -> bool {
        self.book.lets_out()
    }

    /// Returns whether the current task lets the finished mix out into another vessel.
    pub(super) fn is_decanting(&self) -> bool {
        self.book
            .current()
            .is_some_and(|task| matches!(self.book.step(task), StepKind::Decant { .. }))
    }

    /// Some of the mix is out, as much as it may be: tops up from what really is in the jar now.
    pub(super) fn taken_out(&mut self, turn: &mut Turn) {
        let Some(task) = self.book.current() else {
            return;
        };
        let id = task.id;
        let declined = Mass::ZERO <= task.poured + self.book.scale().uncertainty();
        self.judged(turn, Verdict::Recorded);
        if declined {
            // The person went past it: another way is wanted, and this one is not proposed again.
            let mut options = self.options();
            options.sort_by_key(|option| option.kind == RescueKind::TakeOut);
            let slip = Slip::TakenOut;
            let task = id;
            return self.ask(
                turn,
                Question::OffRatio {
                    task,
                    slip,
                    options,
                },
            );
        }
        let aimed = self.book.planned();
        let within =
            self.book.scale().uncertainty() + Mass::from_micrograms(aimed.micrograms() / 50);
        let exact = self.options().into_iter().find(|option| {
            let fits = option.obstacle.is_none() && option.total <= aimed + within;
            option.kind == RescueKind::TopUpExact && fits
        });
        match exact {
            // The person has chosen this way already.
            Some(option) => {
                self.take(turn, option, By::Person);
                self.advance(turn);
            }
            None => self.way_out_of(turn, Slip::TakenOut),
        }
    }

    pub(super) fn open_tasks<'a>(&'a self, key: &'a str) -> impl Iterator<Item = &'a Task> {
        self.book.tasks().filter(move |task| {
            self.is_in_ratio(task)
                && task.verdict.is_none()
                && self
                    .book
                    .pours(task)
                    .is_some_and(|ingredient| ingredient.key == key)
        })
    }

    pub(super) fn step_of(&self, key: &str) -> Option<usize> {
        let inside = |task: &&Task| self.is_in_ratio(task);
        let pours = |task: &&Task| {
            self.book
                .pours(task)
                .is_some_and(|ingredient| ingredient.key == key)
        };
        self.book
            .tasks()
            .filter(inside)
            .find(pours)
            .map(|task| task.step)
    }
}

/// What a way out changes.
pub(super) struct Plan {
    next: TaskId,
    pub(super) targets: Vec<(TaskId, Mass)>,
    extra: Vec<Extra>,
    steps: Vec<Step>,
    pub(super) premixes: Vec<Premix>,
}

impl Plan {
    /// Adds a step to the procedure and returns its place.
    pub(super) fn step(&mut self, book: &Book, step: Step) -> usize {
        self.steps.push(step);
        book.procedure().steps.len() + self.steps.len() - 1
    }

    pub(super) fn task(&mut self, step: usize, target: Mass) {
        self.extra.push(Extra {
            task: self.next,
            step,
            target,
        });
        self.next.0 += 1;
    }
}

/// Spreads what is still to be poured over the open tasks of one ingredient, in proportion to what each still wanted.
pub(super) fn spread(mass: Mass, open: &[&Task]) -> Vec<(TaskId, Mass)> {
    let wanted = |task: &Task| (task.target.unwrap_or(Mass::ZERO) - task.poured).max(Mass::ZERO);
    let all: Mass = open.iter().map(|task| wanted(task)).sum();
    let mut left = mass;
    let mut targets = Vec::with_capacity(open.len());
    for (index, task) in open.iter().enumerate() {
        let last = index + 1 == open.len();
        let part = Ratio::from_mass(wanted(task))
            .checked_div(&Ratio::from_mass(all))
            .unwrap_or_else(Ratio::zero);
        // The last one takes what rounding left, so that the sum is exact.
        let share = if last {
            left
        } else {
            (&Ratio::from_mass(mass) * &part).to_mass()
        };
        left -= share;
        targets.push((task.id, task.poured + share));
    }
    targets
}
