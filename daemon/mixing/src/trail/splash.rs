//! How much more thinner to add, from the trails measured so far.

use tarehand_protocol::Mass;

use super::measure::{Measured, Trail, fraction};
use super::model::{Basis, Thinning};

/// How much of the predicted way one splash goes at most: too thin costs more than one more splash (our own choice).
const OF_THE_WAY: f64 = 0.8;
/// How many of the recipe's splashes are poured at once at most: a line is poor far from its points (our own choice).
const SPLASHES_AT_ONCE: i64 = 3;
/// One such part of the jar is tried where nothing tells how much mix brings a trail back (our own choice).
const TRIED_PART: i64 = 10;

/// What the recipe says about thinning, and what is left of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Allowance {
    /// The recipe's customary splash.
    pub by: Mass,
    /// What may still be added; `None` where the recipe sets no most.
    pub left: Option<Mass>,
}

/// Why a splash is as large as it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reason {
    /// The trails say so.
    Trails {
        /// Whose.
        basis: Basis,
        /// How far the way may be off, as a fraction of it: one standard deviation.
        spread: f64,
        /// The seconds expected after it.
        expected_s: f64,
    },
    /// It would be more, but for the limit at which much added water is warned of.
    WaterLimit,
    /// It is the recipe's splash: how this jar answers to thinner is not known yet.
    Recipe,
}

/// What to do about the trail.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Advice {
    /// Add so much more, then measure again.
    Splash {
        /// How much.
        grams: Mass,
        /// Why so much.
        reason: Reason,
    },
    /// The trail is right, as near as it can be timed.
    Right,
    /// It is too thin.
    TooThin {
        /// How much of the same mix without thinner brings it back.
        unthinned: Unthinned,
    },
    /// All that the recipe allows is in.
    AtMost,
}

/// How much of the same mix without thinner brings a trail back that is too short.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unthinned {
    /// So much, as the trails tell.
    Told(Mass),
    /// Nothing tells how much: a tenth of the jar, and then the trail is measured again (our own choice).
    Tried(Mass),
    /// None does: without any thinner the mix would still be thinner than wanted.
    Never,
}

impl Unthinned {
    /// Returns the grams to pour, where it helps.
    #[must_use]
    pub const fn mass(self) -> Option<Mass> {
        match self {
            Self::Told(mass) | Self::Tried(mass) => Some(mass),
            Self::Never => None,
        }
    }
}

/// Works out what to do after the last of `points`, which is the jar as it is.
///
/// The wanted trail is where the line gives it or where the last trail and the slope give it, whichever is nearer; the
/// splash goes four fifths of the way there, less where the slope is uncertain, and keeps to half the way to a
/// jar that left no trail.
#[must_use]
pub fn next_splash(
    points: &[Measured],
    wanted: Option<Trail>,
    allowance: Allowance,
    earlier_slopes: &[f64],
) -> Advice {
    let by_recipe = allowance.splash(allowance.by, Reason::Recipe);
    let (Some(now), Some(wanted)) = (points.last(), wanted) else {
        return by_recipe;
    };
    let over_s = now.trail.seconds() - wanted.seconds();
    if let Some(unthinned) = too_thin(points, now, wanted, earlier_slopes) {
        return Advice::TooThin { unthinned };
    }
    let right = match wanted.is_none_left() {
        true => now.trail.is_none_left(),
        false => over_s <= wanted.tolerance_s(),
    };
    if right {
        return Advice::Right;
    }
    let Some(thinning) = Thinning::fit(points, earlier_slopes) else {
        return by_recipe;
    };
    let here = now.fraction();
    let Some(way) = way(points, &thinning, wanted) else {
        return by_recipe;
    };
    let share = (here + way * OF_THE_WAY / (1.0 + thinning.slope_spread)).min(1.0);
    let most = Mass::from_micrograms(allowance.by.micrograms().saturating_mul(SPLASHES_AT_ONCE));
    let grams = to_reach(share, now).min(most);
    if grams <= Mass::ZERO {
        return by_recipe;
    }
    let grams = allowance.left.map_or(grams, |left| grams.min(left));
    let then = fraction(now.thinner + grams, now.jar + grams);
    let reason = Reason::Trails {
        basis: thinning.basis,
        spread: thinning.slope_spread,
        expected_s: now.trail.seconds() * (-thinning.slope() * (then - here)).exp(),
    };
    allowance.splash(grams, reason)
}

