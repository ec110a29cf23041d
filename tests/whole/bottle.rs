//! A batch weighed out of its bottles: the jar never stands on the scale.

use serde_json::{Value, json};

use crate::bench::{Bench, kinds, micrograms};

/// An empty bottle.
const BOTTLE_UG: i64 = 25_000_000;

/// Waits until this is to be done with the bottle, and returns the view.
#[track_caller]
fn wait_bottle(bench: &Bench, what: &str) -> Value {
    bench.wait(&format!("the bottle: `{what}`"), |view| {
        (view["bottle"] == what).then(|| view.clone())
    })
}

/// Lifts the bottle, pours so much of it into the jar and sets it back.
fn pour_in_hand(bench: &mut Bench, ug: i64) {
    bench.scale.lift();
    let _view = wait_bottle(bench, "in-hand");
    bench.scale.take(ug);
    bench.scale.put_back();
}

#[track_caller]
fn wait_poured(bench: &Bench, step: usize, grams: f64) {
    bench.wait(&format!("{grams} g in step {step}"), |view| {
        let poured = view["steps"][step]["poured_g"].as_f64()?;
        ((poured - grams).abs() < 0.25).then_some(())
    });
}

fn booked(record: &Value, key: &str) -> i64 {
    let mut contents = record["contents"].as_array().unwrap().iter();
    let line = contents.find(|line| line["ingredient"] == key).unwrap();
    micrograms(&line["poured_g"])
}

#[test]
fn a_batch_too_big_for_the_scale_is_weighed_out_of_its_bottles_across_a_kill() {
    let mut bench = Bench::new();
    let _mix = bench.mix("tall-vat.toml", &[]);
    let _view = bench.wait_doing("put-jar");
    bench.scale.load(BOTTLE_UG, 400_000_000);
    let view = wait_bottle(&bench, "pour");
    assert_eq!(view["doing"]["ingredient"], "base");
    pour_in_hand(&mut bench, 90_000_000);
    wait_poured(&bench, 0, 90.0);
    assert_eq!(bench.view()["steps"][0]["status"], "now");
    // The service is killed with the bottle in the hand, and 50 g leave it meanwhile.
    bench.scale.lift();
    let _view = wait_bottle(&bench, "in-hand");
    bench.restart();
    bench.scale.take(50_000_000);
    bench.scale.put_back();
    bench.wait("the end of the first step", |view| {
        (view["steps"][0]["status"] == "done").then_some(())
    });
    // The bottle of the step before leaves, and the next one comes after the stir.
    bench.scale.lift();
    bench.wait("the second addition", |view| {
        (view["doing"]["what"] == "pour" && view["bottle"] == "put").then_some(())
    });
    bench.scale.load(BOTTLE_UG, 300_000_000);
    let _view = wait_bottle(&bench, "pour");
    let refused = bench.say(&json!({"command": "weigh-out"}));
    assert_eq!(refused.status, 409);
    pour_in_hand(&mut bench, 60_123_456);
    let _view = bench.wait_doing("complete");
    let record = bench.record();
    assert!(
        (booked(&record, "base") - 140_000_000).abs() <= 200_000,
        "{record}"
    );
    assert!(
        (booked(&record, "white") - 60_123_456).abs() <= 100_000,
        "{record}"
    );
    assert!(!kinds(&record).contains(&"jar-placed"), "{record}");
    assert_eq!(record["state"], "complete");
}

#[test]
fn the_person_sets_the_jar_aside_for_one_addition_and_it_is_known_when_it_comes_back() {
    let mut bench = Bench::new();
    let _mix = bench.mix("quarry-green.toml", &[]);
    bench.put_jar();
    let _first = bench.pour_step(0);
    bench.wait("the second addition", |view| {
        (view["doing"]["ingredient"] == "green-paste").then_some(())
    });
    let said = bench.tell(&["bottle"]);
    assert!(said.contains("Set the jar beside the scale"), "{said}");
    // The double has one jar: what is in it now is loaded again when it comes back.
    bench.scale.lift();
    let _view = wait_bottle(&bench, "put");
    bench.scale.load(BOTTLE_UG, 200_000_000);
    let _view = wait_bottle(&bench, "pour");
    pour_in_hand(&mut bench, 50_000_000);
    let _view = wait_bottle(&bench, "take-away");
    bench.scale.lift();
    let _view = bench.wait_doing("jar-gone");
    bench.scale.load(crate::bench::JAR_UG, 150_000_000);
    let poured = bench.pour_rest(0);
    assert_eq!(poured.len(), 3);
    let record = bench.record();
    assert!(
        (booked(&record, "green-paste") - 50_000_000).abs() <= 200_000,
        "{record}"
    );
    assert!(
        (booked(&record, "white") - 30_000_000).abs() <= 200_000,
        "{record}"
    );
    assert!(kinds(&record).contains(&"jar-returned"), "{record}");
}
