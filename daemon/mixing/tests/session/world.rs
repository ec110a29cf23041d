//! A pan, a jar, and a scale that averages, flickers, drifts and falls silent.
//!
//! Its own arithmetic, in whole micrograms and milliseconds; nothing of the program under test is used but the form of a reading.

use tarehand_mixing::settler::Reports;
use tarehand_protocol::{Basis, Decimal, Mass, MassUnit, Motion, NoWeight, Reading, Sent, Weighed};

/// How a scale behaves.
#[derive(Clone, Copy, Debug)]
pub(super) struct Make {
    pub(super) reports: Reports,
    pub(super) period_ms: u64,
    pub(super) division_mg: i64,
    /// The time constant of its averaging, in milliseconds; 0 = none.
    pub(super) lag_ms: u32,
    /// The standard deviation of a quiet reading, in hundredths of a division.
    pub(super) noise: u32,
    /// Whether it says "moving" and "stable".
    pub(super) says_motion: bool,
}

/// The pan and what stands on it.
#[derive(Clone, Debug)]
pub(super) struct World {
    pub(super) make: Make,
    pub(super) now_ms: u64,
    /// What the jar holds, whoever knows of it.
    pub(super) mix: Mass,
    pub(super) jar_is_on: bool,
    /// The bottle or cup on the pan, with what is in it; nothing where there is none.
    pub(super) bottle: Mass,
    /// Anything else on the pan.
    pub(super) other: Mass,
    zero_ug: f64,
    shown_ug: f64,
    falling: Vec<(u64, Mass)>,
    said: Option<(i64, bool)>,
    next_ms: u64,
    dice: u64,
}

/// Of a weight that no target has: a pour after the tare key that weighs just what the jar did looks like the jar.
pub(super) const JAR: Mass = Mass::from_milligrams(53_730);

impl World {
    pub(super) fn new(make: Make, dice: u64) -> Self {
        Self {
            make,
            now_ms: 0,
            mix: Mass::ZERO,
            jar_is_on: false,
            bottle: Mass::ZERO,
            other: Mass::ZERO,
            zero_ug: 0.0,
            shown_ug: 0.0,
            falling: Vec::new(),
            said: None,
            next_ms: 0,
            dice,
        }
    }

    /// Something leaves the bottle now and arrives in the jar a little later.
    pub(super) fn let_fall(&mut self, mass: Mass) {
        self.falling.push((self.now_ms + 150, mass));
    }

    pub(super) fn is_falling(&self) -> bool {
        !self.falling.is_empty()
    }

    pub(super) fn load(&self) -> Mass {
        self.other
            + self.bottle
            + if self.jar_is_on {
                JAR + self.mix
            } else {
                Mass::ZERO
            }
    }

    /// The scale counts from what stands on it now: its own tare, or its zero when it is switched on.
    pub(super) fn take_zero(&mut self) {
        self.shown_ug = micrograms(self.load());
        self.zero_ug = self.shown_ug;
        self.said = None;
    }

    pub(super) fn drift(&mut self, divisions: f64) {
        self.zero_ug += divisions * self.division_ug();
    }

    /// The scale that was off or away begins to speak at once.
    pub(super) fn speak_again(&mut self) {
        self.said = None;
        self.next_ms = self.now_ms;
    }

    pub(super) fn division(&self) -> Mass {
        Mass::from_milligrams(self.make.division_mg)
    }

    /// How far a settled weight may be from the truth: a division and the noise.
    pub(super) fn fuzz(&self) -> Mass {
        let division = self.division().micrograms();
        Mass::from_micrograms(division * 3 / 2 + division * 4 * i64::from(self.make.noise) / 100)
    }

    fn division_ug(&self) -> f64 {
        micrograms(self.division())
    }

    /// A millisecond step of at most 10 ms; returns what the scale says, if it says something then.
    pub(super) fn pass(&mut self, ms: u64) -> Option<Reading> {
        self.now_ms += ms;
        let now = self.now_ms;
        let landed: Mass = self
            .falling
            .iter()
            .filter(|drop| drop.0 <= now)
            .map(|drop| drop.1)
            .sum();
        self.falling.retain(|drop| now < drop.0);
        self.mix += landed;
        let target = micrograms(self.load());
        let part = if self.make.lag_ms == 0 {
            1.0
        } else {
            1.0 - (-f64::from(u32::try_from(ms).unwrap()) / f64::from(self.make.lag_ms)).exp()
        };
        self.shown_ug += (target - self.shown_ug) * part;
        if now < self.next_ms {
            return None;
        }
        self.next_ms = now + self.make.period_ms;
        let noise = self.scatter() * f64::from(self.make.noise) / 100.0;
        let steps = ((self.shown_ug - self.zero_ug) / self.division_ug() + noise).round();
        let steps = whole(steps);
        let moving = self.division_ug() < (target - self.shown_ug).abs() || self.is_falling();
        match self.make.reports {
            Reports::Stream => {}
            Reports::OnChange if self.said == Some((steps, moving)) => return None,
            Reports::OnChange => {}
            // One report for each weighing that has come to rest.
            Reports::Finished if moving || self.said.is_some_and(|said| said.0 == steps) => {
                return None;
            }
            Reports::Finished => {}
        }
        self.said = Some((steps, moving));
        Some(self.reading(steps, moving))
    }

    /// A reading that has nothing to do with what stands on the pan.
    pub(super) fn spike(&self, mass: Mass) -> Reading {
        self.reading(mass.micrograms() / self.division().micrograms(), false)
    }

    pub(super) const fn no_weight(why: NoWeight) -> Reading {
        Reading::NoWeight(why)
    }

    fn reading(&self, steps: i64, moving: bool) -> Reading {
        // The last digit is the division's, as on a display.
        let decimals = match self.make.division_mg {
            10 => 2,
            100 => 1,
            _ => 0,
        };
        let sent = Sent::Single(Decimal::new(steps, decimals).unwrap(), MassUnit::Gram);
        let motion = match (
            self.make.says_motion || self.make.reports == Reports::OnChange,
            moving,
        ) {
            (false, _) => Motion::Unknown,
            (true, false) => Motion::Stable,
            (true, true) => Motion::Moving,
        };
        Reading::Weight(Weighed {
            gross: sent.mass().unwrap(),
            sent,
            basis: Basis::Gross,
            motion,
        })
    }

    /// Chance, for a person who has no reason to choose.
    pub(super) const fn dice_is_even(&self) -> bool {
        self.now_ms.is_multiple_of(20)
    }

    /// Roughly normal with a deviation of one: the sum of twelve even dice less six.
    fn scatter(&mut self) -> f64 {
        (0..12).map(|_| self.roll()).sum::<f64>() - 6.0
    }

    /// Evenly from 0 to 1: the multiplier and increment of Knuth's MMIX generator, from memory.
    fn roll(&mut self) -> f64 {
        self.dice = self
            .dice
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(self.dice >> 32).unwrap()) / f64::from(u32::MAX)
    }
}

fn micrograms(mass: Mass) -> f64 {
    mass.grams() * 1e6
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a display has far fewer steps than fit"
)]
fn whole(steps: f64) -> i64 {
    steps as i64
}
