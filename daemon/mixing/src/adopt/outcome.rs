//! What a batch says of each step of its recipe.

use tarehand_protocol::Mass;

use crate::procedure::{Amount, Step, StepKind};
use crate::ratio::Ratio;
use crate::session::{Book, Entry, Record};

/// What a batch says of its recipe.
#[derive(Debug)]
pub(super) struct Outcome {
    /// The planned total.
    pub planned: Mass,
    /// Every step of the recipe, in order.
    pub steps: Vec<StepOutcome>,
    /// What is in the jar of steps inside the ratio that the recipe does not have: a rescue's, a slip's.
    pub more_inside: Mass,
    /// The expanded uncertainty of one pour.
    pub uncertainty: Mass,
}

/// What a batch says of one step.
#[derive(Debug)]
pub(super) struct StepOutcome {
    /// What the step pours, if it pours: the ingredient's key and how its amount is decided.
    pub pours: Option<(String, Decided)>,
    /// What of it is in the jar.
    pub left: Mass,
    /// Whether some of the mix was in another vessel by then, so that it is no part of the ratio.
    pub after_decanting: bool,
    /// The trail that was measured at it last, in seconds.
    pub trail_s: Option<f64>,
}

/// How an amount is decided.
#[derive(Debug)]
pub(super) enum Decided {
    /// By the recipe: this share of the planned total.
    ByRecipe(Ratio),
    /// Counted, and judged by nobody: this share, and the mass of one.
    ByCount(Ratio, Mass),
    /// By the person, outside the ratio: a range, by eye, thinning.
    ByPerson,
    /// A whole vessel, whatever is in it.
    Whole,
}

/// Reads what a batch says of its recipe.
pub(super) fn of(book: &Book, records: &[Record]) -> Outcome {
    let opened = records.iter().find_map(|record| match &record.entry {
        Entry::Opened { procedure, .. } => Some(procedure),
        _ => None,
    });
    let procedure = opened.unwrap_or_else(|| book.procedure());
    let undecanted = before_decanting(records);
    let whole = undecanted.as_ref().unwrap_or(book);
    let left = |step: usize| -> Mass {
        let of_it = whole.all_tasks().filter(|task| task.step == step);
        of_it.map(|task| task.left).sum()
    };
    let decants = |step: &Step| matches!(step.kind, StepKind::Decant { .. });
    let decanted = procedure.steps.iter().position(decants);
    let steps = procedure.steps.iter().enumerate().map(|(step, planned)| {
        let pours = planned
            .kind
            .ingredient()
            .and_then(|ingredient| Some((ingredient.key.clone(), decided(&planned.kind)?)));
        StepOutcome {
            pours,
            left: left(step),
            after_decanting: decanted.is_some_and(|decanted| decanted < step),
            trail_s: trail(book, records, step),
        }
    });
    let more = whole.all_tasks().filter(|task| {
        procedure.steps.len() <= task.step
            && whole
                .addition(task)
                .is_some_and(|addition| addition.amount.share().is_some())
    });
    Outcome {
        planned: procedure.planned,
        steps: steps.collect(),
        more_inside: more.map(|task| task.left).sum(),
        uncertainty: book.scale().uncertainty(),
    }
}

/// Returns the batch as it was with all of the mix in its jar, where some of it was decanted later.
fn before_decanting(records: &[Record]) -> Option<Book> {
    let decanted = |record: &Record| matches!(record.entry, Entry::Decanted { .. });
    let first = records.iter().position(decanted)?;
    Book::rebuild(&records[..first])
}

fn decided(kind: &StepKind) -> Option<Decided> {
    Some(match kind {
        StepKind::Add(addition) => match &addition.amount {
            Amount::Weighed { share, .. }
            | Amount::Counted {
                share,
                within: Some(_),
                ..
            } => Decided::ByRecipe(share.clone()),
            Amount::Counted {
                share,
                each,
                within: None,
                ..
            } => Decided::ByCount(share.clone(), *each),
            Amount::Range { .. } | Amount::ByEye => Decided::ByPerson,
            Amount::Whole { .. } => Decided::Whole,
        },
        StepKind::Thin { .. } => Decided::ByPerson,
        _ => return None,
    })
}

fn trail(book: &Book, records: &[Record], step: usize) -> Option<f64> {
    let mut trails = records.iter().filter_map(|record| match &record.entry {
        Entry::Trail { task, seconds, .. } if book.task(*task)?.step == step => Some(*seconds),
        _ => None,
    });
    trails.next_back()
}
