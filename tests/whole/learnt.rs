//! The bench learns when to say stop from its own record, on a real line; and forgets it.

use serde_json::{Value, json};

use crate::bench::{Bench, JAR_UG};
use crate::visits::{let_in, open};

/// Twenty grams, and 3 g either way is near enough.
const RECIPE: &str = "[recipe]\nname = \"Chalk alone\"\nmakes = \"20 g\"\n\
    [[step]]\nadd = \"chalk\"\namount = \"20 g\"\nwithin = \"3 g\"\n";
/// What comes after all is said and done, in each of these pours.
const OVER_UG: i64 = 2_000_000;
const FLOW_UG_PER_S: i64 = 5_000_000;

/// Mixes a batch by a hand that is always late by the same, and returns its record.
#[track_caller]
fn mix(bench: &mut Bench, hand: Option<&str>) -> Value {
    bench.scale.load(0, 0);
    bench.wait_gross(0.0);
    let mut body =
        json!({"recipe": "one-pour", "recipes": {"one-pour": RECIPE}, "size": "as-written"});
    if let Some(hand) = hand {
        body["hand"] = json!(hand);
    }
    let client = bench.service.client();
    let _view = client
        .post("/v1/benches/bench/batch", &body)
        .with_status(200);
    bench.put_jar();
    let _view = bench.wait_doing("pour");
    bench.scale.pour(20_000_000 + OVER_UG, FLOW_UG_PER_S);
    // 22 g are within 3 g of 20 g.
    let _view = bench.wait_doing("complete");
    bench.record()
}

/// Mixes until what is learnt is so. Each batch is opened with it exactly where the list says before that it is used.
///
/// On a busy machine the scale may look silent, or its flow other than it is: such a pour teaches nothing, or little.
#[track_caller]
fn mix_until(bench: &mut Bench, is_so: impl Fn(&Value) -> bool) {
    for _ in 0..12 {
        let before = leads(bench);
        let used = before.first().is_some_and(|lead| lead["used"] == true);
        let record = mix(bench, None);
        let text = opened(&record);
        assert_eq!(text.contains("as learnt"), used, "{text}, {before:?}");
        if leads(bench).first().is_some_and(&is_so) {
            return;
        }
    }
    panic!("{:?}", leads(bench));
}

fn opened(record: &Value) -> &str {
    record["entries"][0]["text"].as_str().unwrap()
}

/// What is said of the stop lead of chalk.
#[track_caller]
fn leads(bench: &Bench) -> Vec<Value> {
    let said: Value = serde_json::from_str(&bench.person(&["learnt", "--json"]).good()).unwrap();
    let kinds = said["kinds"].as_array().unwrap();
    let leads = kinds.iter().find(|kind| kind["kind"] == "stop-lead");
    leads.unwrap()["lines"].as_array().unwrap().clone()
}

