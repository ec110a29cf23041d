//! The simulated bench: a hand, a stream, a jar and a pan.

use std::time::Duration;

use tarehand_protocol::Mass;

use super::hand::{Deed, Hand};
use super::pan::Pan;
use super::plan::{PlanError, RehearsalPlan};
use super::script::{Script, Trouble, Turn};
use super::stream::Stream;
use super::text;
use super::wish::Wish;

/// The longest step in which the hand and the stream are computed.
const STEP: Duration = Duration::from_millis(5);

/// Where the jar is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum JarAt {
    /// Not on the pan.
    #[default]
    Hand,
    /// On the pan.
    Pan,
}

/// What is really so, which no scale can show.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Truth {
    /// What was poured into the jar and has landed, to the microgram.
    pub in_jar: Mass,
    /// What left the bottle and has not landed yet.
    pub in_the_air: Mass,
    /// Where the jar is.
    pub jar: JarAt,
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
    truth: Truth,
    jar_tare: Mass,
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
            jar_tare: plan.jar_tare,
            // Hand and pan draw from different streams of chance, so that one cannot disturb the other.
            hand: Hand::new(plan.habits, plan.seed),
            pan: Pan::new(plan.pan, !plan.seed),
            stream: Stream::default(),
            script: Script::new(plan.faults),
            truth: Truth::default(),
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
    pub const fn truth(&self) -> Truth {
        self.truth
    }

    /// Returns the bench time from one reading to the next.
    #[must_use]
    pub const fn period(&self) -> Duration {
        self.period
    }

    fn step(&mut self, time: Duration, wish: Wish) {
        let mut push = Mass::ZERO;
        match self.hand.advance(time, wish) {
            Some(Deed::Released(mass)) => self.stream.release(mass),
            Some(Deed::PutFreshJar) => {
                self.truth.in_jar = Mass::ZERO;
                self.truth.jar = JarAt::Pan;
            }
            Some(Deed::PutJarBack) => self.truth.jar = JarAt::Pan,
            Some(Deed::LiftedJar) => self.truth.jar = JarAt::Hand,
            Some(Deed::Pushed(mass)) => push = mass,
            None => {}
        }
        self.truth.in_jar += self.stream.advance(time);
        self.truth.in_the_air = self.stream.in_the_air();
        let load = match self.truth.jar {
            JarAt::Pan => self.jar_tare + self.truth.in_jar,
            JarAt::Hand => Mass::ZERO,
        };
        self.pan.advance(time, load + push);
    }
}
