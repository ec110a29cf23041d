//! What a bench looks like: what is to be done, the steps, the question.

use std::time::Duration;

use tarehand_mixing::procedure::{Amount, Decanted, StepKind};
use tarehand_mixing::rescue::{RescueKind, RescueOption};
use tarehand_mixing::session::{
    BatchState, Book, BottleNow, JarPlace, Purpose, Question, Session, Slip, Task,
};
use tarehand_mixing::sizing::count_text;
use tarehand_mixing::tick::Tick;
use tarehand_protocol::Mass;
use tarehand_protocol::api::{
    BottleWord, Doing, OptionView, PourLine, QuestionView, ShareView, StepStatus, StepView,
};

use super::rescue::option_text;
use super::thinning;
use super::words::{grams, verdict_word};

/// Returns what is to be done now.
#[must_use]
pub fn doing(session: &Session, now: Tick) -> Doing {
    let book = session.book();
    match book.state() {
        BatchState::Complete => return Doing::Complete,
        BatchState::Aborted => return Doing::Aborted,
        BatchState::Paused => return Doing::Paused,
        BatchState::Held => return Doing::Answer,
        BatchState::Idle | BatchState::Running => {}
    }
    match (book.jar(), book.current()) {
        // With a bottle on the scale, and in steps that pour nothing, the jar need not be there.
        (_, Some(task)) if session.bottle_now().is_some() => task_doing(session, task, now),
        (JarPlace::Awaited | JarPlace::Beside { .. }, Some(task)) if !session.wants_jar() => {
            task_doing(session, task, now)
        }
        (JarPlace::Awaited, _) if session.asks_whether_jar_is_on() => Doing::ConfirmJar,
        (JarPlace::Awaited | JarPlace::Beside { .. }, Some(_)) => Doing::JarGone,
        (JarPlace::Awaited, _) if session.empty_pan_seen() => Doing::PutJar,
        (JarPlace::Awaited | JarPlace::Beside { .. }, _) => Doing::ClearPan,
        (JarPlace::Gone { .. }, _) => Doing::JarGone,
        (JarPlace::OnPan, Some(task)) => task_doing(session, task, now),
        (JarPlace::OnPan, None) => Doing::Nothing,
    }
}

/// Returns how long a timed step still takes, in milliseconds.
pub(super) fn left_ms(session: &Session, now: Tick) -> u64 {
    let left = session.due().map_or(Duration::ZERO, |due| due.since(now));
    u64::try_from(left.as_millis()).unwrap_or(u64::MAX)
}

/// Returns what is to be done in a task.
pub(super) fn task_doing(session: &Session, task: &Task, now: Tick) -> Doing {
    let book = session.book();
    let step = task.id.0;
    match book.step(task) {
        StepKind::Add(addition) => {
            let ingredient = addition.ingredient.name.clone();
            let target = task.target.unwrap_or_default();
            match &addition.amount {
                Amount::Counted { unit, each, .. } if task.purpose == Purpose::Planned => {
                    Doing::Count {
                        step,
                        ingredient,
                        count: count_text(target, *unit, *each),
                        expected_g: target.grams(),
                    }
                }
                Amount::Weighed { .. } | Amount::Counted { .. } => Doing::Pour {
                    step,
                    ingredient,
                    target_g: target.grams(),
                    within_g: book.within(task).unwrap_or_default().grams(),
                    extra: task.purpose == Purpose::TopUp,
                },
                Amount::Range { low, high } => Doing::PourBetween {
                    step,
                    ingredient,
                    low_g: low.grams(),
                    high_g: high.grams(),
                },
                Amount::ByEye => Doing::PourByEye {
                    step,
                    ingredient,
                    vessel: None,
                },
                Amount::Whole { vessel } => Doing::PourByEye {
                    step,
                    ingredient,
                    vessel: Some(vessel.clone()),
                },
            }
        }
        StepKind::Stir { time } => Doing::Stir {
            step,
            seconds: time.as_secs_f64(),
            left_ms: left_ms(session, now),
        },
        StepKind::Rest { time } => Doing::Rest {
            step,
            seconds: time.as_secs_f64(),
            left_ms: left_ms(session, now),
        },
        StepKind::Strain { through } => Doing::Strain {
            step,
            through: through.clone(),
        },
        StepKind::Look { expect } => Doing::Look {
            step,
            expect: expect.clone(),
        },
        StepKind::Trail { wanted_s } => Doing::Trail {
            step,
            wanted_s: *wanted_s,
        },
        StepKind::Thin {
            with, by, wanted_s, ..
        } => Doing::Thin {
            step,
            ingredient: with.name.clone(),
            by_g: by.grams(),
            at_most_g: book.most_thinner(task).map(Mass::grams),
            wanted_s: *wanted_s,
            splash_g: thinning::splash(session, task).map(Mass::grams),
            advice: thinning::advice_text(session),
            water: thinning::water_text(session),
        },
        StepKind::TakeOut { mass } => Doing::TakeOut {
            step,
            take_out_g: mass.grams(),
            taken_g: (Mass::ZERO - session.net().unwrap_or(task.poured)).grams(),
        },
        StepKind::Decant { into, .. } => Doing::Decant {
            step,
            decant_g: book.step(task).out().map(Mass::grams),
            decanted_g: (Mass::ZERO - session.net().unwrap_or(task.poured)).grams(),
            into: into.clone(),
        },
        StepKind::Note { text } => Doing::Note {
            step,
            text: text.clone(),
        },
    }
}

