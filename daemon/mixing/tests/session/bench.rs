//! The world through the real settler into the session, as a bench would carry it.

use std::collections::BTreeMap;
use std::time::Duration;

use tarehand_mixing::session::{Command, Effect, Entry, Input, Limits, Refusal};
use tarehand_mixing::settler::{Reports, Settler, Signal};
use tarehand_mixing::weighing::Scale;
use tarehand_mixing::{Procedure, Tick};
use tarehand_protocol::{Mass, Reading};

use super::vessels::Vessels;
use super::witness::Witness;
use super::world::{Make, World};

pub(super) struct Bench {
    pub(super) world: World,
    pub(super) witness: Witness,
    pub(super) refusal: Option<Refusal>,
    settler: Settler,
    wake: Option<Tick>,
    told_division: bool,
    link: Link,
    /// What really went in, by ingredient.
    pub(super) truth: BTreeMap<String, Mass>,
    /// What really left the packs, by ingredient.
    pub(super) packs: BTreeMap<String, Mass>,
    pub(super) vessels: Vessels,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Link {
    Open,
    Silent,
    Gone,
}

impl Bench {
    pub(super) fn open(procedure: Procedure, make: Make, told_division: bool, dice: u64) -> Self {
        let world = World::new(make, dice);
        let division = told_division.then(|| world.division());
        let scale = Scale {
            division,
            capacity: None,
        };
        let mut bench = Self {
            settler: Settler::new(make.reports, division),
            world,
            witness: Witness::open(procedure, Limits::default(), scale),
            refusal: None,
            wake: None,
            told_division,
            link: Link::Open,
            truth: BTreeMap::new(),
            packs: BTreeMap::new(),
            vessels: Vessels::default(),
        };
        bench.signal(Signal::Opened);
        bench
    }

    fn now(&self) -> Tick {
        Tick::from_millis(self.world.now_ms)
    }

    /// Lets time pass, with readings where the link carries them.
    pub(super) fn run(&mut self, time: Duration) {
        let end = self.world.now_ms + u64::try_from(time.as_millis()).unwrap();
        while self.world.now_ms < end {
            let reading = self.world.pass(10);
            if let (Some(reading), Link::Open) = (reading, self.link) {
                self.signal(Signal::Reading(reading));
            }
            self.wake_up();
        }
    }

    fn wake_up(&mut self) {
        if self.settler.wake_at().is_some_and(|at| at <= self.now()) {
            self.signal(Signal::Wake);
        }
        if self.wake.is_some_and(|at| at <= self.now()) {
            self.wake = None;
            self.input(Input::Wake);
        }
    }

    pub(super) fn hear(&mut self, reading: Reading) {
        self.signal(Signal::Reading(reading));
    }

    fn signal(&mut self, signal: Signal) {
        for fact in self.settler.step(self.now(), signal) {
            self.input(Input::Fact(fact));
        }
        let division = self.settler.division();
        if division.is_some() && division != self.witness.book().scale().division {
            self.input(Input::Scale(Scale {
                division,
                capacity: None,
            }));
        }
    }

    pub(super) fn say(&mut self, command: Command) {
        self.refusal = None;
        self.input(Input::Command(command));
    }

    fn input(&mut self, input: Input) {
        self.witness.now = self.now();
        for effect in self.witness.step(input) {
            match effect {
                Effect::EmptyPan(gross) => self.settler.set_empty(gross),
                Effect::WakeAt(at) => self.wake = Some(self.wake.map_or(at, |wake| wake.min(at))),
                Effect::Refuse(refusal) => self.refusal = Some(refusal),
                Effect::Record(_) | Effect::Cue(_) | Effect::FineEmptyPan(_) => {}
            }
        }
    }

    /// Long enough for any weight to settle on this scale and for a dwell to run out.
    pub(super) fn rest(&mut self) {
        let periods = Duration::from_millis(self.world.make.period_ms * 5);
        let lag = Duration::from_millis(u64::from(self.world.make.lag_ms) * 12);
        self.run(periods.max(Duration::from_millis(1_800)) + lag + Duration::from_millis(1_800));
    }

    pub(super) fn cut(&mut self, link: Link) {
        self.link = link;
        if link == Link::Gone {
            self.signal(Signal::Gone);
        }
    }

    pub(super) fn open_again(&mut self) {
        let was = self.link;
        self.link = Link::Open;
        self.world.speak_again();
        if was == Link::Gone {
            self.signal(Signal::Opened);
        }
    }

    /// The service dies and starts again.
    pub(super) fn restart(&mut self) {
        let division = self.told_division.then(|| self.world.division());
        self.witness.restart();
        self.settler = Settler::new(self.world.make.reports, division);
        self.settler.set_empty(self.witness.book().empty());
        self.wake = self.witness.session.due();
        self.world.speak_again();
        self.signal(Signal::Opened);
    }

    /// The key of what the current task pours.
    pub(super) fn key(&self) -> Option<String> {
        let book = self.witness.book();
        let task = book.current()?;
        book.pours(task).map(|ingredient| ingredient.key.clone())
    }

    /// Pours at a steady flow, for whatever the batch stands at when the pour begins.
    pub(super) fn pour(&mut self, mass: Mass, mg_per_s: i64) {
        let Some(key) = self.key() else { return };
        if mass <= Mass::ZERO {
            return;
        }
        *self.packs.entry(key.clone()).or_default() += mass;
        *self.truth.entry(key).or_default() += mass;
        let step = Mass::from_micrograms(mg_per_s * 20);
        let mut left = mass;
        while Mass::ZERO < left {
            let drop = if left < step { left } else { step };
            if self.world.jar_is_on {
                self.world.let_fall(drop);
            } else {
                self.world.mix += drop;
            }
            left -= drop;
            self.run(Duration::from_millis(20));
        }
        self.run(Duration::from_millis(200));
    }

    pub(super) fn lift(&mut self) {
        self.world.jar_is_on = false;
    }

    pub(super) fn set_back(&mut self) {
        self.world.jar_is_on = true;
    }

    /// What the book believes to be in the jar, nothing foreign.
    pub(super) fn booked_mix(&self) -> Mass {
        let book = self.witness.book();
        book.last() - book.empty() - book.tare()
    }

    /// Sum of the sizes of all bookings since an entry.
    pub(super) fn booked_since(&self, entry: usize) -> Mass {
        self.witness.journal[entry..]
            .iter()
            .map(|record| match record.entry {
                Entry::Poured { before, after, .. }
                | Entry::PouredOut { before, after, .. }
                | Entry::Filled { before, after, .. }
                | Entry::Decanted { before, after, .. }
                | Entry::Changed { before, after, .. } => (after - before).abs(),
                _ => Mass::ZERO,
            })
            .sum()
    }

    pub(super) fn bookings(&self) -> usize {
        let booked = self.witness.journal.iter().filter(|record| {
            matches!(
                record.entry,
                Entry::Poured { .. }
                    | Entry::PouredOut { .. }
                    | Entry::Filled { .. }
                    | Entry::LaidOn { .. }
                    | Entry::BottlePlaced { .. }
                    | Entry::JarReturned { .. }
                    | Entry::Changed { .. }
                    | Entry::Decanted { .. }
                    | Entry::ZeroMoved { .. }
                    | Entry::Judged { .. }
            )
        });
        booked.count()
    }

    pub(super) fn is_fast(&self) -> bool {
        self.world.make.reports == Reports::Stream && self.world.make.period_ms <= 200
    }
}
