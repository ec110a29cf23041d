//! On scales that write documented shapes, each in its own manner.

use tarehand_tests::{LIMIT, ScaleSetting};

use super::check_ratio;
use crate::bench::{Bench, kinds};

/// Five additions; the second a little too much, which is taken by the limit and mended by itself.
#[track_caller]
fn check(setting: &ScaleSetting, flags: &[&str]) {
    let mut bench = Bench::with(setting);
    let mix = bench.mix("quarry-green.toml", flags);
    if setting.reports == "on_change" {
        // What it said before it was read is not what it says now; it says more when something is laid on it.
        bench.wait("the scale to be read", |view| {
            view["scale"]["open"].as_bool().filter(|open| *open)
        });
        bench.scale.lay_beside(5_000_000);
        bench.wait_doing("confirm-jar");
        bench.scale.lay_beside(0);
    }
    bench.put_jar();
    let mut poured = vec![bench.pour_step(123_456), bench.pour_step(3_050_000)];
    poured.extend(bench.pour_rest(-98_765));
    let told = mix.finish(LIMIT).good();
    assert!(told.contains("Quarry green, 200.0 g"), "{told}");
    assert!(told.contains("Complete"), "{told}");
    assert_eq!(poured[2].ingredient, "base", "more of it became necessary");
    let record = bench.check_grams(&poured);
    assert_eq!(record["state"], "complete");
    assert_eq!(record["rehearsal"], false);
    assert!(kinds(&record).contains(&"rescued"), "{record}");
    check_ratio(&record);
}

fn profile(path: &str) -> String {
    let path = tarehand_tests::binaries::repository().join(path);
    path.to_str().unwrap().to_owned()
}

#[test]
fn a_batch_on_lines_with_heads_is_logged_as_poured() {
    check(&ScaleSetting::default(), &[]);
}

#[test]
fn a_batch_on_status_bytes_with_a_check_is_logged_as_poured() {
    let setting = ScaleSetting {
        shape: "status",
        division: "0.05",
        ..ScaleSetting::default()
    };
    let profile = profile("fixtures/scale/status-bytes-checked.toml");
    check(&setting, &["--profile", &profile]);
}

#[test]
fn a_batch_on_a_polled_scale_is_logged_as_poured() {
    let setting = ScaleSetting {
        shape: "polled",
        reports: "polled",
        ..ScaleSetting::default()
    };
    let profile = profile("fixtures/whole/line-status.toml");
    check(&setting, &["--profile", &profile]);
}

#[test]
fn a_batch_on_bare_numbers_with_a_told_unit_is_logged_as_poured() {
    let setting = ScaleSetting {
        shape: "bare",
        division: "0.01",
        ..ScaleSetting::default()
    };
    check(&setting, &["--unit", "g"]);
}

#[test]
fn a_batch_on_a_scale_that_speaks_on_change_is_logged_as_poured() {
    let setting = ScaleSetting {
        reports: "on_change",
        ..ScaleSetting::default()
    };
    let profile = profile("fixtures/whole/on-change.toml");
    check(&setting, &["--profile", &profile]);
}

#[test]
fn a_scale_that_speaks_every_two_seconds_is_waited_for() {
    let setting = ScaleSetting {
        rate_hz: 0.5,
        ..ScaleSetting::default()
    };
    let mut bench = Bench::with(&setting);
    bench.open("slow-wash.toml");
    bench.put_jar();
    let poured = bench.pour_rest(0);
    assert_eq!(poured.len(), 2);
    let record = bench.check_grams(&poured);
    let seen = kinds(&record);
    assert!(!seen.contains(&"scale-lost"), "{seen:?}");
}

#[test]
fn a_scale_that_sends_its_tare_along_may_be_tared_at_will() {
    let setting = ScaleSetting {
        shape: "status",
        ..ScaleSetting::default()
    };
    let mut bench = Bench::with(&setting);
    let profile = profile("fixtures/scale/status-bytes-checked.toml");
    let mix = bench.mix("quarry-green.toml", &["--profile", &profile]);
    bench.put_jar();
    let mut poured = vec![bench.pour_step(0)];
    bench.wait_doing("pour");
    bench.scale.press_tare();
    poured.extend(bench.pour_rest(0));
    let _told = mix.finish(LIMIT).good();
    let record = bench.check_grams(&poured);
    let seen = kinds(&record);
    assert!(
        !seen.contains(&"load-gone") && !seen.contains(&"zero-moved"),
        "{seen:?}"
    );
}