/// Returns what weighing out of a bottle waits for.
#[must_use]
pub fn bottle(session: &Session) -> Option<BottleWord> {
    if session.book().is_over() {
        return None;
    }
    Some(match session.bottle_now()? {
        BottleNow::SetJarAside => BottleWord::SetJarAside,
        BottleNow::TakeAway => BottleWord::TakeAway,
        BottleNow::Put => BottleWord::Put,
        BottleNow::Pour => BottleWord::Pour,
        BottleNow::InHand => BottleWord::InHand,
    })
}

/// Returns every step in the order of work.
#[must_use]
pub fn steps(book: &Book) -> Vec<StepView> {
    let current = book.current().map(|task| task.id);
    book.tasks()
        .map(|task| {
            let within = book.within(task);
            let status = match task.verdict {
                Some(_) => StepStatus::Done,
                None if Some(task.id) == current && !book.is_over() => StepStatus::Now,
                None => StepStatus::Open,
            };
            StepView {
                step: task.id.0,
                title: title(book, task),
                extra: task.purpose == Purpose::TopUp,
                target_g: task.target.map(Mass::grams),
                within_g: within.map(Mass::grams),
                widened: book.is_widened(task),
                poured_g: book.pours(task).map(|_| task.poured.grams()),
                status,
                verdict: task.verdict.map(verdict_word),
                note: book.procedure().steps[task.step].note.clone(),
                cautions: book
                    .pours(task)
                    .map(|ingredient| ingredient.cautions.clone())
                    .unwrap_or_default(),
            }
        })
        .collect()
}

/// Returns a task ready to read.
pub(super) fn title(book: &Book, task: &Task) -> String {
    match book.step(task) {
        StepKind::Add(addition) if task.purpose == Purpose::TopUp => {
            format!("more {}", addition.ingredient.name)
        }
        StepKind::Add(addition) => match &addition.amount {
            Amount::Whole { vessel } => format!("all of {vessel}"),
            Amount::Weighed { .. }
            | Amount::Counted { .. }
            | Amount::Range { .. }
            | Amount::ByEye => addition.ingredient.name.clone(),
        },
        StepKind::Stir { time } => format!("stir {}", seconds(*time)),
        StepKind::Rest { time } => format!("rest {}", seconds(*time)),
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

fn seconds(time: Duration) -> String {
    match time.as_secs() {
        whole if whole < 120 => format!("{} s", time.as_secs_f64()),
        whole if whole % 60 == 0 => format!("{} min", whole / 60),
        whole => format!("{} min {} s", whole / 60, whole % 60),
    }
}

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
            let over = task
                .map(|task| task.poured - task.target.unwrap_or_default())
                .unwrap_or_default();
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
        Question::TooThin { task, .. } => ("too-thin", thinning::question_text(book, *task)),
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
                let view = option_view(book, number, option);
                match question {
                    Question::TooThin { .. } if option.kind == RescueKind::Accept => OptionView {
                        text: "leave it as it is, thinner than wanted".to_owned(),
                        ..view
                    },
                    _ => view,
                }
            })
            .collect()
    });
    QuestionView {
        about: about.to_owned(),
        text,
        difference_g: difference.map(Mass::grams),
        options,
    }
}

fn option_view(book: &Book, option: u8, value: &RescueOption) -> OptionView {
    OptionView {
        option,
        kind: value.kind.word().to_owned(),
        text: option_text(value, book.planned()),
        feasible: value.may_be_chosen(),
        why_not: value.obstacle.as_ref().map(ToString::to_string),
        total_g: value.total.grams(),
        pours: value
            .pours
            .iter()
            .map(|pour| PourLine {
                ingredient: pour.name.clone(),
                grams: pour.mass.grams(),
            })
            .collect(),
        shares: value
            .shares
            .iter()
            .map(|line| ShareView {
                ingredient: line.name.clone(),
                planned: line.planned.to_f64(),
                result: line.result.to_f64(),
            })
            .collect(),
    }
}