#[test]
fn pours_of_an_ingredient_teach_when_to_say_stop_until_that_is_forgotten_or_off() {
    let mut bench = Bench::new();
    bench.attach();
    assert_eq!(leads(&bench), [] as [Value; 0]);
    // The first is shown; three that were predicted must show that it is worth something.
    mix_until(&mut bench, |lead| lead["runs"] == 1);
    assert_eq!(leads(&bench)[0]["used"], false);
    mix_until(&mut bench, |lead| lead["used"] == true);
    let runs = leads(&bench)[0]["runs"].as_u64().unwrap();
    assert!(4 <= runs, "{runs}");
    let with = mix(&mut bench, None);
    assert!(opened(&with).contains("as learnt for chalk"), "{with}");
    // 2 g too much at 5 g/s: 0.4 s earlier, a little less while there are few pours.
    let lead = &leads(&bench)[0];
    assert_eq!((&lead["used"], &lead["unit"]), (&json!(true), &json!("s")));
    let earlier_s = lead["value"].as_f64().unwrap();
    assert!((0.1..0.6).contains(&earlier_s), "{lead}");
    let page = bench.person(&["learnt"]).good();
    assert!(
        page.contains("chalk") && page.contains("s earlier"),
        "{page}"
    );

    // Another hand is another matter.
    let hers = mix(&mut bench, Some("noor"));
    assert!(!opened(&hers).contains("as learnt"), "{}", opened(&hers));

    let _said = bench.person(&["learnt", "off", "stop-lead"]).good();
    let without = mix(&mut bench, None);
    assert!(
        !opened(&without).contains("as learnt"),
        "{}",
        opened(&without)
    );
    assert_eq!(leads(&bench)[0]["used"], false, "off");
    let _said = bench.person(&["learnt", "on", "stop-lead"]).good();

    bench.restart();
    assert_eq!(leads(&bench)[0]["used"], true, "it follows from the log");

    let _said = bench
        .person(&["learnt", "forget", "stop-lead", "chalk"])
        .good();
    assert_eq!(leads(&bench), [] as [Value; 0]);
    mix_until(&mut bench, |lead| lead["runs"] == 1);
    assert_eq!(bench.scale.truth()["jar_ug"], JAR_UG);
}

#[test]
fn who_looks_on_at_the_page_sees_what_was_learnt_and_who_works_there_switches_and_forgets() {
    let bench = Bench::new();
    let door = open(&bench.service);
    let (viewer, _) = let_in(&bench.service, &door, "viewer");
    let (operator, _) = let_in(&bench.service, &door, "operator");
    let (off, all) = (json!({"on": false}), json!({"kind": "stick"}));
    let seen: Value = viewer.get("/v1/learnt").with_status(200).json();
    assert_eq!(seen["kinds"].as_array().unwrap().len(), 7);
    let _looks_on = viewer.put("/v1/learnt/stick", &off).with_status(403);
    let _looks_on = viewer.post("/v1/learnt/forget", &all).with_status(403);
    let _works = operator.put("/v1/learnt/stick", &off).with_status(200);
    let _works = operator.post("/v1/learnt/forget", &all).with_status(200);
    let seen: Value = viewer.get("/v1/learnt").with_status(200).json();
    let kinds = seen["kinds"].as_array().unwrap();
    let stick = kinds.iter().find(|kind| kind["kind"] == "stick").unwrap();
    assert_eq!(stick["on"], false);
}

#[test]
fn what_is_not_learnt_cannot_be_switched() {
    let bench = Bench::new();
    let client = bench.service.client();
    let refused: Value = client
        .put("/v1/learnt/luck", &json!({"on": false}))
        .with_status(404)
        .json();
    assert_eq!(
        refused["type"], "urn:tarehand:problem:not-learnt",
        "{refused}"
    );
    assert!(refused["hint"].as_str().unwrap().contains("stop-lead"));
    let long = "n".repeat(41);
    let body = json!({"recipe": "one-pour", "recipes": {"one-pour": RECIPE}, "size": "as-written", "hand": long});
    bench.attach();
    let refused: Value = client
        .post("/v1/benches/bench/batch", &body)
        .with_status(422)
        .json();
    assert_eq!(refused["title"], "a hand cannot be named so");
}

#[test]
fn a_rehearsal_neither_teaches_nor_uses_what_was_learnt() {
    let bench = Bench::new();
    let body = json!({"batch": {"recipe": "one-pour", "recipes": {"one-pour": RECIPE}, "size": "as-written"},
        "speed": 60, "seed": 3});
    let client = bench.service.client();
    let _view = client.post("/v1/rehearsals", &body).with_status(200);
    let mut events = client.events("/v1/benches/rehearsal/events");
    events.wait_for(
        "the end of the rehearsal",
        "view",
        tarehand_tests::LIMIT,
        |view| (view["doing"]["what"] == "complete").then_some(()),
    );
    assert_eq!(leads(&bench), [] as [Value; 0]);
}
