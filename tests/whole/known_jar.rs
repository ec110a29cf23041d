//! A finished jar is known by its weight while nothing is being made.

use serde_json::{Value, json};
use tarehand_tests::{LIMIT, wait_for};

use crate::bench::{Bench, JAR_UG};

/// One ingredient, so that two jars of it weigh alike.
fn recipe(name: &str, grams: u32) -> String {
    format!(
        "[recipe]\nname = \"{name}\"\nmakes = \"{grams} g\"\nwithin = \"0.5 g\"\n[[step]]\nadd = \"slip\"\namount = \"{grams} g\"\n"
    )
}

/// Makes a batch, and returns its mark.
fn make(bench: &mut Bench, name: &str, grams: u32) -> String {
    let _view = bench.open_batch("thin-coat", &recipe(name, grams));
    bench.put_jar();
    let _poured = bench.pour_step(0);
    let view = bench.wait_doing("complete");
    bench.scale.lift();
    bench.wait_gross(0.0);
    view["batch"].as_str().unwrap().to_owned()
}

fn asked(bench: &Bench) -> Value {
    let answer = bench.service.client().get("/v1/benches/bench/jar");
    answer.with_status(200).json()
}

/// Waits until so much is settled, and returns the marks of the jars it may be.
#[track_caller]
fn marks(bench: &Bench, grams: f64) -> Vec<String> {
    let answer = wait_for("a settled weight", LIMIT, || {
        let answer = asked(bench);
        let near = (answer["gross_g"].as_f64()? - grams).abs() < 0.06;
        near.then_some(answer)
    });
    let fits = answer["fits"].as_array().unwrap().iter();
    fits.map(|jar| jar["mark"].as_str().unwrap().to_owned())
        .collect()
}

#[test]
fn a_finished_jar_on_the_pan_is_known_and_two_alike_are_both_told() {
    let mut bench = Bench::new();
    bench.attach();
    let grey = make(&mut bench, "Slip, grey", 40);
    let pale = make(&mut bench, "Slip, pale", 55);
    bench.scale.load(JAR_UG, 40_000_000);
    assert_eq!(marks(&bench, 100.0), std::slice::from_ref(&grey));
    let told = bench.tell(&["status"]);
    let line = format!("bench: on the pan is the jar of Slip, grey, {grey}\n");
    assert!(told.contains(&line), "{told}");
    bench.scale.load(JAR_UG, 55_000_000);
    assert_eq!(marks(&bench, 115.0), [pale]);
    bench.scale.load(JAR_UG, 47_000_000);
    assert_eq!(marks(&bench, 107.0), [""; 0]);
    bench.scale.lift();
    let again = make(&mut bench, "Slip, grey", 40);
    bench.scale.load(JAR_UG, 40_000_000);
    let mut both = marks(&bench, 100.0);
    both.sort();
    let mut wanted = [grey, again];
    wanted.sort();
    assert_eq!(both, wanted);
    // The weight alone is told as settled, so that a page knows when to ask.
    bench.wait_weight("a settled weight", |weight| {
        (weight["settled"] == true).then_some(())
    });
}

#[test]
fn while_a_batch_is_made_no_finished_jar_is_looked_for() {
    let mut bench = Bench::new();
    bench.attach();
    let _view = bench.open_batch("thin-coat", &recipe("Slip, grey", 40));
    bench.put_jar();
    let _view = bench.wait_doing("pour");
    let answer = bench.service.client().get("/v1/benches/bench/jar");
    let problem: Value = answer.with_status(409).json();
    assert_eq!(problem["status"], json!(409));
}
