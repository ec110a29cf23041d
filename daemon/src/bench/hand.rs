//! The simulated hand of a rehearsal: what it is wished to do, and what it says.
//!
//! The hand knows only wishes; here what the screen shows becomes one. It also presses what a person would press:
//! next after a look, a trail, a choice, which jar it set down.
//!
//! | file | idea |
//! |---|---|
//! | `wanted` | from what is to be done to a wish |
//! | `word` | what the person says |

mod wanted;
mod word;

use std::time::Duration;

use tarehand_mixing::jars::{AtHand, Jars};
use tarehand_mixing::procedure::StepKind;
use tarehand_mixing::session::{BatchState, BottleNow, Command, PanNow, Session};
use tarehand_mixing::tick::Tick;
use tarehand_protocol::Mass;
use tokio::sync::watch;

use crate::links::rehearsal::{Told, Truth, Wish};

/// A rest of which more than this is left is not waited for at the bench (our own choice).
const WORTH_LEAVING: Duration = Duration::from_secs(120);
/// How long a person looks at a jar that rests before leaving, and how long before its end they are back (our own choice).
const AT_REST: Duration = Duration::from_secs(10);
/// The screen shows no more of a vessel that was set down: after this it is lifted and set down once more (our own choice).
const TRIES_AGAIN: Duration = Duration::from_secs(30);
/// Until the pour that a cue stops is seen on the scale (our own choice).
const STOPS: Duration = Duration::from_secs(2);

/// The person of a rehearsal.
#[derive(Debug)]
pub(super) struct Hand {
    told: watch::Sender<Told>,
    /// What a person at the bench sees and no scale shows: which jar is on the pan, and that nothing comes out of one.
    seen: watch::Receiver<Truth>,
    since: Option<(Occasion, Tick)>,
    /// Since when this step of this jar is worked at.
    at_step: Option<((usize, Option<u32>), Tick)>,
    /// When the stop cue was heard, until it has done its work.
    stop: Option<Tick>,
    /// What the bottles on the table hold, in the order they were fetched.
    bottles: Vec<String>,
}

/// What the person is thinking about; a new one takes its time anew.
#[derive(Clone, Debug, PartialEq)]
struct Occasion {
    at_hand: AtHand,
    task: Option<u32>,
    state: BatchState,
    poured: Mass,
    bottle: Option<BottleNow>,
}

/// How long the person has been thinking, and working at this step.
#[derive(Clone, Copy, Debug)]
struct Spent {
    thought: Duration,
    at_step: Duration,
}

impl Hand {
    pub(super) const fn new(told: watch::Sender<Told>, seen: watch::Receiver<Truth>) -> Self {
        Self {
            told,
            seen,
            since: None,
            at_step: None,
            stop: None,
            bottles: Vec::new(),
        }
    }

    /// Hears the stop cue: the hand stops until the pour is judged or begins anew.
    pub(super) fn hear_stop(&mut self, now: Tick) {
        self.stop = Some(now);
        self.told.send_modify(|told| told.wish = Wish::StopNow);
    }

    /// Once the weight stands again the cue has done its work, and what is still missing may be poured.
    fn forget_stop(&mut self, now: Tick, session: &Session) {
        let stands = matches!(session.pan(), PanNow::Weight { settled: true, .. });
        let over = |heard: &mut Tick| stands && STOPS <= now.since(*heard);
        let _heard = self.stop.take_if(over);
    }

    /// Looks at the jars, wishes, and returns what the person says, if anything.
    pub(super) fn look(&mut self, now: Tick, jars: &Jars) -> Option<Command> {
        let session = &jars.sessions()[jars.shown()];
        let spent = self.spent(now, jars, session);
        self.forget_stop(now, session);
        let wish = match self.wanted(now, jars) {
            // Nothing followed from it: it is set down once more, as a person would.
            Wish::Put(_) if (spent.thought.as_secs() / TRIES_AGAIN.as_secs()) % 2 == 1 => {
                Wish::ClearPan
            }
            wish => wish,
        };
        let told = Told {
            wish,
            away_until: away_until(now, jars, session, spent.thought),
        };
        self.told.send_if_modified(|known| {
            let newer = *known != told;
            *known = told;
            newer
        });
        self.word(jars, spent).inspect(|_| self.since = None)
    }

    fn spent(&mut self, now: Tick, jars: &Jars, session: &Session) -> Spent {
        let book = session.book();
        let task = book.current();
        let occasion = Occasion {
            at_hand: jars.at_hand(),
            task: task.map(|task| task.id.0),
            state: book.state(),
            poured: task.map_or(Mass::ZERO, |task| task.poured),
            bottle: session.bottle_now(),
        };
        let step = (jars.shown(), occasion.task);
        let here = matches!(occasion.at_hand, AtHand::Jar(_));
        let at_step = match self.at_step {
            Some((known, since)) if known == step && here => since,
            _ => now,
        };
        self.at_step = Some((step, at_step));
        let since = match self.since.take() {
            Some((known, since)) if known == occasion => since,
            _ => {
                self.stop = None;
                now
            }
        };
        self.since = Some((occasion, since));
        Spent {
            thought: now.since(since),
            at_step: now.since(at_step),
        }
    }
}

/// Returns until when nobody need be at the bench: all that can be done is to let a jar rest, and for long.
fn away_until(now: Tick, jars: &Jars, session: &Session, thought: Duration) -> Option<Tick> {
    let book = session.book();
    let task = book.current()?;
    let rests = matches!(book.step(task), StepKind::Rest { .. });
    let waits = matches!(jars.at_hand(), AtHand::Jar(_) | AtHand::Resting(_))
        && book.state() == BatchState::Running;
    let back = now + session.due()?.since(now).saturating_sub(AT_REST);
    (rests && waits && AT_REST <= thought && WORTH_LEAVING < back.since(now)).then_some(back)
}

#[cfg(test)]
mod tests;