/// Returns how much more of the jar must become thinner; `None` where the trails see no way.
fn way(points: &[Measured], thinning: &Thinning, wanted: Trail) -> Option<f64> {
    let now = points.last()?;
    let here = now.fraction();
    let by_line = thinning.fraction_for(wanted.aim_s()) - here;
    let by_last = thinning.way(now.trail.seconds(), wanted.aim_s());
    // Where the line says it should be right by now, the trail just measured knows better.
    let way = match by_line {
        by_line if 0.0 < by_line => by_line.min(by_last),
        _ => by_last,
    };
    let none_left = points
        .iter()
        .filter(|point| point.trail.is_none_left() && !wanted.is_none_left())
        .map(|point| point.fraction() - here)
        .filter(|beyond| 0.0 < *beyond)
        .fold(f64::INFINITY, f64::min);
    let way = way.min(none_left / 2.0);
    (0.0 < way).then_some(way)
}

/// Returns the thinner that makes it this fraction of the jar: (w + m)/(J + m) = x.
fn to_reach(share: f64, now: &Measured) -> Mass {
    let grams = (share * now.jar.grams() - now.thinner.grams()) / (1.0 - share);
    Mass::from_estimated_grams(grams.max(0.0))
}

/// Returns what brings a jar back whose trail is shorter than wanted; `None` where it is not.
///
/// `now` is the jar as it is, with the trail measured last. The grams are those that make the thinner's fraction what
/// the wanted trail wants: w/(J + m) = x.
#[must_use]
pub fn too_thin(
    points: &[Measured],
    now: &Measured,
    wanted: Trail,
    earlier_slopes: &[f64],
) -> Option<Unthinned> {
    let over_s = now.trail.seconds() - wanted.seconds();
    let none_left = now.trail.is_none_left() && !wanted.is_none_left();
    if !(over_s < -wanted.tolerance_s() || none_left) {
        return None;
    }
    if now.thinner <= Mass::ZERO {
        return Some(Unthinned::Never);
    }
    let tried = Unthinned::Tried(Mass::from_micrograms(now.jar.micrograms() / TRIED_PART));
    let Some(thinning) = Thinning::fit(points, earlier_slopes) else {
        return Some(tried);
    };
    let share = thinning.fraction_for(wanted.aim_s());
    if share <= 0.0 {
        return Some(Unthinned::Never);
    }
    let grams = now.thinner.grams() / share - now.jar.grams();
    Some(if 0.0 < grams {
        Unthinned::Told(Mass::from_estimated_grams(grams))
    } else {
        // The line calls this jar right and its trail does not: they tell no amount.
        tried
    })
}

