//! The edge: a thread, a clock that runs fast, and channels.

use std::time::Duration;

use tarehand_mixing::Tick;
use tarehand_protocol::Mass;
use tokio::sync::{mpsc, watch};
use tokio::task::JoinHandle;
use tokio::time::timeout;
use tokio_util::sync::CancellationToken;

use super::bench::{JAR, Said, read};
use crate::clock::Clock;
use crate::links::rehearsal::{Fault, RehearsalLink, RehearsalPlan, Told, Trouble, Truth, Wish};
use crate::links::{Link, LinkEvent};

/// How many times as fast as the wall's the bench's clock runs.
const FAST: f64 = 200.0;

/// Longer than anything here takes on the slowest machine.
const DEADLINE: Duration = Duration::from_secs(30);

struct Running {
    told: watch::Sender<Told>,
    truth: watch::Receiver<Truth>,
    events: mpsc::Receiver<LinkEvent>,
    stop: CancellationToken,
    thread: JoinHandle<()>,
}

impl Running {
    fn start(plan: RehearsalPlan, queue: usize) -> Self {
        let (told, heard) = watch::channel(Told::default());
        let link = RehearsalLink::new(plan, heard).unwrap();
        let truth = link.truth();
        let (sender, events) = mpsc::channel(queue);
        let stop = CancellationToken::new();
        let stopped = stop.clone();
        let clock = Clock::starting_at(Tick::ZERO, FAST);
        let thread = tokio::task::spawn_blocking(move || {
            Box::new(link).run(clock, sender, stopped);
        });
        Self {
            told,
            truth,
            events,
            stop,
            thread,
        }
    }

    async fn next(&mut self) -> LinkEvent {
        timeout(DEADLINE, self.events.recv())
            .await
            .expect("an event before the deadline")
            .expect("the link runs")
    }

    async fn ends(self) {
        timeout(DEADLINE, self.thread)
            .await
            .expect("the link ends before the deadline")
            .unwrap();
    }
}

fn is_opened(event: &LinkEvent) -> bool {
    matches!(event, LinkEvent::Opened { .. })
}

#[tokio::test]
async fn a_link_opens_then_sends_a_line_each_period_and_does_as_is_wished() {
    let mut link = Running::start(RehearsalPlan::default(), 8);
    assert!(is_opened(&link.next().await));
    link.told.send_modify(|told| told.wish = Wish::Put(JAR));
    let mut last = Tick::ZERO;
    loop {
        let LinkEvent::Bytes { at, bytes } = link.next().await else {
            panic!("only bytes follow");
        };
        if last != Tick::ZERO {
            assert_eq!(at.since(last), Duration::from_millis(100));
        }
        last = at;
        if let Said::Weight { stable, gross } = read(&bytes)
            && stable
            && Mass::from_grams(80) < gross
        {
            break;
        }
    }
    assert_eq!(link.truth.borrow().on_pan, Some(JAR));
    link.stop.cancel();
    link.ends().await;
}

#[tokio::test]
async fn a_full_queue_makes_the_link_wait_and_stop_still_ends_it() {
    let mut link = Running::start(RehearsalPlan::default(), 1);
    // `Opened` fills the queue, so the first reading, whose truth is told before it, has to wait.
    timeout(DEADLINE, link.truth.changed())
        .await
        .expect("a first reading before the deadline")
        .unwrap();
    link.stop.cancel();
    link.ends().await;
}

#[tokio::test]
async fn a_link_ends_when_nobody_listens() {
    let mut link = Running::start(RehearsalPlan::default(), 1);
    assert!(is_opened(&link.next().await));
    link.events.close();
    while link.events.recv().await.is_some() {}
    link.ends().await;
}

#[tokio::test]
async fn a_pulled_cable_is_gone_and_then_opened_again() {
    let unplug = Fault {
        after: Duration::from_secs(2),
        trouble: Trouble::Unplug,
        lasts: Duration::from_secs(3),
    };
    let mut link = Running::start(
        RehearsalPlan {
            faults: vec![unplug],
            ..RehearsalPlan::default()
        },
        8,
    );
    assert!(is_opened(&link.next().await));
    while let LinkEvent::Bytes { bytes, .. } = link.next().await {
        read(&bytes);
    }
    // What ended the loop was `Gone`; nothing else comes before it is open again.
    assert!(is_opened(&link.next().await));
    assert!(matches!(link.next().await, LinkEvent::Bytes { .. }));
    link.stop.cancel();
    link.ends().await;
}

#[tokio::test]
async fn over_a_long_rest_time_leaps_and_the_bench_stands_as_it_was_left() {
    let mut link = Running::start(RehearsalPlan::default(), 8);
    assert!(is_opened(&link.next().await));
    let evening = Tick::from_millis(8 * 3_600_000);
    link.told
        .send_modify(|told| told.away_until = Some(evening));
    let back = loop {
        if let LinkEvent::Skipped { at } = link.next().await {
            break at;
        }
    };
    assert_eq!(back, evening);
    for reading in 0..3 {
        let LinkEvent::Bytes { at, .. } = link.next().await else {
            panic!("readings go on, and it leaps once");
        };
        assert_eq!(at, evening + Duration::from_millis(100) * reading);
    }
    link.stop.cancel();
    link.ends().await;
}
