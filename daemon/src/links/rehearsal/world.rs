//! The simulated bench: a hand, a stream, jars and bottles, and a pan.

use std::time::Duration;

use tarehand_protocol::Mass;

use super::hand::{Deed, Hand};
use super::pan::Pan;
use super::plan::{PlanError, RehearsalPlan};
use super::script::{Script, Trouble, Turn};
use super::stream::Stream;
use super::table::Table;
use super::text;
use super::wish::{Part, Vessel, Wish};

/// The longest step in which the hand and the stream are computed.
const STEP: Duration = Duration::from_millis(5);

/// What is really so, which no scale can show.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Truth {
    /// What was poured into each jar and has landed, without what was poured out again, to the microgram.
    pub in_jars: Vec<Mass>,
    /// What left the bottle and has not landed yet.
    pub in_the_air: Mass,
    /// What stands on the pan.
    pub on_pan: Option<Vessel>,
    /// For which addition nothing comes any more out of the jar of a premix.
    pub dry: Option<Part>,
}

impl Truth {
    /// Returns what is in a jar.
    #[must_use]
    pub fn in_jar(&self, jar: u32) -> Mass {
        let place = usize::try_from(jar).unwrap_or(usize::MAX);
        self.in_jars.get(place).copied().unwrap_or_default()
    }
}

/// What comes out of the simulated scale's cable.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Happening {
    /// The scale sent these bytes.
    Bytes(Vec<u8>),
    /// The cable was pulled.
    Unplugged,
    /// The cable is back.
    PluggedIn,
}

/// A simulated bench.
///
/// Deterministic: the same plan and the same wishes give the same bytes and the same truth.
#[derive(Clone, Debug)]
pub struct World {
    hand: Hand,
    stream: Stream,
    pan: Pan,
    script: Script,
    table: Table,
    on_pan: Option<Vessel>,
    /// The jar into which what is in the air falls.
    aim: u32,
    division: Mass,
    period: Duration,
}

impl World {
    /// Makes a bench with an empty pan.
    ///
    /// # Errors
    /// When the plan does not make sense.
    pub fn new(plan: RehearsalPlan) -> Result<Self, PlanError> {
        plan.check()?;
        Ok(Self {
            period: plan.period(),
            division: plan.pan.division,
            // Hand, pan and bottles draw from different streams of chance, so that one cannot disturb the other.
            table: Table::new(&plan.jar_tares, plan.seed.rotate_left(32)),
            on_pan: None,
            aim: 0,
            hand: Hand::new(plan.habits, plan.seed),
            pan: Pan::new(plan.pan, !plan.seed),
            stream: Stream::default(),
            script: Script::new(plan.faults),
        })
    }

    /// Lets one reading period go by under a wish, and returns what came out of the cable.
    ///
    /// While the cable is out or the scale is off, the hand goes on with what it is told.
    pub fn advance(&mut self, wish: Wish) -> Vec<Happening> {
        let mut left = self.period;
        while !left.is_zero() {
            let step = left.min(STEP);
            self.step(step, wish);
            left = left.saturating_sub(step);
        }
        // The indicator goes on measuring, whoever listens.
        let shown = self.pan.read();
        match self.script.advance(self.period) {
            Turn::Up | Turn::Ends(Trouble::Silence) => {
                vec![Happening::Bytes(text::render(shown, self.division))]
            }
            Turn::Begins(Trouble::Unplug) => vec![Happening::Unplugged],
            Turn::Ends(Trouble::Unplug) => vec![
                Happening::PluggedIn,
                Happening::Bytes(text::render(shown, self.division)),
            ],
            Turn::Ends(Trouble::PowerCycle) => {
                self.pan.power_on();
                vec![Happening::Bytes(text::BANNER.to_vec())]
            }
            Turn::Begins(Trouble::Silence | Trouble::PowerCycle) | Turn::Lasts => Vec::new(),
        }
    }

    /// Returns what is really so.
    #[must_use]
    pub fn truth(&self) -> Truth {
        Truth {
            in_jars: self.table.in_jars(),
            in_the_air: self.stream.in_the_air(),
            on_pan: self.on_pan,
            dry: self.hand.found_nothing_more(),
        }
    }

    /// Returns the bench time from one reading to the next.
    #[must_use]
    pub const fn period(&self) -> Duration {
        self.period
    }

    fn step(&mut self, time: Duration, wish: Wish) {
        let mut push = Mass::ZERO;
        match self.hand.advance(time, wish) {
            Some(Deed::Released { mass, from, into }) => self.release(mass, from, into),
            Some(Deed::Put(vessel)) => {
                self.table.fetch(vessel);
                self.on_pan = Some(vessel);
            }
            Some(Deed::PutFull(bottle)) => {
                self.table.fetch_full(bottle);
                self.on_pan = Some(bottle);
            }
            Some(Deed::Lifted) => self.on_pan = None,
            Some(Deed::Pushed(mass)) => push = mass,
            None => {}
        }
        let landed = self.stream.advance(time);
        self.table.add(self.aim, landed);
        let load = self
            .on_pan
            .map_or(Mass::ZERO, |vessel| self.table.weighs(vessel));
        self.pan.advance(time, load + push);
    }

    /// Something leaves a vessel; what is let out of a jar is gone.
    fn release(&mut self, mass: Mass, from: Option<Vessel>, into: Option<u32>) {
        let comes = match from {
            Some(vessel) => self.table.take(vessel, mass),
            None => mass,
        };
        if comes < mass {
            self.hand.see_nothing_more(mass - comes);
        }
        if let Some(jar) = into {
            self.aim = jar;
            self.stream.release(comes);
        }
    }
}
