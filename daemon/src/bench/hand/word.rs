//! What the simulated person says: next after a look, a trail, a choice, which jar it is.

use std::time::Duration;

use tarehand_mixing::jars::{AtHand, Jars};
use tarehand_mixing::procedure::{Amount, StepKind};
use tarehand_mixing::ratio::Ratio;
use tarehand_mixing::rescue::RescueKind;
use tarehand_mixing::session::{
    Answer, BatchState, Book, BottleNow, Command, Question, Session, ThinNow,
};
use tarehand_mixing::trail::Trail;
use tarehand_protocol::Mass;

use super::wanted::part;
use super::{Hand, Spent};
use crate::links::rehearsal::Vessel;

/// How long the simulated person reads a question or looks at the mix before answering (our own choice).
const THINKS: Duration = Duration::from_millis(2_500);
/// How long after the last drop the simulated person says next (our own choice).
const RESTS_HANDS: Duration = Duration::from_millis(2_000);
/// The longest the simulated person takes from one drop to the next, reaching for the bottle included.
const DROP: Duration = Duration::from_millis(1_300);
/// The longest it takes to change what is on the pan for a bottle, and to set that back until the weight stands.
const CHANGES: Duration = Duration::from_secs(40);
/// After this a jar that was set down is known for what it is, or never will be (our own choice).
const STANDS: Duration = Duration::from_secs(12);
/// How long after what was let out is known the person says that this is all (our own choice).
const LETS_RUN: Duration = Duration::from_secs(15);
/// The trail a simulated person finds where the recipe wants none in particular, in seconds.
const USUAL_TRAIL_S: f64 = 3.0;

impl Hand {
    pub(super) fn word(&self, jars: &Jars, spent: Spent) -> Option<Command> {
        if spent.thought < RESTS_HANDS {
            return None;
        }
        let thought = THINKS <= spent.thought;
        let mistaken = jars.on_pan().filter(|&jar| self.sees_another(jar));
        if let Some(jar) = mistaken {
            let differs = jars.sessions()[jar].book().question();
            let differs = differs.is_some_and(|question| question.waiting().is_some());
            // It weighs about as much as the one that the screen takes it for, and nothing was poured in that hand.
            let no = differs.then_some(Command::Answer(Answer::No));
            let word = no.or_else(|| self.which(jars));
            return word.filter(|_| STANDS <= spent.thought);
        }
        match jars.at_hand() {
            AtHand::Jar(jar) => self.about_jar(&jars.sessions()[jar], jar, spent),
            AtHand::Which { .. } => self.which(jars).filter(|_| thought),
            AtHand::OutOfTurn { .. } => thought.then_some(Command::Next),
            AtHand::Bring { .. } | AtHand::Resting(_) => None,
        }
    }

    fn sees_another(&self, than: usize) -> bool {
        match self.seen.borrow().on_pan {
            Some(Vessel::Jar(jar)) => usize::try_from(jar).ok() != Some(than),
            Some(Vessel::Bottle(_)) | None => false,
        }
    }

    /// The person sees which jar they have set down.
    fn which(&self, jars: &Jars) -> Option<Command> {
        let Some(Vessel::Jar(jar)) = self.seen.borrow().on_pan else {
            return None;
        };
        let session = jars.sessions().get(usize::try_from(jar).ok()?)?;
        let place = session.book().procedure().of_set.as_ref()?;
        Some(Command::JarIs(place.key.clone()))
    }

