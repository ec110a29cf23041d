//! What a step is: as data, and ready to read.

use tarehand_mixing::card;
use tarehand_mixing::procedure::{Amount, CountUnit, Decanted, StepKind};
use tarehand_mixing::session::{Book, Purpose, Task};
use tarehand_mixing::sizing::Count;
use tarehand_protocol::Mass;
use tarehand_protocol::api::{CountSaid, CountUnitWord, StepAction};

use super::words::grams;

/// Returns what is done in a task.
pub(super) fn action(book: &Book, task: &Task) -> StepAction {
    match book.step(task) {
        StepKind::Add(addition) if is_rescue(book, task) => StepAction::More {
            ingredient: addition.ingredient.name.clone(),
        },
        step => planned(step),
    }
}

/// Returns what is done in a step as it is planned.
pub(super) fn planned(step: &StepKind) -> StepAction {
    match step {
        StepKind::Add(addition) => {
            let ingredient = addition.ingredient.name.clone();
            match &addition.amount {
                Amount::Whole { vessel } => StepAction::WholeVessel {
                    vessel: vessel.clone(),
                    ingredient,
                },
                Amount::Weighed { .. }
                | Amount::Counted { .. }
                | Amount::Range { .. }
                | Amount::ByEye => StepAction::Add { ingredient },
            }
        }
        StepKind::Stir { time } => StepAction::Stir {
            seconds: time.as_secs_f64(),
        },
        StepKind::Rest { time } => StepAction::Rest {
            seconds: time.as_secs_f64(),
        },
        StepKind::Strain { through } => StepAction::Strain {
            through: through.clone(),
        },
        StepKind::Look { expect } => StepAction::Look {
            expect: expect.clone(),
        },
        StepKind::Trail { .. } => StepAction::Trail,
        StepKind::Thin { with, .. } => StepAction::Thin {
            ingredient: with.name.clone(),
        },
        StepKind::TakeOut { mass } => StepAction::TakeOut {
            take_out_g: mass.grams(),
        },
        StepKind::Decant { amount, into } => StepAction::Decant {
            decant_g: match amount {
                Decanted::All => None,
                Decanted::Weighed { target, .. } => Some(Mass::grams(*target)),
            },
            into: into.clone(),
        },
        StepKind::Note { text } => StepAction::Note { text: text.clone() },
    }
}

/// Returns whether a task tops the jar up. What was named afterwards as an ingredient that the recipe does not know is in the
/// jar by mistake, and rescues nothing.
pub(super) fn is_rescue(book: &Book, task: &Task) -> bool {
    let by_mistake =
        matches!(book.addition(task), Some(addition) if addition.amount == Amount::ByEye);
    task.purpose == Purpose::TopUp && !by_mistake
}

/// Returns a task ready to read.
pub(super) fn title(book: &Book, task: &Task) -> String {
    match book.step(task) {
        StepKind::Add(addition) if is_rescue(book, task) => {
            format!("more {}", addition.ingredient.name)
        }
        StepKind::Add(addition) => match &addition.amount {
            Amount::Whole { vessel } => format!("all of {vessel}"),
            Amount::Weighed { .. }
            | Amount::Counted { .. }
            | Amount::Range { .. }
            | Amount::ByEye => addition.ingredient.name.clone(),
        },
        StepKind::Stir { time } => format!("stir {}", card::time(*time)),
        StepKind::Rest { time } => format!("rest {}", card::time(*time)),
        StepKind::Strain { through } => format!("strain through {through}"),
        StepKind::Look { expect } => format!("look: {expect}"),
        StepKind::Trail { .. } => "measure the trail".to_owned(),
        StepKind::Thin { with, .. } => format!("thin with {}", with.name),
        StepKind::TakeOut { mass } => format!("take out {}", grams(*mass)),
        StepKind::Decant { amount, into } => match amount {
            Decanted::All => format!("decant all of it into {into}"),
            Decanted::Weighed { target, .. } => format!("decant {} into {into}", grams(*target)),
        },
        StepKind::Note { text } => text.clone(),
    }
}

/// Returns a count as data.
pub(super) fn count_said(count: &Count) -> CountSaid {
    CountSaid {
        unit: match count.unit() {
            CountUnit::Drop => CountUnitWord::Drop,
            CountUnit::Teaspoon => CountUnitWord::Teaspoon,
            CountUnit::Tablespoon => CountUnitWord::Tablespoon,
        },
        number: count.number().to_f64(),
        least: count.least().to_f64(),
        exact: count.is_exact(),
    }
}