impl Allowance {
    /// Returns a splash within what is left.
    fn splash(self, grams: Mass, reason: Reason) -> Advice {
        let grams = self.left.map_or(grams, |left| grams.min(left));
        if grams <= Mass::ZERO {
            return Advice::AtMost;
        }
        Advice::Splash { grams, reason }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::measure::tests::measured;
    use super::*;

    fn trail(seconds: f64) -> Option<Trail> {
        Some(Trail::from_seconds(seconds).unwrap())
    }

    fn allow(by_g: f64, left_g: Option<f64>) -> Allowance {
        Allowance {
            by: Mass::from_estimated_grams(by_g),
            left: left_g.map(Mass::from_estimated_grams),
        }
    }

    #[track_caller]
    fn grams(advice: Advice) -> Mass {
        match advice {
            Advice::Splash { grams, .. } => grams,
            other => panic!("a splash is expected, not {other:?}"),
        }
    }

    #[test]
    fn with_nothing_known_it_is_the_recipes_splash() {
        let expect = Advice::Splash {
            grams: Mass::from_grams(2),
            reason: Reason::Recipe,
        };
        let allowance = allow(2.0, Some(9.0));
        assert_eq!(next_splash(&[], trail(3.0), allowance, &[7.0]), expect);
        let one = [measured(8.0, 0.0, 90.0)];
        assert_eq!(next_splash(&one, trail(3.0), allowance, &[]), expect);
        assert_eq!(next_splash(&one, None, allowance, &[7.0]), expect);
    }

    #[test]
    fn two_trails_of_this_jar_size_the_third_splash() {
        // 8 s at 0, 4 s at 10 of 100 g; 2 s is expected at one fifth. Spread of the slope .1008 (model's test), so
        // .8/1.1008 of a tenth: x = .17267, (.17267 × 100 − 10)/(1 − .17267) = 8.784 g (computed by hand).
        let points = [measured(8.0, 0.0, 90.0), measured(4.0, 10.0, 100.0)];
        let advice = next_splash(&points, trail(2.0), allow(10.0, None), &[]);
        assert_eq!(grams(advice).grams_text(2), "8.78");
        let Advice::Splash {
            reason: Reason::Trails {
                basis, expected_s, ..
            },
            ..
        } = advice
        else {
            panic!("the trails say so");
        };
        assert_eq!(basis, Basis::ThisJar { points: 2 });
        assert!((2.0..4.0).contains(&expected_s), "{expected_s}");
    }

    #[test]
    fn a_splash_is_never_more_than_three_of_the_recipes() {
        let points = [measured(80.0, 0.0, 99.0), measured(78.0, 1.0, 100.0)];
        assert_eq!(
            grams(next_splash(&points, trail(2.0), allow(1.5, None), &[])),
            Mass::from_milligrams(4_500)
        );
    }

    #[test]
    fn earlier_batches_size_the_first_splash() {
        let advice = next_splash(
            &[measured(8.0, 0.0, 90.0)],
            trail(4.0),
            allow(5.0, None),
            &[2.0_f64.ln() * 10.0],
        );
        // One tenth of the jar at most: 10 g would be the whole way.
        assert!(Mass::from_grams(5) < grams(advice) && grams(advice) < Mass::from_grams(8));
    }

    #[test]
    fn a_trail_within_what_can_be_timed_is_right() {
        for (seconds, wanted) in [(3.4, 3.0), (2.6, 3.0), (43.0, 40.0), (0.0, 0.0)] {
            let advice = next_splash(
                &[measured(seconds, 5.0, 100.0)],
                trail(wanted),
                allow(1.0, None),
                &[],
            );
            assert_eq!(advice, Advice::Right, "{seconds} s, wanted {wanted}");
        }
    }

    #[test]
    fn too_thin_is_brought_back_by_the_mix_without_thinner() {
        // 4 s is expected at one tenth, and 20 of 110 g are thinner: 20/.1 − 110 = 90 g (computed by hand).
        let points = [
            measured(8.0, 0.0, 90.0),
            measured(4.0, 10.0, 100.0),
            measured(8.0 * 2.0_f64.powf(-20.0 / 11.0), 20.0, 110.0),
        ];
        let advice = next_splash(&points, trail(4.0), allow(1.0, Some(50.0)), &[]);
        let Advice::TooThin {
            unthinned: Unthinned::Told(mass),
        } = advice
        else {
            panic!("too thin is expected, not {advice:?}");
        };
        assert_eq!(mass.grams_text(2), "90.00");
    }

    #[test]
    fn a_jar_that_leaves_none_is_brought_back_by_the_trails_before() {
        let points = [
            measured(8.0, 0.0, 90.0),
            measured(4.0, 10.0, 100.0),
            measured(0.0, 30.0, 120.0),
        ];
        let advice = next_splash(&points, trail(4.0), allow(1.0, None), &[]);
        let Advice::TooThin {
            unthinned: Unthinned::Told(mass),
        } = advice
        else {
            panic!("too thin is expected, not {advice:?}");
        };
        assert_eq!(mass.grams_text(2), "180.00");
        assert_eq!(
            next_splash(&points[2..], trail(4.0), allow(1.0, None), &[]),
            Advice::TooThin {
                unthinned: Unthinned::Tried(Mass::from_grams(12))
            },
            "with nothing else known a tenth of the jar is tried"
        );
    }

    #[test]
    fn a_mix_too_thin_without_any_thinner_is_not_brought_back_by_more_of_it() {
        for points in [
            vec![measured(2.0, 0.0, 90.0)],
            vec![measured(2.0, 0.0, 90.0), measured(1.0, 10.0, 100.0)],
        ] {
            let advice = next_splash(&points, trail(4.0), allow(1.0, None), &[]);
            let unthinned = Unthinned::Never;
            assert_eq!(advice, Advice::TooThin { unthinned });
        }
    }

    #[test]
    fn a_jar_that_left_none_is_kept_away_from() {
        // Brought back with 60 g of mix: 30 of 180 g. None was left at one quarter; half the way there at most.
        let points = [measured(0.0, 30.0, 120.0), measured(9.0, 30.0, 180.0)];
        let advice = next_splash(&points, trail(3.0), allow(100.0, None), &[1.0]);
        let Advice::Splash { grams, .. } = advice else {
            panic!("a splash is expected, not {advice:?}");
        };
        let then = fraction(Mass::from_grams(30) + grams, Mass::from_grams(180) + grams);
        assert!(then < (30.0 / 180.0 + 0.25) / 2.0, "{then}");
    }

    #[test]
    fn all_that_is_allowed_being_in_is_said() {
        let points = [measured(8.0, 9.0, 90.0)];
        assert_eq!(
            next_splash(&points, trail(3.0), allow(1.5, Some(0.0)), &[7.0]),
            Advice::AtMost
        );
        assert_eq!(
            grams(next_splash(&points, trail(3.0), allow(1.5, Some(0.4)), &[])),
            Mass::from_milligrams(400)
        );
    }

    proptest! {
        #[test]
        fn a_splash_is_above_zero_and_never_past_the_most_nor_the_predicted_way(
            first in 0.1_f64..600.0,
            falls in prop::collection::vec((0.05_f64..1.2, 0.1_f64..20.0), 0..5),
            wanted in 0.0_f64..60.0,
            by in 0.1_f64..20.0,
            left in prop::option::of(0.0_f64..50.0),
            slopes in prop::collection::vec(-1.0_f64..40.0, 0..3),
        ) {
            let mut points = vec![measured(first, 0.0, 100.0)];
            let (mut seconds, mut thinner) = (first, 0.0);
            for (factor, splash) in falls {
                seconds = (seconds * factor).min(600.0);
                thinner += splash;
                points.push(measured(seconds, thinner, 100.0 + thinner));
            }
            let allowance = allow(by, left);
            let advice = next_splash(&points, trail(wanted), allowance, &slopes);
            let now = points.last().unwrap();
            match advice {
                Advice::Splash { grams, reason } => {
                    prop_assert!(Mass::ZERO < grams);
                    prop_assert!(allowance.left.is_none_or(|left| grams <= left));
                    if let Reason::Trails { expected_s, .. } = reason {
                        prop_assert!(wanted.max(Trail::SHORTEST_S) <= expected_s + 1e-6, "{expected_s}");
                        prop_assert!(expected_s <= now.trail.seconds() + 1e-9);
                    }
                }
                Advice::TooThin { unthinned } => {
                    prop_assert!(unthinned.mass().is_none_or(|mass| Mass::ZERO < mass));
                }
                Advice::AtMost => prop_assert!(allowance.left.is_some_and(Mass::is_zero)),
                Advice::Right => {}
            }
        }
    }
}
