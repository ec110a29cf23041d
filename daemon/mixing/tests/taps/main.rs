//! A study of taps: what is done to a pan ten thousand times of each kind, and what the detector makes of it.
//!
//! The scales and hands of `world` know nothing of the detector: forces in newtons' worth of grams over time, a scale
//! that averages, scatters, rounds and speaks at its own rate.
#![expect(
    clippy::unwrap_used,
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss,
    clippy::cast_sign_loss,
    reason = "numbers of a study, all small"
)]

mod world;

use rand::SeedableRng as _;
use rand_pcg::Pcg64Mcg;
use tarehand_mixing::tap::{Detector, Tap};
use tarehand_mixing::tick::Tick;
use tarehand_protocol::Mass;

use world::{Deed, Scale, readings};

const RUNS: u64 = 10_000;

/// What was found in a run of a deed: the taps, after a second at rest and with two seconds after it.
fn found(deed: Deed, seed: u64) -> Vec<Tap> {
    let mut chance = Pcg64Mcg::seed_from_u64(seed);
    let scale = Scale::any(&mut chance);
    let mut detector = Detector::default();
    let band = Mass::from_estimated_grams(scale.band_g());
    let mut taps = Vec::new();
    for (seconds, gross_g) in readings(&mut chance, scale, deed) {
        let at = Tick::from_micros((seconds * 1e6) as u64);
        let gross = Mass::from_estimated_grams(gross_g);
        taps.extend(detector.weight(at, gross, band));
    }
    taps
}

/// Counts the runs in which a deed was taken for these taps.
fn taken_for(deed: Deed, taps: &[Tap]) -> u64 {
    (0..RUNS)
        .filter(|&seed| found(deed, seed) == taps)
        .count()
        .try_into()
        .unwrap()
}

#[test]
fn at_least_99_of_100_single_taps_are_found() {
    let right = taken_for(Deed::Tap, &[Tap::Once]);
    assert!(RUNS * 99 <= right * 100, "{right} of {RUNS}");
    let wrong = taken_for(Deed::Tap, &[Tap::Twice]);
    assert_eq!(wrong, 0, "a single tap must never take something back");
}

#[test]
fn at_least_99_of_100_double_taps_are_found() {
    let right = taken_for(Deed::TwoTaps, &[Tap::Twice]);
    assert!(RUNS * 99 <= right * 100, "{right} of {RUNS}");
}

#[test]
fn no_pour_is_read_as_a_tap() {
    assert_eq!(taken_for(Deed::Pour, &[]), RUNS);
}

#[test]
fn no_drop_and_no_splash_is_read_as_a_tap() {
    assert_eq!(taken_for(Deed::Drop, &[]), RUNS);
}

// A slow swing of a soft table on a slow scale is nearly a push; it may say yes, and undo takes it back.
#[test]
fn of_200_bumps_of_the_table_not_one_is_read_as_a_tap() {
    let right = taken_for(Deed::Bump, &[]);
    assert!(RUNS * 199 < right * 200, "{right} of {RUNS}");
}

#[test]
fn nobody_who_leans_is_read_as_a_tap() {
    assert_eq!(taken_for(Deed::Lean, &[]), RUNS);
}

#[test]
fn no_jar_put_down_or_lifted_is_read_as_a_tap() {
    assert_eq!(taken_for(Deed::Jar, &[]), RUNS);
}
