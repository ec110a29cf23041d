//! The whole job with a simulated scale and hand: what is decanted, weighed out of the bottle, and a set of jars.

use std::time::Duration;

use serde_json::Value;
use tarehand_tests::binaries::repository;
use tarehand_tests::{Home, LIMIT, Service, run};

use crate::bench::{fixture, kinds, micrograms};

/// A set of eight jars at sixty times the speed of the wall: two minutes are usual.
const WHOLE_SET: Duration = Duration::from_secs(420);

fn told(home: &Home, words: &[&str]) -> Value {
    let text = run(&mut home.tarehand(words), "", LIMIT).good();
    serde_json::from_str(&text).unwrap()
}

/// The records of everything that was made here, the newest first.
fn records(home: &Home) -> Vec<Value> {
    let list = told(home, &["log", "list", "--json"]);
    let batches = list["batches"].as_array().unwrap();
    let marks = batches.iter().map(|batch| batch["mark"].as_str().unwrap());
    marks
        .map(|mark| told(home, &["log", "show", mark, "--json"]))
        .collect()
}

#[track_caller]
fn rehearsed(recipe: &str) -> Value {
    let home = Home::new();
    let _service = Service::start(&home, &[]);
    let file = fixture(recipe);
    let words = ["rehearse", file.to_str().unwrap(), "--speed", "60"];
    let _said = run(&mut home.tarehand(&words), "", LIMIT).good();
    let record = records(&home).remove(0);
    assert_eq!(record["state"], "complete", "{record}");
    assert_eq!(record["rehearsal"], true, "{record}");
    record
}

#[test]
fn a_rehearsal_decants_what_the_recipe_says() {
    let record = rehearsed("quarry-bottle.toml");
    let steps = record["steps"].as_array().unwrap();
    let verdicts: Vec<&Value> = steps[steps.len() - 2..]
        .iter()
        .map(|step| &step["verdict"])
        .collect();
    assert!(!verdicts.contains(&&Value::from("skipped")), "{record}");
    let into = |vessel: &str| {
        let entries = record["entries"].as_array().unwrap();
        entries.iter().any(|entry| {
            entry["kind"] == "decanted" && entry["text"].as_str().unwrap().ends_with(vessel)
        })
    };
    assert!(
        into("into squeeze bottle") && into("into pump bottle"),
        "{record}"
    );
    let left = micrograms(&record["in_jar_g"]);
    assert!((500_000..6_000_000).contains(&left), "the heel: {record}");
}

#[test]
fn a_rehearsal_weighs_out_of_the_bottles_where_the_recipe_says_so() {
    let record = rehearsed("tall-vat.toml");
    let kinds = kinds(&record);
    assert!(kinds.contains(&"bottle-placed"), "{record}");
    assert!(!kinds.contains(&"jar-placed"), "{record}");
    let mut contents = record["contents"].as_array().unwrap().iter();
    assert!(contents.all(|line| 0.0 < line["poured_g"].as_f64().unwrap()));
}

#[test]
fn a_set_is_rehearsed_to_its_end_with_its_long_rest_and_every_jar_is_marked() {
    let home = Home::new();
    let _service = Service::start(&home, &[]);
    let set = repository().join("fixtures/studio/eight-rounds.toml");
    let words = [
        "rehearse",
        set.to_str().unwrap(),
        "--walk",
        "bottle",
        "--speed",
        "60",
    ];
    let said = run(&mut home.tarehand(&words), "", WHOLE_SET).good();
    let records = records(&home);
    assert_eq!(records.len(), 7);
    for record in &records {
        assert_eq!(record["state"], "complete", "{record}");
        assert_eq!(record["rehearsal"], true, "{record}");
        let mark = record["mark"].as_str().unwrap();
        assert!(said.contains(mark), "{mark} is told: {said}");
    }
    let mut tares: Vec<i64> = records
        .iter()
        .map(|record| micrograms(&record["tare_g"]))
        .collect();
    tares.sort_unstable();
    let apart = tares.windows(2).all(|pair| 5_000_000 < pair[1] - pair[0]);
    assert!(apart, "each jar has a weight of its own: {tares:?}");
    let rescued = |record: &&Value| !record["rescues"].as_array().unwrap().is_empty();
    assert_ne!(
        records.iter().filter(rescued).count(),
        0,
        "a slip is put right"
    );
}
