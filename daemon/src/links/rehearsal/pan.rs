//! The simulated load cell and its indicator.

use std::f64::consts::TAU;
use std::time::Duration;

use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rand_pcg::Pcg32;
use tarehand_protocol::{Mass, Motion};

use super::plan::PanSpec;

/// How long all must stay within one division to be called stable.
///
/// A default that makers of indicators publish; 0.6 to 5 s are seen.
const STABLE_AFTER: Duration = Duration::from_secs(1);

/// Divisions above capacity from which no weight is shown: 9 (OIML R 76, from memory).
const OVER_DIVISIONS: f64 = 9.0;

/// Share of the capacity that switching on may take for zero: 20 % (OIML R 76).
const POWER_ON_ZERO: f64 = 0.2;

/// How near zero, in divisions, zero tracking works: half a division (OIML R 76).
const TRACKING_DIVISIONS: f64 = 0.5;

/// How long zero takes to wander out and back: creep and drift go on for some 30 minutes.
const DRIFT_PERIOD: Duration = Duration::from_secs(30 * 60);

/// Noise is cut off here, in standard deviations, so that a bound of it can be stated: our own choice.
const NOISE_LIMIT: f64 = 3.0;

/// What an indicator shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shown {
    /// A weight.
    Weight {
        /// All that stands on the pan, rounded to the division.
        gross: Mass,
        /// Whether the indicator finds it stable.
        motion: Motion,
    },
    /// More than it can weigh.
    Over,
}

/// A pan on a load cell, and the indicator that reads it.
///
/// Masses inside are grams in `f64`: they are what the scale estimates, not what is on it.
#[derive(Clone, Debug)]
pub struct Pan {
    spec: PanSpec,
    chance: Pcg32,
    averaged_g: f64,
    zero_g: f64,
    age: Duration,
    drift_turn: f64,
    steady_at_g: f64,
    steady_for: Duration,
    unread: Duration,
}

impl Pan {
    /// Makes an empty pan at its zero.
    #[must_use]
    pub fn new(spec: PanSpec, seed: u64) -> Self {
        let mut chance = Pcg32::seed_from_u64(seed);
        // Which way zero wanders first.
        let drift_turn = if chance.random_bool(0.5) { 1.0 } else { -1.0 };
        Self {
            spec,
            chance,
            averaged_g: 0.0,
            zero_g: 0.0,
            age: Duration::ZERO,
            drift_turn,
            steady_at_g: 0.0,
            steady_for: Duration::ZERO,
            unread: Duration::ZERO,
        }
    }

    /// Lets time go by under a true load, which the average follows with the lag of the first order.
    pub fn advance(&mut self, time: Duration, load: Mass) {
        let lag_s = self.spec.lag.as_secs_f64();
        let share = if lag_s <= 0.0 {
            1.0
        } else {
            1.0 - (-time.as_secs_f64() / lag_s).exp()
        };
        self.averaged_g += (load.grams() - self.averaged_g) * share;
        self.age += time;
        self.unread += time;
    }

    /// Returns what is shown now; everything advanced since the last call belongs to this reading.
    pub fn read(&mut self) -> Shown {
        let time = std::mem::take(&mut self.unread);
        let division_g = self.spec.division.grams();
        self.track_zero(time);
        let noise: f64 = self.chance.sample(StandardNormal);
        let noise_g = noise.clamp(-NOISE_LIMIT, NOISE_LIMIT) * self.spec.noise_divisions;
        let weight_g = self.quiet_g() + noise_g * division_g;

        // Stable is measured from where the weight last left the band, so a creep of less than a division
        // a second is called stable, as real indicators do: nobody may rely on the head alone.
        if division_g < (weight_g - self.steady_at_g).abs() {
            self.steady_at_g = weight_g;
            self.steady_for = Duration::ZERO;
        } else {
            self.steady_for += time;
        }
        if self.spec.capacity.grams() + OVER_DIVISIONS * division_g < weight_g {
            return Shown::Over;
        }
        Shown::Weight {
            gross: Mass::from_estimated_grams(weight_g).rounded_to(self.spec.division),
            motion: if STABLE_AFTER <= self.steady_for {
                Motion::Stable
            } else {
                Motion::Moving
            },
        }
    }

    /// Switches the scale off and on: what is on the pan becomes its zero, within a fifth of its capacity.
    ///
    /// A heavier load leaves the old zero, as an indicator with a stored zero does.
    pub fn power_on(&mut self) {
        let load_g = self.averaged_g + self.drift_g();
        if load_g.abs() <= POWER_ON_ZERO * self.spec.capacity.grams() {
            self.zero_g = load_g;
        }
        self.steady_for = Duration::ZERO;
    }

    fn track_zero(&mut self, time: Duration) {
        let Some(divisions_per_s) = self.spec.zero_tracking else {
            return;
        };
        let division_g = self.spec.division.grams();
        let off_g = self.quiet_g();
        if off_g.abs() <= TRACKING_DIVISIONS * division_g {
            let most_g = divisions_per_s * division_g * time.as_secs_f64();
            self.zero_g += off_g.clamp(-most_g, most_g);
        }
    }

    /// The weight before noise and rounding.
    fn quiet_g(&self) -> f64 {
        self.averaged_g + self.drift_g() - self.zero_g
    }

