//! The link as a bench sees it, and the runtime of its thread.

use tokio::runtime::Builder;
use tokio::sync::mpsc;
use tokio_util::sync::CancellationToken;

use super::course::Course;
use super::freshness::Freshness;
use super::outlet::Outlet;
use super::plan::Plan;
use super::session::{Lasting, Session};
use crate::clock::Clock;
use crate::links::{Link, LinkEvent};

/// A scale on Bluetooth LE.
#[derive(Clone, Debug)]
pub struct RadioLink {
    plan: Plan,
}

impl RadioLink {
    /// Makes a link to the scale of a plan.
    #[must_use]
    pub const fn new(plan: Plan) -> Self {
        Self { plan }
    }
}

/// Whether a link goes on.
enum After {
    AnotherBus,
    Stopped,
}

impl Link for RadioLink {
    fn run(
        self: Box<Self>,
        clock: Clock,
        events: mpsc::Sender<LinkEvent>,
        stop: CancellationToken,
    ) {
        let mut lasting = Lasting {
            course: Course::new(self.plan.way()),
            freshness: Freshness::new(self.plan.rhythm, self.plan.piece),
            plan: self.plan,
            clock,
            outlet: Outlet::new(events.clone()),
            known: None,
        };
        loop {
            // One runtime for each connection to the bus: what a dead bus leaves behind goes with it.
            let runtime = match Builder::new_current_thread().enable_all().build() {
                Ok(runtime) => runtime,
                Err(error) => {
                    tracing::error!(%error, "no thread can hear a radio scale");
                    return;
                }
            };
            let after = runtime.block_on(async {
                let mut session = Session::default();
                let after = tokio::select! {
                    biased;
                    () = stop.cancelled() => After::Stopped,
                    () = events.closed() => After::Stopped,
                    () = session.run(&mut lasting) => After::AnotherBus,
                };
                if matches!(after, After::Stopped) {
                    session.farewell().await;
                }
                after
            });
            match after {
                After::Stopped => return,
                After::AnotherBus => {}
            }
        }
    }
}
