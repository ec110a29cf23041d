//! The rehearsal's thin edge: a link on the bench's clock.

use std::time::Duration;

use tarehand_mixing::Tick;
use tarehand_protocol::api::TroubleWord;
use tokio::runtime::Builder;
use tokio::sync::{mpsc, watch};
use tokio_util::sync::CancellationToken;

use super::plan::{PlanError, RehearsalPlan};
use super::wish::Wish;
use super::world::{Happening, Truth, World};
use crate::clock::Clock;
use crate::links::{Link, LinkEvent};

/// Behind by more than this on the wall's clock, the link lets the lost time go.
///
/// The simulated world stood still with the machine; it does not catch up on a night's suspend.
const STALL: Duration = Duration::from_secs(1);

/// What the simulated person is told, and what is told of them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Told {
    /// What is wanted of the hand.
    pub wish: Wish,
    /// Until when nothing is to be done: nobody stays at the bench for so long a rest.
    pub away_until: Option<Tick>,
}

/// A link to the simulated scale.
///
/// A reading's moment is the one at which it was due on the bench's clock, so that a fast clock
/// does not multiply the wall's small delays.
#[derive(Debug)]
pub struct RehearsalLink {
    world: World,
    told: watch::Receiver<Told>,
    truth: watch::Sender<Truth>,
}

impl RehearsalLink {
    /// Makes a link that does as the newest wish says.
    ///
    /// # Errors
    /// When the plan does not make sense.
    pub fn new(plan: RehearsalPlan, told: watch::Receiver<Told>) -> Result<Self, PlanError> {
        let world = World::new(plan)?;
        let truth = watch::Sender::new(world.truth());
        Ok(Self { world, told, truth })
    }

    /// Returns where to watch what is really in the jars.
    #[must_use]
    pub fn truth(&self) -> watch::Receiver<Truth> {
        self.truth.subscribe()
    }

    async fn rehearse(mut self, mut clock: Clock, events: mpsc::Sender<LinkEvent>) {
        if events.send(opened()).await.is_err() {
            return;
        }
        let period = self.world.period();
        let mut due = clock.now() + period;
        loop {
            let wait = clock.wall_until(due);
            if !wait.is_zero() {
                tokio::time::sleep(wait).await;
            }
            let Told { wish, away_until } = *self.told.borrow_and_update();
            if let Some(back) = away_until.filter(|back| due + period < *back) {
                // Time goes on while nobody is there, and the world stands as it was left.
                clock.leap_to(back);
                due = back;
                if events.send(LinkEvent::Skipped { at: due }).await.is_err() {
                    return;
                }
            }
            let happenings = self.world.advance(wish);
            // Before the bytes: who has the reading can already ask for the truth behind it.
            self.truth.send_replace(self.world.truth());
            for happening in happenings {
                if events.send(event(happening, due)).await.is_err() {
                    return;
                }
            }
            due = next_due(due, period, &clock);
        }
    }
}

impl Link for RehearsalLink {
    fn run(
        self: Box<Self>,
        clock: Clock,
        events: mpsc::Sender<LinkEvent>,
        stop: CancellationToken,
    ) {
        // A small runtime of its own lets the thread wait for the clock, the queue and `stop` at once.
        match Builder::new_current_thread().enable_time().build() {
            Ok(runtime) => {
                runtime.block_on(stop.run_until_cancelled_owned(self.rehearse(clock, events)));
            }
            Err(error) => {
                let gone = LinkEvent::Gone {
                    kind: TroubleWord::NotOpened,
                    why: format!("the rehearsal scale could not start: {error}"),
                    hint: Some("close other programs, then start the rehearsal again".to_owned()),
                };
                // Nobody listening is nobody to tell.
                drop(events.blocking_send(gone));
            }
        }
    }
}

fn opened() -> LinkEvent {
    LinkEvent::Opened {
        device: "the rehearsal scale".to_owned(),
        key: "rehearsal".to_owned(),
    }
}

fn event(happening: Happening, at: Tick) -> LinkEvent {
    match happening {
        Happening::Bytes(bytes) => LinkEvent::Bytes { at, bytes },
        Happening::Unplugged => LinkEvent::Gone {
            kind: TroubleWord::Unplugged,
            why: "the rehearsal scale is unplugged".to_owned(),
            hint: Some("nothing to do: the rehearsal plugs it in again by itself".to_owned()),
        },
        Happening::PluggedIn => opened(),
    }
}

fn next_due(due: Tick, period: Duration, clock: &Clock) -> Tick {
    let next = due + period;
    let now = clock.now();
    if now.since(next) <= STALL.mul_f64(clock.rate()) {
        next
    } else {
        now
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PERIOD: Duration = Duration::from_millis(100);

    #[test]
    fn readings_keep_their_period_however_late_the_thread_wakes() {
        let clock = Clock::starting_at(Tick::ZERO, 1.0);
        let due = Tick::from_millis(700);
        assert_eq!(next_due(due, PERIOD, &clock), Tick::from_millis(800));
    }

    #[test]
    fn after_a_night_of_suspend_the_lost_hours_are_let_go() {
        let morning = Tick::from_millis(8 * 3_600_000);
        let clock = Clock::starting_at(morning, 1.0);
        assert!(morning <= next_due(Tick::ZERO, PERIOD, &clock));
    }
}