    fn drift_g(&self) -> f64 {
        let turns = self.age.as_secs_f64() / DRIFT_PERIOD.as_secs_f64();
        let divisions = self.spec.drift_divisions * self.drift_turn * (TAU * turns).sin();
        divisions * self.spec.division.grams()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PERIOD: Duration = Duration::from_millis(100);

    fn quiet() -> PanSpec {
        PanSpec {
            noise_divisions: 0.0,
            drift_divisions: 0.0,
            ..PanSpec::default()
        }
    }

    /// Lets a load stand for so many readings and returns the grams shown.
    fn shown(pan: &mut Pan, load: Mass, readings: u32) -> Vec<f64> {
        let weights = (0..readings).map(|_| {
            pan.advance(PERIOD, load);
            match pan.read() {
                Shown::Weight { gross, .. } => gross.grams(),
                Shown::Over => f64::INFINITY,
            }
        });
        weights.collect()
    }

    // The definition of a first-order lag: after one time constant 1 − 1/e = 63.2 % of a step is seen, after
    // three 95.0 %.
    #[test]
    fn the_average_follows_a_step_with_a_first_order_lag() {
        let mut pan = Pan::new(quiet(), 1);
        let weights = shown(&mut pan, Mass::from_grams(1_000), 15);
        assert!((weights[4] - 632.1).abs() < 0.11, "{weights:?}");
        assert!((weights[14] - 950.2).abs() < 0.11, "{weights:?}");
    }

    // Standard error of a mean: σ/√n; variance of a uniform rounding error: 1/12 (textbook values).
    #[test]
    fn noise_has_the_asked_spread_and_averages_out() {
        let spec = PanSpec {
            noise_divisions: 2.0,
            lag: Duration::ZERO,
            ..quiet()
        };
        let mut pan = Pan::new(spec, 7);
        let divisions: Vec<f64> = shown(&mut pan, Mass::from_grams(100), 8_000)
            .iter()
            .map(|weight| (weight - 100.0) / 0.1)
            .collect();
        let mean = divisions.iter().sum::<f64>() / 8_000.0;
        let variance = divisions.iter().map(|d| (d - mean).powi(2)).sum::<f64>() / 8_000.0;
        assert!(mean.abs() < 4.0 * 2.0 / 8_000_f64.sqrt(), "mean {mean}");
        // Cutting at 3σ takes about 2.7 % off the variance.
        let expect = 4.0 * 0.973 + 1.0 / 12.0;
        assert!((variance - expect).abs() < 0.2, "variance {variance}");
    }

    #[test]
    fn drift_goes_both_ways_and_never_beyond_its_bound() {
        let spec = PanSpec {
            drift_divisions: 4.0,
            ..quiet()
        };
        let mut pan = Pan::new(spec, 3);
        shown(&mut pan, Mass::from_grams(50), 100);
        let weights = shown(&mut pan, Mass::from_grams(50), 40 * 600);
        let low = weights.iter().copied().fold(f64::INFINITY, f64::min);
        let high = weights.iter().copied().fold(0.0, f64::max);
        assert!(49.59 < low && low < 49.7, "{low}");
        assert!(50.3 < high && high < 50.41, "{high}");
        // Slow: no two readings differ by more than a division.
        assert!(
            weights
                .windows(2)
                .all(|pair| (pair[1] - pair[0]).abs() < 0.11)
        );
    }

    #[test]
    fn a_load_above_capacity_and_nine_divisions_is_no_weight() {
        let at = |load| {
            let mut pan = Pan::new(quiet(), 1);
            for _ in 0..100 {
                pan.advance(PERIOD, load);
            }
            pan.read()
        };
        assert!(matches!(
            at(Mass::from_milligrams(2_000_900)),
            Shown::Weight { .. }
        ));
        assert_eq!(at(Mass::from_milligrams(2_001_000)), Shown::Over);
    }

    #[test]
    fn stable_is_said_only_after_a_second_within_a_division() {
        let mut pan = Pan::new(quiet(), 1);
        let mut motions = Vec::new();
        for _ in 0..80 {
            pan.advance(PERIOD, Mass::from_grams(100));
            if let Shown::Weight { motion, gross } = pan.read() {
                motions.push((motion, gross));
            }
        }
        let first = motions
            .iter()
            .position(|(motion, _)| *motion == Motion::Stable)
            .unwrap();
        let (_, at) = motions[first];
        let a_second_before = motions[first - 10].1;
        assert!(
            (at - a_second_before).abs() <= Mass::from_milligrams(100),
            "{motions:?}"
        );
        assert!(
            motions[..10]
                .iter()
                .all(|(motion, _)| *motion == Motion::Moving)
        );
    }

    // Automatic zero tracking corrects up to half a division a second near zero (OIML R 76).
    #[test]
    fn zero_tracking_eats_slow_drops_on_an_empty_pan_and_spares_a_loaded_one() {
        let slow = |tare: Mass| {
            let spec = PanSpec {
                zero_tracking: Some(0.5),
                ..quiet()
            };
            let mut pan = Pan::new(spec, 1);
            let before = shown(&mut pan, tare, 100)[99];
            let mut load = tare;
            let mut after = before;
            // 0.3 d a second for a minute: 1.8 g.
            for _ in 0..600 {
                load += Mass::from_milligrams(3);
                after = shown(&mut pan, load, 1)[0];
            }
            after - before
        };
        assert!(slow(Mass::ZERO).abs() < 0.11);
        assert!((slow(Mass::from_grams(80)) - 1.8).abs() < 0.11);
    }

    #[test]
    fn switching_on_zeroes_up_to_a_fifth_of_the_capacity() {
        let after_power_on = |load| {
            let mut pan = Pan::new(quiet(), 1);
            shown(&mut pan, load, 100);
            pan.power_on();
            shown(&mut pan, load, 1)[0]
        };
        assert!(after_power_on(Mass::from_grams(399)).abs() < 0.05);
        assert!((after_power_on(Mass::from_grams(401)) - 401.0).abs() < 0.05);
    }
}
