//! A mix that is too thin: more of it without thinner, more of it from another jar, or left so.
//!
//! Like any slip: what the person's limits allow is done and told, anything else is asked. The thinning goes on
//! after it with a new trail; those measured before stay, for the mix is the same.

use tarehand_protocol::Mass;

use crate::procedure::{
    Addition, Amount, Ingredient, Origin, Premix, Step, StepKind, Weigh, Within,
};
use crate::ratio::Ratio;
use crate::rescue::{self, RescueKind, RescueOption};
use crate::trail::{self, Measured, Trail};

use super::book::Task;
use super::entry::{By, TaskId, Verdict};
use super::question::Question;
use super::way_out::{Plan, spread};
use super::{Session, Turn};

impl Session {
    /// Does or asks what the trail measured last calls for, where it says that the mix is too thin.
    ///
    /// Returns whether it does.
    pub(super) fn too_thin(&mut self, turn: &mut Turn) -> bool {
        let Some((task, options)) = self.ways_to_thicken().filter(|_| !self.has_grown()) else {
            return false;
        };
        // To leave it so is for the person to say.
        let more = |option: &RescueOption| option.kind == RescueKind::Unthinned;
        match self.allowed(&options).filter(more) {
            Some(option) => self.take_by_limit(turn, option),
            None => self.ask(turn, Question::TooThin { task, options }),
        }
        true
    }

    /// Asks about a mix that is too thin, whatever the limits allow.
    pub(super) fn ask_of_thinness(&mut self, turn: &mut Turn) {
        if let Some((task, options)) = self.ways_to_thicken().filter(|_| !self.has_grown()) {
            self.ask(turn, Question::TooThin { task, options });
        }
    }

    pub(super) fn is_asked_of_thinness(&self) -> bool {
        matches!(self.book.question(), Some(Question::TooThin { .. }))
    }

    /// Returns whether some of the mix came to what was measured last.
    pub(super) fn has_grown(&self) -> bool {
        let mix = self.book.in_jar() - self.book.thinner();
        let then = self.book.trails().last();
        then.is_some_and(|then| then.jar - then.thinner + self.noticeable() < mix)
    }

    /// The ways out of a mix that is too thin, by its last trail and what the jar holds now.
    fn ways_to_thicken(&self) -> Option<(TaskId, Vec<RescueOption>)> {
        let task = self.book.current()?;
        let StepKind::Thin {
            wanted_s: Some(seconds),
            ..
        } = self.book.step(task)
        else {
            return None;
        };
        let points = self.book.trails();
        let now = Measured {
            thinner: self.book.thinner(),
            jar: self.book.in_jar(),
            ..*points.last()?
        };
        let wanted = Trail::from_seconds(*seconds).ok()?;
        let unthinned = trail::too_thin(points, &now, wanted, self.book.earlier_slopes())?;
        let situation = self.book.situation();
        let options =
            rescue::unthinned(&situation, unthinned.mass(), &self.book.procedure().recipe);
        Some((task.id, self.still_possible(options)))
    }

    /// It is left so: the step is done.
    pub(super) fn leave_thin(&mut self, turn: &mut Turn, option: RescueOption) {
        let done = self
            .book
            .current()
            .is_none_or(|task| task.verdict.is_some());
        if !done {
            self.judged(turn, Verdict::Recorded);
        }
        self.take(turn, option, By::Person);
    }

    /// Every ingredient that is in already is poured now; what is still to come grows with the batch.
    pub(super) fn plan_unthinned(&self, plan: &mut Plan, option: &RescueOption) {
        let situation = self.book.situation();
        let grown = Ratio::from_mass(option.total)
            .checked_div(&Ratio::from_mass(self.book.planned()))
            .unwrap_or_else(Ratio::one);
        let later = |task: &&Task| {
            let target = Ratio::from_mass(task.target.unwrap_or(Mass::ZERO));
            ((&target * &grown).to_mass() - task.poured).max(Mass::ZERO)
        };
        for source in &situation.sources {
            let pours = option.pours.iter().filter(|pour| pour.key == source.key);
            let mass: Mass = pours.map(|pour| pour.mass).sum();
            let open: Vec<&Task> = self.open_tasks(&source.key).collect();
            let later: Mass = open.iter().map(later).sum();
            let now = if open.is_empty() {
                mass
            } else {
                let now = (mass - later).max(Mass::ZERO);
                let least = situation.scale_for(source, now).uncertainty();
                if least <= now { now } else { Mass::ZERO }
            };
            if !now.is_zero() {
                let step = self.step_of(&source.key);
                let step =
                    step.unwrap_or_else(|| plan.step(&self.book, self.new_step(&source.key)));
                plan.task(step, now);
            }
            if !open.is_empty() {
                plan.targets.extend(spread(mass - now, &open));
            }
        }
    }

    /// One pour from a jar of the same mix; from now on that jar is something that the batch can be made of.
    pub(super) fn plan_ready_made(&self, plan: &mut Plan, option: &RescueOption) {
        let recipe = &self.book.procedure().recipe;
        let Some(pour) = option.pours.iter().find(|pour| pour.key == *recipe) else {
            return;
        };
        let additions = self.book.procedure().steps.iter();
        let parts = additions.filter_map(|step| match &step.kind {
            StepKind::Add(addition) => {
                let share = addition.amount.share()?;
                Some((addition.ingredient.clone(), share.clone()))
            }
            _ => None,
        });
        plan.premixes.push(Premix {
            key: recipe.clone(),
            parts: parts.filter(|(_, share)| !share.is_zero()).collect(),
        });
        let ingredient = Ingredient {
            name: pour.name.clone(),
            origin: Origin::Premix,
            ..Ingredient::by_name(recipe)
        };
        let amount = Amount::Weighed {
            share: Ratio::zero(),
            target: Mass::ZERO,
            within: Within::Fraction(Ratio::new(2, 100)),
        };
        let step = Step {
            kind: StepKind::Add(Addition {
                ingredient,
                amount,
                // The fold weighs it as everything is weighed in this batch.
                weigh: Weigh::Jar,
            }),
            note: None,
        };
        let step = plan.step(&self.book, step);
        plan.task(step, pour.mass);
    }
}

impl RescueKind {
    /// Returns whether it is poured before the current step goes on, and not after it.
    pub(super) const fn comes_first(self) -> bool {
        match self {
            Self::Unthinned | Self::ReadyMade => true,
            Self::Accept | Self::TopUpExact | Self::TopUpLeast | Self::MakeLess | Self::TakeOut => {
                false
            }
        }
    }
}
