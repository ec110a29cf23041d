//! The simulated hand of a rehearsal: what it is wished to do.
//!
//! The hand knows only wishes; here the session's state becomes one. It also presses what a person
//! would press: next after a look, a trail, a choice.

use std::time::Duration;

use tarehand_mixing::procedure::{Amount, CountUnit, StepKind};
use tarehand_mixing::ratio::Ratio;
use tarehand_mixing::rescue::RescueKind;
use tarehand_mixing::session::{
    Answer, BatchState, Book, Command, JarPlace, Purpose, Question, Session, ThinNow,
};
use tarehand_mixing::tick::Tick;
use tarehand_mixing::trail::Trail;
use tarehand_protocol::Mass;
use tokio::sync::watch;

use crate::links::rehearsal::Wish;

/// How long the simulated person reads a question or looks at the mix before answering (our own choice).
const THINKS: Duration = Duration::from_millis(2_500);
/// How long after the last drop the simulated person says next (our own choice).
const RESTS_HANDS: Duration = Duration::from_millis(2_000);
/// The longest the simulated person takes from one drop to the next, reaching for the bottle included.
const DROP: Duration = Duration::from_millis(1_300);
/// The trail a simulated person finds where the recipe wants none in particular, in seconds.
const USUAL_TRAIL_S: f64 = 3.0;

/// The person of a rehearsal.
#[derive(Debug)]
pub(super) struct Hand {
    wishes: watch::Sender<Wish>,
    since: Option<(Occasion, Tick)>,
    stop: bool,
}

/// What the person is thinking about; a new one takes its time anew.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Occasion {
    task: Option<u32>,
    state: BatchState,
    poured: Mass,
}

impl Hand {
    pub(super) const fn new(wishes: watch::Sender<Wish>) -> Self {
        Self {
            wishes,
            since: None,
            stop: false,
        }
    }

    /// Hears the stop cue: the hand stops until the pour is judged or begins anew.
    pub(super) fn hear_stop(&mut self) {
        self.stop = true;
        self.wishes.send_replace(Wish::StopNow);
    }

    /// Looks at the session, wishes, and returns what the person says, if anything.
    pub(super) fn look(&mut self, now: Tick, session: &Session) -> Option<Command> {
        let book = session.book();
        let task = book.current();
        let occasion = Occasion {
            task: task.map(|task| task.id.0),
            state: book.state(),
            poured: task.map_or(Mass::ZERO, |task| task.poured),
        };
        let since = match self.since {
            Some((known, since)) if known == occasion => since,
            _ => {
                self.stop = false;
                self.since = Some((occasion, now));
                now
            }
        };
        let thought = now.since(since);
        let wish = self.wish(session);
        self.wishes.send_if_modified(|known| {
            let newer = *known != wish;
            *known = wish;
            newer
        });
        self.word(now, session, thought)
            .inspect(|_| self.since = None)
    }

    fn wish(&self, session: &Session) -> Wish {
        let book = session.book();
        if book.weighs_out() {
            // The simulated pan carries a jar alone: this hand says at once that it weighs in it.
            return Wish::Wait;
        }
        match (book.state(), book.jar()) {
            (BatchState::Complete | BatchState::Aborted, _) => return Wish::Idle,
            (BatchState::Idle, JarPlace::Awaited) if session.empty_pan_seen() => {
                return Wish::PutJar;
            }
            (BatchState::Idle | BatchState::Held | BatchState::Paused, _) => return Wish::Wait,
            (BatchState::Running, JarPlace::Gone { .. }) => return Wish::PutJarBack,
            (BatchState::Running, JarPlace::Beside { .. }) => return Wish::PutJarBack,
            (BatchState::Running, JarPlace::OnPan | JarPlace::Awaited) => {}
        }
        let Some(task) = book.current() else {
            return Wish::Wait;
        };
        let net = session.net().unwrap_or(task.poured);
        let pour = |target: Mass| match self.stop {
            true => Wish::StopNow,
            false => Wish::Pour {
                addition: task.id.0,
                remaining: target - net,
            },
        };
        match book.step(task) {
            StepKind::Add(addition) => match &addition.amount {
                Amount::Counted {
                    unit: CountUnit::Drop,
                    each,
                    ..
                } if task.purpose == Purpose::Planned => {
                    let expected = task.target.unwrap_or_default();
                    let count = expected
                        .micrograms()
                        .checked_div(each.micrograms())
                        .unwrap_or(0);
                    Wish::CountDrops {
                        addition: task.id.0,
                        count: u32::try_from(count).unwrap_or(0).max(1),
                        drop: *each,
                    }
                }
                Amount::Weighed { .. } | Amount::Counted { .. } => {
                    pour(task.target.unwrap_or_default())
                }
                Amount::Range { .. } => pour(session.stop_at().unwrap_or_default()),
                // By eye the simulated person pours two grams: there is nothing to see.
                Amount::ByEye | Amount::Whole { .. } => pour(Mass::from_grams(2)),
            },
            StepKind::Thin { .. } => match session.thin_now() {
                Some(ThinNow::Splash { until, .. }) if !book.trails().is_empty() => pour(until),
                // The jar is measured before the first splash too.
                Some(
                    ThinNow::Splash { .. }
                    | ThinNow::Measure
                    | ThinNow::Right
                    | ThinNow::TooThin { .. }
                    | ThinNow::AtMost,
                )
                | None => Wish::Wait,
            },
            StepKind::Stir { .. }
            | StepKind::Rest { .. }
            | StepKind::Strain { .. }
            | StepKind::Look { .. }
            | StepKind::Trail { .. }
            | StepKind::TakeOut { .. }
            | StepKind::Decant { .. }
            | StepKind::Note { .. } => Wish::Wait,
        }
    }

    fn word(&self, now: Tick, session: &Session, thought: Duration) -> Option<Command> {
        let book = session.book();
        if thought < RESTS_HANDS {
            return None;
        }
        if book.weighs_out() && matches!(book.state(), BatchState::Idle | BatchState::Running) {
            return Some(Command::WeighIn);
        }
        match book.state() {
            BatchState::Held if THINKS <= thought => return Some(choice(book)),
            BatchState::Running => {}
            BatchState::Idle
            | BatchState::Held
            | BatchState::Paused
            | BatchState::Complete
            | BatchState::Aborted => return None,
        }
        let task = book.current()?;
        let poured = !task.poured.is_zero();
        match book.step(task) {
            StepKind::Add(addition) => match addition.amount {
                Amount::Counted { each, .. } => {
                    let count =
                        task.target.unwrap_or_default().micrograms() / each.micrograms().max(1);
                    let counted =
                        DROP.saturating_mul(u32::try_from(count).unwrap_or(u32::MAX)) + RESTS_HANDS;
                    (counted <= now.since(book.began())).then_some(Command::Next)
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
                (THINKS <= thought).then(|| Command::Trail(wanted_s.unwrap_or(USUAL_TRAIL_S)))
            }
            StepKind::Strain { .. }
            | StepKind::Look { .. }
            | StepKind::TakeOut { .. }
            | StepKind::Note { .. } => (THINKS <= thought).then_some(Command::Next),
            // The simulated hand has no other vessel: it leaves it out, and the record says so.
            StepKind::Decant { .. } => (THINKS <= thought).then_some(Command::Skip),
            StepKind::Stir { .. } | StepKind::Rest { .. } => None,
        }
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
