//! What a held batch asks, and the ways out.

use tarehand_mixing::procedure::StepKind;
use tarehand_mixing::rescue::{Obstacle, RescueKind, RescueOption};
use tarehand_mixing::session::{Book, Question, Slip, TaskId};
use tarehand_protocol::Mass;
use tarehand_protocol::api::{
    ObstacleSaid, OptionView, PourLine, QuestionView, ShareView, SlipWord, WayFigures,
};

use super::rescue::option_text;
use super::words::{grams, millilitres};

/// Returns a question as the API asks it.
#[must_use]
pub fn question_view(book: &Book, question: &Question) -> QuestionView {
    let difference = match question {
        Question::Overshoot { .. } | Question::OffRatio { .. } | Question::TooThin { .. } => None,
        Question::PouredUnseen { before, after }
        | Question::AddedInHand { before, after }
        | Question::Lighter { before, after }
        | Question::BottleLighter { before, after }
        | Question::ZeroLost { before, after } => Some(*after - *before),
    };
    let by = difference
        .map(|difference| grams(difference.abs()))
        .unwrap_or_default();
    let (about, text) = match question {
        Question::Overshoot { task, .. } => {
            let task = book.task(*task);
            let name = task
                .and_then(|task| book.pours(task))
                .map_or("this", |ingredient| ingredient.name.as_str());
            let over = over(book, question).unwrap_or_default();
            (
                "overshoot",
                format!("{} too much {name}: which way out?", grams(over)),
            )
        }
        Question::OffRatio { task, slip, .. } => (
            "off-ratio",
            match slip {
                Slip::RanOut => {
                    let task = book.task(*task).and_then(|task| book.pours(task));
                    let name = task.map_or("this", |ingredient| ingredient.name.as_str());
                    format!("there is no more {name}: which way out?")
                }
                Slip::TakenOut => {
                    "the ratio can no longer be reached as planned: which way out?".to_owned()
                }
            },
        ),
        Question::TooThin { task, .. } => ("too-thin", too_thin_text(book, *task)),
        Question::PouredUnseen { .. } if book.on_fine() => (
            "poured-unseen",
            format!("{by} came into the jar past the finer scale: is that this step's pour?"),
        ),
        Question::Lighter { .. } if book.on_fine() => (
            "lighter",
            format!(
                "the jar is {by} lighter than what left the cup makes it: was that spilled or taken out?"
            ),
        ),
        Question::PouredUnseen { .. } => (
            "poured-unseen",
            format!("{by} came into the jar while the scale was away: is that this step's pour?"),
        ),
        Question::AddedInHand { .. } => (
            "added-in-hand",
            format!("the jar came back {by} heavier: was that added in the hand?"),
        ),
        Question::Lighter { .. } => (
            "lighter",
            format!("the jar is {by} lighter: was mixture taken out or spilled?"),
        ),
        Question::BottleLighter { .. } => (
            "bottle-lighter",
            format!("the bottle is {by} lighter: was all of it poured into the jar?"),
        ),
        Question::ZeroLost { .. } => (
            "zero-lost",
            "the scale started anew and shows another weight: does the jar stand on it as before?"
                .to_owned(),
        ),
    };
    let options = question.ways_out().map_or_else(Vec::new, |(_, options)| {
        (1..)
            .zip(options)
            .map(|(number, option)| {
                let text = way_text(Some(question), option, book.planned());
                option_view(text, number, option)
            })
            .collect()
    });
    let ingredient = asked_about(question)
        .and_then(|task| book.task(task))
        .and_then(|task| book.pours(task))
        .map(|ingredient| ingredient.name.clone());
    let too_thin = match question {
        Question::TooThin { task, .. } => Some(*task),
        _ => None,
    };
    QuestionView {
        about: about.to_owned(),
        text,
        difference_g: difference.map(Mass::grams),
        ingredient,
        over_g: over(book, question).map(Mass::grams),
        slip: match question {
            Question::OffRatio { slip, .. } => Some(match slip {
                Slip::RanOut => SlipWord::RanOut,
                Slip::TakenOut => SlipWord::TakenOut,
            }),
            _ => None,
        },
        on_fine: difference.is_some() && book.on_fine(),
        trail_s: too_thin.and_then(|_| Some(book.trails().last()?.trail.seconds())),
        wanted_s: too_thin.and_then(|task| wanted_trail(book, task)),
        jar: None,
        options,
    }
}

/// Returns the task that a question of ways out is about.
const fn asked_about(question: &Question) -> Option<TaskId> {
    match question {
        Question::Overshoot { task, .. }
        | Question::OffRatio { task, .. }
        | Question::TooThin { task, .. } => Some(*task),
        Question::PouredUnseen { .. }
        | Question::AddedInHand { .. }
        | Question::Lighter { .. }
        | Question::BottleLighter { .. }
        | Question::ZeroLost { .. } => None,
    }
}