    fn about_jar(&self, session: &Session, jar: usize, spent: Spent) -> Option<Command> {
        let book = session.book();
        let thought = THINKS <= spent.thought;
        match book.state() {
            BatchState::Held => return thought.then(|| choice(book)),
            BatchState::Running => {}
            BatchState::Idle | BatchState::Paused | BatchState::Complete | BatchState::Aborted => {
                return None;
            }
        }
        let task = book.current()?;
        if self.seen.borrow().dry == Some(part(jar, task.id)) && LETS_RUN <= spent.thought {
            return Some(Command::RanOut);
        }
        let poured = !task.poured.is_zero();
        match book.step(task) {
            StepKind::Add(addition) => match addition.amount {
                Amount::Counted { each, .. } => {
                    let target = task.target.unwrap_or_default();
                    (counts_for(target, each, session.bottle_now()) <= spent.at_step)
                        .then_some(Command::Next)
                }
                Amount::ByEye | Amount::Whole { .. } => poured.then_some(Command::Next),
                Amount::Weighed { .. } | Amount::Range { .. } => None,
            },
            StepKind::Thin { by, wanted_s, .. } => match session.thin_now()? {
                ThinNow::Splash { .. } if !book.trails().is_empty() => None,
                ThinNow::Splash { .. } | ThinNow::Measure => {
                    let thinner = as_planned(book, task.poured);
                    Some(Command::Trail(simulated_trail(thinner, *by, *wanted_s)))
                }
                ThinNow::Right | ThinNow::TooThin { .. } | ThinNow::AtMost => Some(Command::Next),
            },
            StepKind::Trail { wanted_s } => {
                thought.then(|| Command::Trail(wanted_s.unwrap_or(USUAL_TRAIL_S)))
            }
            StepKind::Strain { .. }
            | StepKind::Look { .. }
            | StepKind::TakeOut { .. }
            | StepKind::Note { .. } => thought.then_some(Command::Next),
            StepKind::Decant { .. } => {
                (poured && LETS_RUN <= spent.thought).then_some(Command::Next)
            }
            StepKind::Stir { .. } | StepKind::Rest { .. } => None,
        }
    }
}

/// Returns how long counting takes, with a bottle that comes to the pan and leaves it where one is weighed.
fn counts_for(target: Mass, each: Mass, bottle: Option<BottleNow>) -> Duration {
    let count = target.micrograms() / each.micrograms().max(1);
    let counts = DROP.saturating_mul(u32::try_from(count).unwrap_or(u32::MAX)) + RESTS_HANDS;
    match bottle {
        Some(_) => counts + CHANGES,
        None => counts,
    }
}
/// The thinner that would make the planned batch as thin as this makes the batch that a rescue made of it.
fn as_planned(book: &Book, thinner: Mass) -> Mass {
    let part = Ratio::from_mass(book.procedure().planned)
        .checked_div(&Ratio::from_mass(book.planned()))
        .unwrap_or_else(Ratio::one);
    (&part * &Ratio::from_mass(thinner)).to_mass()
}

/// The trail of a simulated mix: twice the wanted one without thinner, the wanted one after three of the recipe's splashes.
fn simulated_trail(thinner: Mass, by: Mass, wanted_s: Option<f64>) -> f64 {
    let wanted = wanted_s.unwrap_or(USUAL_TRAIL_S).max(Trail::SHORTEST_S);
    let splashes = thinner.grams() / by.grams().max(f64::MIN_POSITIVE);
    let seconds = wanted * 2.0_f64.powf(1.0 - splashes / 3.0);
    // Where none is wanted, nobody times what is so short.
    let none = wanted_s.is_some_and(|wanted| wanted <= 0.0) && seconds <= Trail::SHORTEST_S;
    if none {
        0.0
    } else {
        (seconds * 10.0).round() / 10.0
    }
}

/// The simulated hand only pours: of the ways out it takes the first that takes nothing out.
fn choice(book: &Book) -> Command {
    let options = book.question().and_then(Question::ways_out);
    let place = options.and_then(|(_, options)| {
        options
            .iter()
            .position(|option| option.may_be_chosen() && option.kind != RescueKind::TakeOut)
    });
    match place.and_then(|place| u8::try_from(place + 1).ok()) {
        Some(number) => Command::Answer(Answer::Option(number)),
        None => Command::Next,
    }
}
