//! What a rehearsal is made of.

use std::num::NonZeroU32;
use std::time::Duration;

use tarehand_protocol::Mass;

use super::script::Fault;
use super::text;

/// Everything that decides how a rehearsal goes, besides the wishes.
#[derive(Clone, Debug, PartialEq)]
pub struct RehearsalPlan {
    /// Where all chance comes from: the same seed gives the same run.
    pub seed: u64,
    /// What each empty jar weighs.
    pub jar_tares: Vec<Mass>,
    /// Readings a second of bench time; 10 by default (load-cell converters give 10 or 80).
    pub readings_per_second: NonZeroU32,
    /// The scale.
    pub pan: PanSpec,
    /// The person.
    pub habits: Habits,
    /// What goes wrong, in the order of time.
    pub faults: Vec<Fault>,
}

/// How the simulated scale weighs.
#[derive(Clone, Debug, PartialEq)]
pub struct PanSpec {
    /// The smallest step it shows, `d`.
    pub division: Mass,
    /// The most it weighs; it shows overload above this + 9 d.
    pub capacity: Mass,
    /// Time constant of its averaging.
    pub lag: Duration,
    /// Standard deviation of a quiet pan's readings before rounding, in divisions.
    pub noise_divisions: f64,
    /// How far zero wanders at most either way, in divisions.
    pub drift_divisions: f64,
    /// How fast the scale pulls a weight near zero to zero, in divisions a second; `None` for not at all.
    pub zero_tracking: Option<f64>,
}

/// How the simulated person works.
#[derive(Clone, Debug, PartialEq)]
pub struct Habits {
    /// What is poured; `None` lets the seed choose anew for every addition.
    pub liquid: Option<Liquid>,
    /// Share of pours, 0 to 1, that the person ends well short of the mark, to go on after a look.
    pub short_pours: f64,
    /// When the bottle slips.
    pub slips: Vec<Slip>,
}

/// How readily something pours.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Liquid {
    /// Like water or thinned varnish.
    Thin,
    /// Like paste or heavy paint.
    Thick,
}

/// The bottle slips: an overshoot to put right.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slip {
    /// Into which jar it pours then, counted from 0.
    pub jar: u32,
    /// Which poured addition of a jar, the first being 1; additions counted in drops are left out.
    pub pour: NonZeroU32,
    /// How far past the mark, in percent of what the addition asked for when it began.
    pub percent: f64,
}

/// Why a plan cannot be rehearsed.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// A scale without a division.
    #[error("the rehearsal scale's division is {0}; it must be more than 0 g")]
    Division(Mass),
    /// The scale's line has eight characters for the number.
    #[error(
        "the rehearsal scale's capacity of {capacity} does not fit its line at a division of {division}"
    )]
    Capacity {
        /// The capacity asked for.
        capacity: Mass,
        /// The division asked for.
        division: Mass,
    },
    /// A jar of less than nothing.
    #[error("the rehearsal jar weighs {0}; it cannot weigh less than nothing")]
    JarTare(Mass),
    /// A number that must be finite and not negative, or a share between 0 and 1.
    #[error("the rehearsal's {what} is {value}; it must be from 0 to {most}")]
    Number {
        /// Which number.
        what: &'static str,
        /// What was asked for.
        value: f64,
        /// The most that makes sense.
        most: f64,
    },
}

impl Default for RehearsalPlan {
    fn default() -> Self {
        Self {
            seed: 1,
            jar_tares: vec![Mass::from_milligrams(86_400)],
            readings_per_second: NonZeroU32::new(10).expect("ten is not zero"),
            pan: PanSpec::default(),
            habits: Habits::default(),
            faults: Vec::new(),
        }
    }
}

impl Default for PanSpec {
    /// A bench scale of 2 kg in steps of 0.1 g: our own choice, as are noise and drift.
    fn default() -> Self {
        Self {
            division: Mass::from_milligrams(100),
            capacity: Mass::from_grams(2_000),
            lag: Duration::from_millis(500),
            noise_divisions: 0.15,
            drift_divisions: 1.0,
            zero_tracking: None,
        }
    }
}

impl Default for Habits {
    /// One slip, so that a jar with two pours has an overshoot to put right.
    fn default() -> Self {
        Self {
            liquid: None,
            short_pours: 0.3,
            slips: vec![Slip {
                jar: 0,
                pour: NonZeroU32::new(2).expect("two is not zero"),
                percent: 12.0,
            }],
        }
    }
}

impl RehearsalPlan {
    /// Returns the bench time from one reading to the next.
    #[must_use]
    pub fn period(&self) -> Duration {
        Duration::from_secs(1) / self.readings_per_second.get()
    }

    /// Checks that the plan makes sense.
    ///
    /// # Errors
    /// When a mass or a number is out of its range; the message says which and why.
    pub fn check(&self) -> Result<(), PlanError> {
        let PanSpec {
            division, capacity, ..
        } = self.pan;
        if division <= Mass::ZERO {
            return Err(PlanError::Division(division));
        }
        if capacity < division || !text::fits(capacity, division) {
            return Err(PlanError::Capacity { capacity, division });
        }
        if let Some(tare) = self.jar_tares.iter().find(|tare| **tare < Mass::ZERO) {
            return Err(PlanError::JarTare(*tare));
        }
        let number = |what, value: f64, most| {
            if (0.0..=most).contains(&value) {
                Ok(())
            } else {
                Err(PlanError::Number { what, value, most })
            }
        };
        number("noise in divisions", self.pan.noise_divisions, 100.0)?;
        number("drift in divisions", self.pan.drift_divisions, 1_000.0)?;
        // OIML R 76 lets zero tracking correct at most 0.5 d a second.
        let tracking = self.pan.zero_tracking.unwrap_or(0.0);
        number("zero tracking in divisions a second", tracking, 0.5)?;
        number("share of short pours", self.habits.short_pours, 1.0)?;
        for slip in &self.habits.slips {
            number("slip in percent", slip.percent, 1_000.0)?;
        }
        Ok(())
    }
}