/// Returns by how much an overshoot is over its target.
fn over(book: &Book, question: &Question) -> Option<Mass> {
    let Question::Overshoot { task, .. } = question else {
        return None;
    };
    let task = book.task(*task)?;
    Some(task.poured - task.target.unwrap_or_default())
}

fn wanted_trail(book: &Book, task: TaskId) -> Option<f64> {
    match book.step(book.task(task)?) {
        StepKind::Thin { wanted_s, .. } => *wanted_s,
        _ => None,
    }
}

/// Returns the question about a mix that is too thin.
fn too_thin_text(book: &Book, task: TaskId) -> String {
    let wanted = wanted_trail(book, task);
    let wanted = wanted.map_or_else(String::new, |wanted| format!(" and {wanted} s is wanted"));
    let is = match book.trails().last().map(|last| last.trail) {
        Some(trail) if trail.is_none_left() => "it leaves no trail".to_owned(),
        Some(trail) => format!("the trail is {} s", trail.seconds()),
        None => "the trail is too short".to_owned(),
    };
    format!("too thin: {is}{wanted}: which way out?")
}

fn option_view(text: String, option: u8, value: &RescueOption) -> OptionView {
    OptionView {
        option,
        kind: value.kind.word().to_owned(),
        text,
        feasible: value.may_be_chosen(),
        why_not: value.obstacle.as_ref().map(ToString::to_string),
        obstacle: value.obstacle.as_ref().map(obstacle_said),
        take_out_g: value.take_out.grams(),
        jar: None,
        still_empty: false,
        total_g: value.total.grams(),
        pours: pour_lines(value),
        shares: share_lines(value),
    }
}

/// Returns a way out of what is asked, as a person reads it.
pub(super) fn way_text(
    question: Option<&Question>,
    option: &RescueOption,
    planned: Mass,
) -> String {
    match question {
        Some(Question::TooThin { .. }) if option.kind == RescueKind::Accept => {
            "leave it as it is, thinner than wanted".to_owned()
        }
        _ => option_text(option, planned),
    }
}

/// Returns what a way out comes to.
pub(super) fn way_figures(option: &RescueOption) -> WayFigures {
    WayFigures {
        take_out_g: option.take_out.grams(),
        total_g: option.total.grams(),
        pours: pour_lines(option),
        shares: share_lines(option),
    }
}

pub(super) fn pour_lines(option: &RescueOption) -> Vec<PourLine> {
    let pours = option.pours.iter().map(|pour| PourLine {
        ingredient: pour.name.clone(),
        grams: pour.mass.grams(),
    });
    pours.collect()
}

fn share_lines(option: &RescueOption) -> Vec<ShareView> {
    let shares = option.shares.iter().map(|line| ShareView {
        ingredient: line.name.clone(),
        planned: line.planned.to_f64(),
        result: line.result.to_f64(),
        uncertainty: None,
    });
    shares.collect()
}

/// Returns what a question about ways out is about, in a word.
pub(super) const fn about_word(question: &Question) -> &'static str {
    match question {
        Question::Overshoot { .. } => "overshoot",
        Question::OffRatio { .. } => "off-ratio",
        Question::TooThin { .. } => "too-thin",
        Question::PouredUnseen { .. } => "poured-unseen",
        Question::AddedInHand { .. } => "added-in-hand",
        Question::Lighter { .. } => "lighter",
        Question::BottleLighter { .. } => "bottle-lighter",
        Question::ZeroLost { .. } => "zero-lost",
    }
}

pub(super) fn obstacle_said(obstacle: &Obstacle) -> ObstacleSaid {
    // As the text says it: up to the tenth of a millilitre that is certainly enough.
    let rounded_up = |microlitres: u64| millilitres(microlitres.div_ceil(100).saturating_mul(100));
    match obstacle {
        Obstacle::Jar { needs_ul, holds_ul } => ObstacleSaid::Jar {
            needs_ml: rounded_up(*needs_ul),
            holds_ml: rounded_up(*holds_ul),
        },
        Obstacle::JarWeight { needs, holds } => ObstacleSaid::JarWeight {
            needs_g: needs.grams(),
            holds_g: holds.grams(),
        },
        Obstacle::Stock { name, needs, has } => ObstacleSaid::Stock {
            ingredient: name.clone(),
            needs_g: needs.grams(),
            has_g: has.grams(),
        },
        Obstacle::TooMuchIn { name, makes, most } => ObstacleSaid::TooMuchIn {
            ingredient: name.clone(),
            makes_g: makes.grams(),
            most_g: most.grams(),
        },
        Obstacle::Outrun {
            name,
            enough_for,
            of,
            makes,
        } => ObstacleSaid::Outrun {
            ingredient: name.clone(),
            enough_for_g: enough_for.grams(),
            of: of.clone(),
            makes_g: makes.grams(),
        },
    }
}
