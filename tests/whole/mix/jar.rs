//! The jar that is lifted, comes back or stood there before, and the scale's own tare key.

use crate::bench::{Bench, JAR_UG, Poured, kinds, micrograms};

#[test]
fn a_jar_lifted_and_set_back_says_yes_where_something_is_looked_at() {
    let mut bench = Bench::new();
    bench.open("lime-wash.toml");
    bench.put_jar();
    let mut poured = vec![bench.pour_step(0)];
    bench.wait_doing("look");
    bench.scale.lift();
    bench.wait_doing("jar-gone");
    bench.scale.put_back();
    bench.wait_doing("stir");
    poured.extend(bench.pour_rest(0));
    let record = bench.check_grams(&poured);
    assert_eq!(record["state"], "complete");
    let seen = kinds(&record);
    assert!(
        seen.contains(&"load-gone") && seen.contains(&"jar-back"),
        "{seen:?}"
    );
}

#[test]
fn the_scales_own_tare_key_in_mid_batch_costs_no_gram() {
    let mut bench = Bench::new();
    bench.open("quarry-green.toml");
    bench.put_jar();
    let mut poured = vec![bench.pour_step(0)];
    bench.wait_doing("pour");
    bench.scale.press_tare();
    poured.extend(tared_rest(&mut bench));
    let record = bench.check_grams(&poured);
    assert_eq!(record["state"], "complete");
}

/// A scale that sends its net weight alone after its tare key: the person says so, and the pour goes on.
#[track_caller]
fn tared_rest(bench: &mut Bench) -> Vec<Poured> {
    bench.wait_doing("jar-gone");
    bench.tell(&["tared"]);
    bench.pour_rest(0)
}

#[test]
fn a_pour_explains_the_tare_key_as_well_as_a_word_does() {
    let mut bench = Bench::new();
    bench.open("lime-wash.toml");
    bench.put_jar();
    bench.wait_doing("pour");
    bench.scale.press_tare();
    bench.wait_doing("jar-gone");
    bench.pour(50_000_000);
    bench.wait_doing("look");
    bench.tell(&["next"]);
    let mut poured = vec![Poured {
        ingredient: "lime-putty".to_owned(),
        ug: 50_000_000,
    }];
    poured.extend(bench.pour_rest(0));
    let record = bench.check_grams(&poured);
    assert!(kinds(&record).contains(&"zero-moved"), "{record}");
}

#[test]
fn a_jar_that_comes_back_heavier_is_asked_about() {
    let mut bench = Bench::new();
    bench.open("lime-wash.toml");
    bench.put_jar();
    bench.wait_doing("pour");
    bench.pour(20_000_000);
    bench.wait_settled(20.0);
    bench.scale.lift();
    bench.wait_doing("jar-gone");
    bench.scale.pour_at_once(30_000_000);
    bench.scale.put_back();
    bench.wait_asked("added-in-hand");
    bench.tell(&["answer", "yes"]);
    bench.wait_doing("look");
    bench.tell(&["next"]);
    let putty = |ug| Poured {
        ingredient: "lime-putty".to_owned(),
        ug,
    };
    let mut poured = vec![putty(20_000_000), putty(30_000_000)];
    poured.extend(bench.pour_rest(0));
    bench.check_grams(&poured);
}

#[test]
fn a_pan_that_is_loaded_from_the_start_needs_a_word() {
    let mut bench = Bench::new();
    bench.scale.load(JAR_UG, 0);
    bench.open("lime-wash.toml");
    bench.wait_doing("confirm-jar");
    bench.tell(&["next"]);
    let mut poured = vec![bench.pour_step(0)];
    bench.wait_doing("look");
    bench.tell(&["next"]);
    poured.extend(bench.pour_rest(0));
    let record = bench.check_grams(&poured);
    assert_eq!(micrograms(&record["tare_g"]), JAR_UG);
}
