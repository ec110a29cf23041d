//! How the trail falls with thinner.

use serde::{Deserialize, Serialize};

use super::measure::Measured;

/// How well a trail is timed by eye, in seconds: the reaction at both ends (*common practice*).
const TIMED_TO_S: f64 = 0.25;
/// Two jars whose thinner differs by less than this fraction say nothing about its effect (our own choice).
const APART: f64 = 0.002;
/// How uncertain the slope of one single earlier batch is (our own choice: a fifth).
const ONE_BATCH_SPREAD: f64 = 0.2;

/// What a model of the trail rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Basis {
    /// The trails measured in this very jar.
    ThisJar {
        /// How many were fitted.
        points: usize,
    },
    /// How earlier batches of the recipe answered to thinner, through the trails of this jar.
    EarlierBatches {
        /// How many batches.
        batches: usize,
    },
}

/// How the trail falls with thinner: `ln(trail) = at_none − slope × fraction`.
///
/// The fraction is the thinner's part of the jar by weight. It is a straight line through what is curved: good
/// between and near the trails it was fitted to, poor far beyond them; it knows of no temperature, no stirring and
/// no waiting. Trails of 0 are not fitted, since all they say is that the trail is below what can be timed; they
/// only bound how much is added. Everything here is an estimate, hence `f64`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thinning {
    /// The logarithm of the trail without thinner.
    at_none: f64,
    /// How fast the logarithm falls; always above zero.
    slope: f64,
    /// What it rests on.
    pub basis: Basis,
    /// How far the slope may be off, as a fraction of it: one standard deviation.
    ///
    /// From the scatter about the line, never below what the timing by eye gives; from the scatter among the
    /// batches for earlier ones.
    pub slope_spread: f64,
}

impl Thinning {
    /// Fits this jar's trails, by least squares; with only one kind of jar measured, the earlier batches' slope
    /// goes through it.
    ///
    /// `None` where neither serves: nothing was measured that can be fitted, or the trail did not fall.
    #[must_use]
    pub fn fit(points: &[Measured], earlier_slopes: &[f64]) -> Option<Self> {
        let timed: Vec<Timed> = points.iter().filter_map(Timed::of).collect();
        let middle = Timed::middle(&timed)?;
        Self::own(&timed, middle).or_else(|| Self::earlier(middle, earlier_slopes))
    }

    fn own(timed: &[Timed], middle: Timed) -> Option<Self> {
        let low = timed
            .iter()
            .map(|point| point.x)
            .fold(f64::INFINITY, f64::min);
        let high = timed.iter().map(|point| point.x).fold(0.0, f64::max);
        if high - low < APART {
            return None;
        }
        let across: f64 = timed.iter().map(|point| (point.x - middle.x).powi(2)).sum();
        let along: f64 = timed
            .iter()
            .map(|point| (point.x - middle.x) * (point.y - middle.y))
            .sum();
        let slope = -along / across;
        if !(slope.is_finite() && 0.0 < slope) {
            return None;
        }
        let by_timing: f64 = timed
            .iter()
            .map(|point| ((point.x - middle.x) * point.u).powi(2))
            .sum();
        let by_timing = by_timing.sqrt() / across;
        let at_none = middle.y + slope * middle.x;
        Some(Self {
            at_none,
            slope,
            basis: Basis::ThisJar {
                points: timed.len(),
            },
            slope_spread: by_timing.max(scatter(timed, at_none, slope, across)) / slope,
        })
    }

    fn earlier(middle: Timed, slopes: &[f64]) -> Option<Self> {
        let slopes: Vec<f64> = slopes
            .iter()
            .copied()
            .filter(|slope| slope.is_finite() && 0.0 < *slope)
            .collect();
        let count = estimate(slopes.len());
        if slopes.is_empty() {
            return None;
        }
        let slope = slopes.iter().sum::<f64>() / count;
        let scatter: f64 = slopes.iter().map(|one| (one - slope).powi(2)).sum();
        let slope_spread = match slopes.len() {
            1 => ONE_BATCH_SPREAD,
            _ => (scatter / (count - 1.0)).sqrt() / slope,
        };
        Some(Self {
            at_none: middle.y + slope * middle.x,
            slope,
            basis: Basis::EarlierBatches {
                batches: slopes.len(),
            },
            slope_spread,
        })
    }

    /// Returns the seconds expected at a thinner's fraction.
    #[must_use]
    pub fn trail_s(&self, fraction: f64) -> f64 {
        (self.at_none - self.slope * fraction).exp()
    }

    /// Returns the thinner's fraction at which a trail of so many seconds, above zero, is expected; below zero where
    /// the mix without any is thinner than that already.
    #[must_use]
    pub fn fraction_for(&self, seconds: f64) -> f64 {
        (self.at_none - seconds.ln()) / self.slope
    }

    /// Returns how much more of the jar must be thinner for the trail to fall from one number of seconds to another.
    #[must_use]
    pub fn way(&self, from_s: f64, to_s: f64) -> f64 {
        (from_s / to_s).ln() / self.slope
    }

    /// Returns how fast the logarithm of the trail falls with the thinner's fraction.
    #[must_use]
    pub const fn slope(&self) -> f64 {
        self.slope
    }
}

/// Returns the slope of a batch for those after it: only where its own trails gave one.
#[must_use]
pub fn earlier_slope(points: &[Measured]) -> Option<f64> {
    Thinning::fit(points, &[]).map(|thinning| thinning.slope)
}

