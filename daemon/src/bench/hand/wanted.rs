//! From what the screen shows is to be done to a wish.

use tarehand_mixing::jars::{AtHand, Jars};
use tarehand_mixing::procedure::{Amount, CountUnit, Ingredient, StepKind};
use tarehand_mixing::session::{
    BatchState, Book, BottleNow, Purpose, Session, Task, TaskId, ThinNow,
};
use tarehand_mixing::tick::Tick;
use tarehand_protocol::Mass;
use tarehand_protocol::api::Doing;

use super::Hand;
use crate::api::translate;
use crate::links::rehearsal::{Part, Vessel, Wish};

/// By eye the simulated person pours two grams: there is nothing to see.
const BY_EYE: Mass = Mass::from_grams(2);

impl Hand {
    /// Returns what is wanted of the hand.
    pub(super) fn wanted(&mut self, now: Tick, jars: &Jars) -> Wish {
        let jar = match jars.at_hand() {
            AtHand::Jar(jar) => jar,
            AtHand::Bring { jar, .. } => return Wish::Put(jar_of(jar)),
            AtHand::Which { .. } if !self.sees_a_jar() => return Wish::ClearPan,
            AtHand::Which { .. } | AtHand::OutOfTurn { .. } | AtHand::Resting(_) => {
                return Wish::Wait;
            }
        };
        let session = &jars.sessions()[jar];
        match session.bottle_now().filter(|_| goes_on(session.book())) {
            Some(BottleNow::SetJarAside | BottleNow::TakeAway) => return Wish::ClearPan,
            // What the scale shows with nothing on it must be known first.
            Some(BottleNow::Put) if !is_pan_known(session) => return Wish::ClearPan,
            Some(bottle) => return self.with_bottle(jars, jar, bottle),
            None => {}
        }
        match translate::doing(session, now) {
            Doing::Complete | Doing::Aborted => Wish::Idle,
            Doing::PutJar | Doing::JarGone | Doing::ChangeJar { .. } => Wish::Put(jar_of(jar)),
            Doing::ClearPan | Doing::ConfirmJar => Wish::ClearPan,
            Doing::Pour { .. }
            | Doing::PourBetween { .. }
            | Doing::PourByEye { .. }
            | Doing::Count { .. }
            | Doing::Thin { .. }
            | Doing::Decant { .. } => self.at_jar(jars, jar),
            Doing::Nothing
            | Doing::Answer
            | Doing::Paused
            | Doing::Stir { .. }
            | Doing::Rest { .. }
            | Doing::Strain { .. }
            | Doing::Look { .. }
            | Doing::Trail { .. }
            | Doing::TakeOut { .. }
            | Doing::Note { .. } => Wish::Wait,
        }
    }

    /// The jar on the pan is worked at.
    fn at_jar(&self, jars: &Jars, jar: usize) -> Wish {
        let session = &jars.sessions()[jar];
        let book = session.book();
        let Some(task) = book.current() else {
            return Wish::Wait;
        };
        let part = part(jar, task.id);
        let net = session.net().unwrap_or(task.poured);
        if let StepKind::Decant { .. } = book.step(task) {
            let remaining = book.step(task).out().map(|out| out + net);
            return Wish::Decant { part, remaining };
        }
        let from = book
            .pours(task)
            .and_then(|poured| premix_jar(jars, jar, poured));
        if let Some((count, drop)) = drops(book, task) {
            return Wish::CountDrops {
                part,
                from: None,
                count,
                drop,
            };
        }
        match until(session, task) {
            None => Wish::Wait,
            Some(_) if self.stop.is_some() => Wish::StopNow,
            Some(until) => Wish::Pour {
                part,
                from,
                remaining: until - net,
            },
        }
    }

