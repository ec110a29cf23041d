//! What a bench looks like: what is to be done, the steps, the question.

use std::time::Duration;

use tarehand_mixing::amend;
use tarehand_mixing::procedure::{Amount, StepKind};
use tarehand_mixing::session::{BatchState, Book, BottleNow, JarPlace, Purpose, Session, Task};
use tarehand_mixing::sizing::Count;
use tarehand_mixing::tick::Tick;
use tarehand_protocol::Mass;
use tarehand_protocol::api::{BottleWord, Doing, StepStatus, StepView};

use super::action::{action, count_said, is_rescue, title};
use super::thinning;
use super::words::verdict_word;

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
        (JarPlace::Awaited, _) if session.empty_pan_seen() => match &book.procedure().amends {
            Some(amends) => Doing::ChangeJar {
                jar: amend::name(amends),
                instead: None,
            },
            None => Doing::PutJar,
        },
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
                    let count = Count::nearest(target, *unit, *each);
                    Doing::Count {
                        step,
                        ingredient,
                        count: count.map(|count| count.to_string()).unwrap_or_default(),
                        counted: count.as_ref().map(count_said),
                        expected_g: target.grams(),
                    }
                }
                Amount::Weighed { .. } | Amount::Counted { .. } => Doing::Pour {
                    step,
                    ingredient,
                    target_g: target.grams(),
                    within_g: book.within(task).unwrap_or_default().grams(),
                    extra: is_rescue(book, task),
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
        } => {
            let (now, limits) = (session.thin_now(), book.limits());
            let warning = session.water_warning();
            Doing::Thin {
                step,
                ingredient: with.name.clone(),
                by_g: by.grams(),
                at_most_g: book.most_thinner(task).map(Mass::grams),
                wanted_s: *wanted_s,
                splash_g: thinning::splash(session, task).map(Mass::grams),
                advice: now
                    .map(|now| thinning::advice_text(now, limits))
                    .unwrap_or_default(),
                advised: now.map(|now| thinning::advised(now, limits)),
                water: warning.as_ref().map(thinning::water_text),
                watered: warning.as_ref().map(thinning::watered),
            }
        }
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
                action: Some(action(book, task)),
                extra: is_rescue(book, task),
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
