//! Slips that a person tells or that need a hand, on a real line: taken out, named afterwards, the bottle empty.

use serde_json::Value;

use crate::bench::{Bench, kinds, micrograms};

const SHARES: [(&str, f64); 5] = [
    ("base", 0.5),
    ("green-paste", 0.25),
    ("white", 0.15),
    ("binder", 0.075),
    ("thickener", 0.025),
];

/// The jar holds the recipe's shares, as the record tells them, within what a division of 0.1 g can tell.
#[track_caller]
fn check_shares(record: &Value) {
    let shares = record["shares"].as_array().unwrap();
    for (name, wanted) in SHARES {
        let line = shares.iter().find(|line| line["ingredient"] == name);
        let result = line.unwrap()["result"].as_f64().unwrap();
        assert!(
            (result - wanted).abs() < 0.006,
            "{name}: {result} instead of {wanted}"
        );
    }
}

#[test]
fn some_of_the_mix_is_taken_out_and_the_rest_topped_up() {
    let mut bench = Bench::new();
    bench.open("quarry-green.toml");
    bench.put_jar();
    let _poured = [bench.pour_step(0), bench.pour_step(15_000_000)];
    let question = bench.wait_asked("overshoot");
    let options = question["options"].as_array().unwrap();
    let out = options
        .iter()
        .find(|option| option["kind"] == "take-out")
        .unwrap();
    bench.tell(&["answer", &out["option"].to_string()]);
    let doing = bench.wait_doing("take-out")["doing"].clone();
    // 165 g that would come to 260 g, down to 200: 38.08 g, rounded up to the division.
    assert_eq!(micrograms(&doing["take_out_g"]), 38_100_000);
    bench.scale.take(39_000_000);
    let _rest = bench.pour_rest(0);
    let record = bench.record();
    assert_eq!(record["state"], "complete");
    check_shares(&record);
    bench.check_jar(&record);
}

#[test]
fn an_ingredient_named_afterwards_is_booked_as_what_it_was() {
    let mut bench = Bench::new();
    bench.open("quarry-green.toml");
    bench.put_jar();
    bench.wait_doing("pour");
    // The white's bottle, while the base was asked for.
    bench.pour(30_000_000);
    bench.wait_settled(30.0);
    bench.tell(&["was-other", "white"]);
    bench.wait("the base at nothing", |view| {
        let base = &view["steps"][0];
        (base["poured_g"] == 0.0 && base["status"] == "now").then_some(())
    });
    let _rest = bench.pour_rest(0);
    let record = bench.record();
    assert_eq!(record["state"], "complete");
    assert!(kinds(&record).contains(&"was-other"), "{record}");
    check_shares(&record);
    bench.check_jar(&record);
}

#[test]
fn an_empty_bottle_is_told_and_the_batch_goes_on_as_chosen() {
    let mut bench = Bench::new();
    bench.open("quarry-green.toml");
    bench.put_jar();
    let _base = bench.pour_step(0);
    bench.wait("the paste", |view| {
        (view["doing"]["ingredient"] == "green-paste").then_some(())
    });
    bench.pour(30_000_000);
    bench.wait_settled(30.0);
    bench.tell(&["ran-out"]);
    let question = bench.wait_asked("off-ratio");
    assert_eq!(
        question["text"],
        "there is no more green-paste: which way out?"
    );
    bench.tell(&["answer", "yes"]);
    let _rest = bench.pour_rest(0);
    let record = bench.record();
    assert_eq!(record["state"], "complete");
    assert_eq!(record["steps"][1]["verdict"], "shortfall");
    bench.check_jar(&record);
}

#[test]
fn a_name_that_is_none_is_refused_and_the_batch_goes_on() {
    let mut bench = Bench::new();
    bench.open("quarry-green.toml");
    bench.put_jar();
    let _poured = bench.pour_step(0);
    let long = "x".repeat(201);
    for name in ["", "  ", "two\nlines", &long] {
        let said = bench.person(&["was-other", name]).with_code(1).stderr;
        assert!(said.contains("that is no name of an ingredient"), "{said}");
    }
    let said = bench.person(&["remark", " "]).with_code(1).stderr;
    assert!(said.contains("words in `text`"), "{said}");
    // The log takes what comes after.
    bench.tell(&["remark", "still here"]);
    let _rest = bench.pour_rest(0);
    assert_eq!(bench.record()["state"], "complete");
}

#[test]
fn a_bottle_that_the_recipe_does_not_know_is_told_by_its_name_alone() {
    let mut bench = Bench::new();
    bench.open("quarry-green.toml");
    bench.put_jar();
    let _poured = bench.pour_step(0);
    bench.tell(&["was-other", "moon-mica"]);
    let record = bench.record();
    let steps = record["steps"].as_array().unwrap();
    let named = steps.iter().find(|step| step["title"] == "moon-mica");
    assert_eq!(named.unwrap_or(&record)["extra"], false);
    bench.tell(&["undo"]);
    let view = bench.wait_doing("pour");
    let steps = view["steps"].as_array().unwrap();
    let named = steps.iter().find(|step| step["title"] == "moon-mica");
    assert!(named.is_some(), "what is in the jar is seen: {view}");
}

#[test]
fn a_new_batch_begins_without_what_was_called_out_of_the_one_before() {
    let mut bench = Bench::new();
    bench.open("quarry-green.toml");
    bench.put_jar();
    let _poured = bench.pour_step(0);
    bench.tell(&["abort", "--yes"]);
    assert_eq!(bench.wait_doing("aborted")["cue"]["cue"], "aborted");
    bench.open("quarry-green.toml");
    let view = bench.wait("the new batch", |view| {
        (view["doing"]["doing"] != "aborted").then(|| view.clone())
    });
    assert_ne!(view["cue"]["cue"], "aborted", "{view}");
}