    /// What is weighed is a bottle, or the jar of a premix in its place.
    fn with_bottle(&mut self, jars: &Jars, jar: usize, bottle: BottleNow) -> Wish {
        let session = &jars.sessions()[jar];
        let book = session.book();
        let first = || book.tasks().find(|task| book.pours(task).is_some());
        let Some(task) = book.current().or_else(first) else {
            return Wish::Wait;
        };
        let Some(ingredient) = book.pours(task) else {
            return Wish::Wait;
        };
        let from = match premix_jar(jars, jar, ingredient) {
            Some(jar) => jar,
            None => self.bottle_of(&ingredient.key),
        };
        if bottle == BottleNow::Put {
            return Wish::Put(from);
        }
        let part = part(jar, task.id);
        if let Some((count, drop)) = drops(book, task) {
            return Wish::CountDrops {
                part,
                from: Some(from),
                count,
                drop,
            };
        }
        let Some(until) = until(session, task) else {
            return Wish::Wait;
        };
        Wish::PourOut {
            part,
            from,
            remaining: until - task.poured,
        }
    }

    fn bottle_of(&mut self, key: &str) -> Vessel {
        let known = self.bottles.iter().position(|known| known == key);
        let place = known.unwrap_or_else(|| {
            self.bottles.push(key.to_owned());
            self.bottles.len() - 1
        });
        Vessel::Bottle(u32::try_from(place).unwrap_or(u32::MAX))
    }

    fn sees_a_jar(&self) -> bool {
        matches!(self.seen.borrow().on_pan, Some(Vessel::Jar(_)))
    }
}

/// Returns an addition as the hand knows it.
pub(super) fn part(jar: usize, task: TaskId) -> Part {
    Part {
        jar: u32::try_from(jar).unwrap_or(u32::MAX),
        number: task.0,
    }
}

fn jar_of(jar: usize) -> Vessel {
    Vessel::Jar(u32::try_from(jar).unwrap_or(u32::MAX))
}

/// Returns whether a batch is being made and nothing is asked.
fn goes_on(book: &Book) -> bool {
    matches!(book.state(), BatchState::Idle | BatchState::Running)
}

fn is_pan_known(session: &Session) -> bool {
    session.empty_pan_seen() || session.book().current().is_some()
}

/// Returns the jar of this set in which a premix was made.
fn premix_jar(jars: &Jars, pours: usize, ingredient: &Ingredient) -> Option<Vessel> {
    let made = |session: &Session| {
        let place = session.book().procedure().of_set.as_ref();
        place.is_some_and(|place| place.key == ingredient.key)
    };
    let jar = jars.sessions().iter().position(made)?;
    (jar != pours).then(|| jar_of(jar))
}

/// Returns how many drops a step counts, and what one weighs.
pub(super) fn drops(book: &Book, task: &Task) -> Option<(u32, Mass)> {
    match &book.addition(task)?.amount {
        Amount::Counted {
            unit: CountUnit::Drop,
            each,
            ..
        } if task.purpose == Purpose::Planned => {
            let expected = task.target.unwrap_or_default().micrograms();
            let count = expected.checked_div(each.micrograms()).unwrap_or(0);
            Some((u32::try_from(count).unwrap_or(0).max(1), *each))
        }
        _ => None,
    }
}

/// Returns what a step has received when enough is poured; `None` where nothing is to be poured now.
fn until(session: &Session, task: &Task) -> Option<Mass> {
    match session.book().step(task) {
        StepKind::Add(addition) => Some(match &addition.amount {
            Amount::Weighed { .. } | Amount::Counted { .. } => task.target.unwrap_or_default(),
            Amount::Range { .. } => session.stop_at().unwrap_or_default(),
            Amount::ByEye | Amount::Whole { .. } => BY_EYE,
        }),
        StepKind::Thin { .. } => match session.thin_now() {
            // The jar is measured before the first splash too.
            Some(ThinNow::Splash { until, .. }) if !session.book().trails().is_empty() => {
                Some(until)
            }
            Some(
                ThinNow::Splash { .. }
                | ThinNow::Measure
                | ThinNow::Right
                | ThinNow::TooThin { .. }
                | ThinNow::AtMost,
            )
            | None => None,
        },
        StepKind::Stir { .. }
        | StepKind::Rest { .. }
        | StepKind::Strain { .. }
        | StepKind::Look { .. }
        | StepKind::Trail { .. }
        | StepKind::TakeOut { .. }
        | StepKind::Decant { .. }
        | StepKind::Note { .. } => None,
    }
}
