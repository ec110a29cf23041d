//! What goes wrong with a scale at work, and what is true afterwards.

use std::time::Duration;

use rustix::process::Signal;
use serde_json::{Value, json};
use tarehand_tests::{Home, LIMIT, ScaleDouble, ScaleSetting, Service, wait_for};

use crate::bench::{Bench, JAR_UG, Poured, kinds, micrograms};

/// A silent scale is said to be silent within this (wall time).
const SAID: Duration = Duration::from_secs(3);

fn base(ug: i64) -> Poured {
    Poured {
        ingredient: "base".to_owned(),
        ug,
    }
}

/// A bench at its first addition, of 100 g, with 30 g in the jar that were shown as settled.
fn begun() -> (Bench, Poured) {
    let mut bench = Bench::new();
    bench.open("quarry-green.toml");
    bench.put_jar();
    bench.wait_doing("pour");
    bench.pour(30_000_000);
    bench.wait_settled(30.0);
    (bench, base(30_000_000))
}

#[test]
fn a_plug_pulled_in_mid_pour_loses_nothing_and_what_nobody_saw_is_found() {
    let (mut bench, announced) = begun();
    bench.scale.pour(40_000_000, 8_000_000);
    bench.wait_weight("the pour to run", |weight| {
        (36.0 <= weight["net_g"].as_f64()?).then_some(())
    });
    bench.scale.unplug();
    let trouble = bench.wait("the loss to be said", |view| {
        let away = view["scale"]["open"] == false;
        away.then(|| view["scale"]["trouble"].as_str().unwrap().to_owned())
    });
    assert!(trouble.contains("unplugged"), "{trouble}");
    bench.wait_weight("no weight", |weight| {
        weight["gross_g"].is_null().then_some(())
    });
    let before = bench.view();
    let shown = micrograms(&before["steps"][0]["poured_g"]);
    assert!(announced.ug <= shown, "{before}");
    bench.scale.wait_until_poured();
    // Another terminal, the same link.
    bench.scale.replug();
    bench.wait_settled(70.0);
    let mut poured = vec![announced, base(40_000_000)];
    poured.extend(bench.pour_rest(0));
    let record = bench.check_grams(&poured);
    let unseen = micrograms(&record["contents"][0]["unseen_g"]);
    assert!(30_000_000 <= unseen, "{record}");
    let seen = kinds(&record);
    assert!(
        seen.contains(&"scale-lost") && seen.contains(&"scale-back"),
        "{seen:?}"
    );
}

#[test]
fn a_scale_gone_silent_is_said_at_once_and_goes_on_when_it_speaks() {
    let (mut bench, first) = begun();
    let mut events = bench.service.client().events("/v1/benches/bench/events");
    bench.scale.silence();
    events.wait_for("no weight", "weight", SAID, |weight| {
        weight["gross_g"].is_null().then_some(())
    });
    events.wait_for("the cue", "view", SAID, |view| {
        (view["cue"]["cue"] == "scale-lost").then_some(())
    });
    // Nothing is judged by a weight that is not there.
    let refused = bench.say(&json!({"command": "next"})).with_status(409);
    assert_eq!(refused.json()["type"], "urn:tarehand:problem:not-now");
    bench.scale.resume();
    bench.wait_settled(30.0);
    let mut poured = vec![first];
    poured.extend(bench.pour_rest(0));
    bench.check_grams(&poured);
}

#[test]
fn a_scale_that_started_anew_is_asked_about_and_the_tare_is_restored() {
    let (mut bench, first) = begun();
    let mut poured = vec![first, bench.pour_step(0)];
    poured[1].ingredient = "base".to_owned();
    bench.wait_doing("pour");
    bench.scale.power_cycle(2.0);
    let question = bench.wait_asked("zero-lost");
    assert_eq!(bench.view()["state"], "held");
    assert!(question["text"].is_string(), "{question}");
    bench.tell(&["answer", "yes"]);
    poured.extend(bench.pour_rest(0));
    let record = bench.check_grams(&poured);
    assert_eq!(record["state"], "complete");
    assert!(kinds(&record).contains(&"zero-moved"), "{record}");
}