/// Returns the standard error of the slope by the scatter about the line; 0 where two points leave none to see.
fn scatter(timed: &[Timed], at_none: f64, slope: f64, across: f64) -> f64 {
    if timed.len() < 3 {
        return 0.0;
    }
    let rest: f64 = timed
        .iter()
        .map(|point| (point.y - at_none + slope * point.x).powi(2))
        .sum();
    (rest / (estimate(timed.len()) - 2.0) / across).sqrt()
}

/// A trail that was timed, as a point of the line.
#[derive(Clone, Copy)]
struct Timed {
    /// The thinner's fraction.
    x: f64,
    /// The logarithm of the trail.
    y: f64,
    /// How uncertain that logarithm is by the timing alone.
    u: f64,
}

impl Timed {
    fn of(measured: &Measured) -> Option<Self> {
        Some(Self {
            x: measured.fraction(),
            y: measured.trail.ln_estimate()?,
            u: TIMED_TO_S / measured.trail.aim_s(),
        })
    }

    fn middle(timed: &[Self]) -> Option<Self> {
        let count = estimate(timed.len());
        let mean = |of: fn(&Self) -> f64| timed.iter().map(of).sum::<f64>() / count;
        (!timed.is_empty()).then(|| Self {
            x: mean(|point| point.x),
            y: mean(|point| point.y),
            u: mean(|point| point.u),
        })
    }
}

/// A count as a number to reckon with.
fn estimate(count: usize) -> f64 {
    f64::from(u32::try_from(count).unwrap_or(u32::MAX))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::measure::tests::measured;
    use super::*;

    #[track_caller]
    fn near(got: f64, expect: f64) {
        assert!(
            (got - expect).abs() <= 1e-5 * expect.abs().max(1.0),
            "{got}, {expect}"
        );
    }

    #[test]
    fn two_trails_of_this_jar_give_the_line_through_them() {
        // 8 s at 0, 4 s at one tenth: the logarithm falls by ln 2 in a tenth (computed by hand).
        let points = [measured(8.0, 0.0, 90.0), measured(4.0, 10.0, 100.0)];
        let thinning = Thinning::fit(&points, &[99.0]).unwrap();
        near(thinning.slope(), 2.0_f64.ln() / 0.1);
        near(thinning.trail_s(0.2), 2.0);
        near(thinning.fraction_for(2.0), 0.2);
        assert_eq!(thinning.basis, Basis::ThisJar { points: 2 });
        // √((¼/8)² + (¼/4)²) over a tenth, as a part of the slope (computed by hand).
        near(
            thinning.slope_spread,
            (0.031_25_f64.powi(2) + 0.062_5_f64.powi(2)).sqrt() / 2.0_f64.ln(),
        );
    }

    #[test]
    fn three_trails_are_fitted_by_least_squares_and_their_scatter_is_told() {
        // x 0, .1, .2 and y 2, 1.5, .4: slope −(.4 − 2)/.2 = 8, mean 1.3, so 2.1 at none; rests −.1, .2, −.1,
        // error √(.06/.02) = 1.7321 (computed by hand).
        let points = [(0.0, 2.0_f64), (10.0, 1.5), (20.0, 0.4)]
            .map(|(thinner, y)| measured(y.exp(), thinner, 100.0));
        let thinning = Thinning::fit(&points, &[]).unwrap();
        near(thinning.slope(), 8.0);
        near(thinning.trail_s(0.0), 2.1_f64.exp());
        near(thinning.slope_spread, 3.0_f64.sqrt() / 8.0);
    }

    #[test]
    fn one_trail_is_carried_on_by_earlier_batches() {
        let thinning = Thinning::fit(&[measured(8.0, 0.0, 90.0)], &[6.0, 8.0]).unwrap();
        assert_eq!(thinning.basis, Basis::EarlierBatches { batches: 2 });
        near(thinning.slope(), 7.0);
        near(thinning.slope_spread, 2.0_f64.sqrt() / 7.0);
        near(thinning.trail_s(0.0), 8.0);
    }

    #[test]
    fn nothing_is_known_where_nothing_was_timed_or_the_trail_did_not_fall() {
        assert_eq!(Thinning::fit(&[], &[7.0]), None);
        assert_eq!(Thinning::fit(&[measured(0.0, 5.0, 100.0)], &[7.0]), None);
        let rising = [measured(3.0, 0.0, 90.0), measured(4.0, 10.0, 100.0)];
        assert_eq!(Thinning::fit(&rising, &[]), None);
        assert_eq!(
            Thinning::fit(&[measured(3.0, 0.0, 90.0)], &[-1.0, f64::NAN]),
            None
        );
    }

    #[test]
    fn a_trail_of_zero_is_no_point_of_the_line() {
        let two = [measured(8.0, 0.0, 90.0), measured(4.0, 10.0, 100.0)];
        let three = [two[0], two[1], measured(0.0, 30.0, 120.0)];
        assert_eq!(Thinning::fit(&two, &[]), Thinning::fit(&three, &[]));
    }

    proptest! {
        #[test]
        fn more_thinner_is_never_expected_to_leave_a_longer_trail(
            trails in prop::collection::vec((0.0_f64..600.0, 0.0_f64..60.0), 0..6),
            slopes in prop::collection::vec(-5.0_f64..60.0, 0..3),
            one in 0.0_f64..0.9,
            more in 0.0_f64..0.1,
        ) {
            let points: Vec<Measured> = trails
                .into_iter()
                .map(|(seconds, thinner)| measured(seconds, thinner, 100.0 + thinner))
                .collect();
            if let Some(thinning) = Thinning::fit(&points, &slopes) {
                prop_assert!(thinning.trail_s(one + more) <= thinning.trail_s(one));
                prop_assert!(0.0 <= thinning.slope_spread);
            }
        }
    }
}
