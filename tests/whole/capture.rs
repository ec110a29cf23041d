//! The bytes of a scale as they come: heard, kept in a capture, and played back.

use std::fs;
use std::path::Path;
use std::process::Stdio;

use rustix::process::Signal;
use serde_json::{Value, json};
use tarehand_protocol::scale::capture::{Capture, Captured};
use tarehand_tests::{Home, LIMIT, Running, ScaleDouble, ScaleSetting, Service, wait_for};

fn watch(home: &Home, port: &Path, flags: &[&str]) -> Running {
    let mut command = home.tarehand(&["watch", "--json", "--port"]);
    command.arg(port).args(flags);
    Running::start(&mut command, Stdio::null())
}

fn grams(said: &str) -> Vec<f64> {
    let lines = said.lines().map(serde_json::from_str::<Value>);
    lines
        .filter_map(|line| line.unwrap()["gross_g"].as_f64())
        .collect()
}

#[test]
fn a_capture_written_live_gives_the_same_readings_when_it_is_played_back() {
    let home = Home::new();
    let mut scale = ScaleDouble::start(&home.path().join("scale"), &ScaleSetting::default());
    let _service = Service::start(&home, &[]);
    let kept = home.path().join("pour.jsonl");
    let live = watch(&home, scale.link(), &["--capture", "pour.jsonl"]);
    wait_for("a reading", LIMIT, || {
        (!grams(&live.said().0).is_empty()).then_some(())
    });
    scale.load(12_300_000, 0);
    wait_for("the weight", LIMIT, || {
        let shows = |grams: &Vec<f64>| {
            3 <= grams
                .iter()
                .filter(|gross| (**gross - 12.3).abs() < 1e-9)
                .count()
        };
        Some(grams(&live.said().0)).filter(shows)
    });
    live.signal(Signal::INT);
    let live = live.finish(LIMIT).with_code(0);
    assert!(live.stderr.contains("pour.jsonl: "), "{}", live.stderr);
    let live = grams(&live.stdout);

    let capture = Capture::parse(&fs::read_to_string(&kept).unwrap()).unwrap();
    assert!(capture.device.contains("scale"), "{}", capture.device);
    let count = live.len().to_string();
    let again = watch(&home, Path::new("pour.jsonl"), &["--count", &count]);
    assert_eq!(grams(&again.finish(LIMIT).good()), live);

    // A file that is there is left alone.
    let before = fs::read(&kept).unwrap();
    let refused = watch(&home, scale.link(), &["--capture", "pour.jsonl"]);
    let refused = refused.finish(LIMIT).with_code(1);
    assert!(refused.stderr.contains("already"), "{}", refused.stderr);
    assert_eq!(fs::read(&kept).unwrap(), before);
}

#[test]
fn bytes_that_nobody_understands_are_heard_and_no_batch_is_weighed_on_them() {
    let home = Home::new();
    let mut scale = ScaleDouble::start(&home.path().join("scale"), &ScaleSetting::default());
    scale.silence();
    let service = Service::start(&home, &[]);
    let flags = ["--bytes", "--capture", "bits.jsonl"];
    let watch = watch(&home, scale.link(), &flags);
    let view = || service.client().get("/v1/benches/bench").json();
    wait_for("the scale to be open", LIMIT, || {
        (view()["scale"]["open"] == true).then_some(())
    });
    let batch = json!({"recipe": "a", "size": "as-written",
        "recipes": {"a": "[recipe]\nname = \"a\"\nmakes = \"10 g\"\n[[step]]\nadd = \"b\"\namount = \"10 g\"\n"}});
    let refused = service.client().post("/v1/benches/bench/batch", &batch);
    let refused = refused.with_status(409).json();
    assert_eq!(refused["type"], "urn:tarehand:problem:scale-only-heard");

    let sent: Vec<u8> = (0..=255_u8).map(|at| at.wrapping_mul(7)).collect();
    let hex: String = sent.iter().map(|byte| format!("{byte:02x}")).collect();
    scale.tell(&json!({"do": "garbage", "hex": hex}));
    let heard = |said: &str| -> String {
        let lines = said.lines().map(serde_json::from_str::<Value>);
        lines
            .map(|line| line.unwrap()["hex"].as_str().unwrap().to_owned())
            .collect()
    };
    wait_for("the bytes", LIMIT, || {
        (heard(&watch.said().0) == hex).then_some(())
    });
    watch.signal(Signal::INT);
    let _done = watch.finish(LIMIT).with_code(0);
    let kept = fs::read_to_string(home.path().join("bits.jsonl")).unwrap();
    let kept = Capture::parse(&kept).unwrap().moments;
    let bytes = kept.into_iter().flat_map(|moment| match moment.what {
        Captured::Bytes(bytes) => bytes,
        other => panic!("{other:?}"),
    });
    assert_eq!(bytes.collect::<Vec<u8>>(), sent);
    // The bench is as it was.
    assert_eq!(view()["scale"], Value::Null);
}

#[test]
fn a_broken_capture_is_said_with_its_line() {
    let home = Home::new();
    let _service = Service::start(&home, &[]);
    home.write(
        "broken.jsonl",
        "{\"capture\":1}\n{\"at_us\":1,\"bytes\":\"0g\"}\n",
    );
    let watch = watch(&home, Path::new("broken.jsonl"), &[]);
    let said = wait_for("the reason", LIMIT, || {
        Some(watch.said().1).filter(|said| said.contains("line 2"))
    });
    assert!(said.contains("`g` is no hexadecimal digit"), "{said}");
}