#[test]
fn a_stalled_service_takes_no_old_bytes_for_the_weight_of_now() {
    let (mut bench, first) = begun();
    let mut readings = bench.service.client().events("/v1/benches/bench/readings");
    let process = bench.service.process();
    process.signal(Signal::STOP);
    // More than a port keeps: 24 s of the scale's time.
    bench.scale.pour(40_000_000, 2_000_000);
    bench.scale.wait_until_poured();
    bench.service.process().signal(Signal::CONT);
    let now = JAR_UG + first.ug + 40_000_000;
    let mut old = Vec::new();
    readings.wait_for("the weight of now", "reading", LIMIT, |reading| {
        // A line that the stall cut in two is no weight.
        let gross = micrograms(reading.get("gross_g").filter(|gross| gross.is_number())?);
        if gross != now {
            old.push(gross);
        }
        (gross == now).then_some(())
    });
    old.retain(|&gross| gross != JAR_UG + first.ug);
    assert_eq!(old, [0; 0], "what came in the stall was judged");
    bench.wait_settled(70.0);
    let mut poured = vec![first, base(40_000_000)];
    poured.extend(bench.pour_rest(0));
    bench.check_grams(&poured);
}

#[test]
fn a_service_that_is_killed_takes_the_batch_up_again() {
    let (mut bench, first) = begun();
    bench.scale.pour(40_000_000, 20_000_000);
    bench.restart();
    bench.scale.wait_until_poured();
    bench.wait_settled(70.0);
    let mut poured = vec![first, base(40_000_000)];
    poured.extend(bench.pour_rest(0));
    let record = bench.check_grams(&poured);
    assert_eq!(record["state"], "complete");
}

#[track_caller]
fn attach(service: &Service, link: &str) {
    let body = json!({"port": link});
    let path = "/v1/benches/bench/scale";
    let _view = service.client().put(path, &body).with_status(200);
}

fn scale_of(service: &Service) -> Value {
    let view = service.client().get("/v1/benches/bench").with_status(200);
    view.json()["scale"].clone()
}

#[test]
fn a_port_that_is_missing_is_said_and_taken_when_it_appears() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let link = home.path().join("scale");
    attach(&service, link.to_str().unwrap());
    wait_for("what is missing", LIMIT, || {
        let scale = scale_of(&service);
        let trouble = scale["trouble"].as_str()?;
        assert!(trouble.contains("no scale at"), "{trouble}");
        assert!(scale["hint"].as_str().unwrap().contains("plug"), "{scale}");
        Some(())
    });
    let _scale = ScaleDouble::start(&link, &ScaleSetting::default());
    wait_for("the way to be open", LIMIT, || {
        (scale_of(&service)["open"] == true).then_some(())
    });
    assert_eq!(scale_of(&service)["trouble"], Value::Null);
}

#[test]
fn a_port_in_use_is_said_with_who_has_it_and_taken_when_it_is_free() {
    let (ours, theirs) = (Home::new(), Home::new());
    let scale = ScaleDouble::start(&ours.path().join("scale"), &ScaleSetting::default());
    let link = scale.link().to_str().unwrap();
    let first = Service::start(&theirs, &[]);
    attach(&first, link);
    wait_for("the first to have it", LIMIT, || {
        (scale_of(&first)["open"] == true).then_some(())
    });
    let second = Service::start(&ours, &[]);
    attach(&second, link);
    let trouble = wait_for("who has it", LIMIT, || {
        Some(scale_of(&second)["trouble"].as_str()?.to_owned())
    });
    assert!(
        trouble.contains("in use by another program (`tarehandd`, process "),
        "{trouble}"
    );
    let _stopped = first.terminate(LIMIT).with_code(0);
    wait_for("the second to have it", LIMIT, || {
        (scale_of(&second)["open"] == true).then_some(())
    });
}
