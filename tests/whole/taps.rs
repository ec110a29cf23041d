//! Taps on the pan: an answer for hands that are wet, and nothing else.

use std::time::Duration;

use serde_json::{Value, json};
use tarehand_tests::{LIMIT, Onlooker, Running, ScaleSetting, wait_for, wait_until};

use crate::bench::{Bench, kinds};

/// Everything a tap can answer, between two additions.
const RECIPE: &str = r#"
[recipe]
name   = "Tapped slip"
makes  = "100 g"
within = "0.5 g"

[[step]]
note   = "gloves on"

[[step]]
add    = "slip"
amount = "60 g"

[[step]]
look   = "no lumps"

[[step]]
add    = "chalk"
amount = "40 g"

[[step]]
trail  = "2 s"
"#;

/// A finger that means it.
const PUSH_UG: i64 = 120_000_000;
/// Until a tap is known, with a busy machine in mind.
const HEARD: Duration = Duration::from_secs(4);

/// Opens the batch and puts the jar on the pan.
fn begin(bench: &mut Bench) {
    bench.attach();
    let _view = bench.open_batch("tapped-slip", RECIPE);
    bench.put_jar();
    let _view = bench.wait_doing("note");
}

/// Waits until one tap would say this.
#[track_caller]
fn wait_hears(bench: &Bench, command: &str) {
    bench.wait(&format!("one tap to say `{command}`"), |view| {
        (view["taps"]["once"]["command"] == command).then_some(())
    });
}

/// Taps, and again where a busy machine made readings too late for a tap, until the view shows what it did.
#[track_caller]
fn tap(bench: &mut Bench, twice: bool, what: &str, look: impl Fn(&Value) -> bool) {
    for _ in 0..5 {
        match twice {
            true => bench.scale.tap_twice(PUSH_UG, 0.5, 0.5),
            false => bench.scale.tap(PUSH_UG, 0.5),
        }
        if wait_until(HEARD, || look(&bench.view()).then_some(())).is_some() {
            return;
        }
    }
    panic!("tapped in vain for {what}: {}", bench.view());
}

/// Taps, and waits until it is long over.
#[track_caller]
fn tap_in_vain(bench: &mut Bench) {
    let sequence = |weight: &Value| weight["sequence"].as_u64();
    let now = bench.wait_weight("a weight", sequence);
    bench.scale.tap(PUSH_UG, 0.5);
    bench.wait_weight("four seconds", |weight| {
        (now + 40 <= sequence(weight)?).then_some(())
    });
}

#[track_caller]
fn doing(view: &Value) -> &str {
    view["doing"]["what"].as_str().unwrap()
}

#[test]
fn a_batch_is_answered_by_taps_alone() {
    let mut bench = Bench::new();
    begin(&mut bench);
    wait_hears(&bench, "next");
    tap(&mut bench, false, "the first pour", |view| {
        doing(view) == "pour"
    });
    let _slip = bench.pour_step(0);
    wait_hears(&bench, "next");
    tap(&mut bench, false, "the second pour", |view| {
        doing(view) == "pour"
    });
    let (_, _chalk) = bench.pour_running(6_000_000);
    let _question = bench.wait_asked("overshoot");
    wait_hears(&bench, "answer");
    let option = bench.view()["taps"]["once"]["option"].as_u64();
    assert!(option.is_some(), "{}", bench.view());
    tap(&mut bench, false, "a way out", |view| {
        view["question"].is_null()
    });
    while doing(&bench.wait("a pour or the trail", |view| {
        matches!(doing(view), "pour" | "trail").then(|| view.clone())
    })) == "pour"
    {
        let _more = bench.pour_step(0);
    }
    wait_hears(&bench, "trail-start");
    tap(&mut bench, false, "the line", |view| {
        view["timing_trail"] == true
    });
    wait_hears(&bench, "trail-stop");
    tap(&mut bench, false, "the end", |view| {
        doing(view) == "complete"
    });
    let record = bench.record();
    let told = kinds(&record);
    for kind in ["rescued", "trail", "completed"] {
        assert!(told.contains(&kind), "{record}");
    }
}

#[test]
fn two_taps_take_back() {
    let mut bench = Bench::new();
    begin(&mut bench);
    tap(&mut bench, false, "the first pour", |view| {
        doing(view) == "pour"
    });
    let _slip = bench.pour_step(0);
    bench.wait("two taps to undo", |view| {
        (view["taps"]["twice"]["command"] == "undo").then_some(())
    });
    for _ in 0..5 {
        bench.scale.tap_twice(PUSH_UG, 0.5, 0.5);
        let undone = || kinds(&bench.record()).contains(&"undone").then_some(());
        if wait_until(HEARD, undone).is_some() {
            return;
        }
    }
    panic!("tapped in vain: {}", bench.record());
}

#[test]
fn a_tap_while_something_is_poured_says_nothing() {
    let mut bench = Bench::new();
    begin(&mut bench);
    tap(&mut bench, false, "the first pour", |view| {
        doing(view) == "pour"
    });
    assert_eq!(bench.view()["taps"], Value::Null);
    let before = bench.record()["entries"].as_array().unwrap().len();
    tap_in_vain(&mut bench);
    bench.scale.pour_at_once(20_000_000);
    tap_in_vain(&mut bench);
    let view = bench.view();
    assert_eq!((doing(&view), &view["question"]), ("pour", &Value::Null));
    let record = bench.record();
    let since = &kinds(&record)[before..];
    assert!(since.iter().all(|kind| *kind == "poured"), "{record}");
    assert_eq!(record["contents"][0]["poured_g"], 20.0);
}

#[test]
fn taps_that_are_switched_off_say_nothing_and_stay_off() {
    let mut bench = Bench::new();
    bench
        .home
        .write("config/tarehand/settings.toml", "[bench]\ntaps = false\n");
    let recipe = bench.home.write("tapped-slip.toml", RECIPE);
    let recipe = recipe.to_str().unwrap().to_owned();
    let link = bench.link();
    let arguments = ["mix", &recipe, "--port", &link];
    let _mix = Running::start(
        &mut bench.home.tarehand(&arguments),
        std::process::Stdio::null(),
    );
    bench.put_jar();
    let view = bench.wait_doing("note");
    assert_eq!(
        (&view["scale"]["taps"], &view["taps"]),
        (&json!(false), &Value::Null)
    );
    tap_in_vain(&mut bench);
    assert_eq!(doing(&bench.view()), "note");
    bench.restart();
    let _scale = bench.wait_open();
    assert_eq!(bench.view()["scale"]["taps"], false);
    // Switched on again in the middle of the batch, and the scale is read on.
    bench
        .home
        .write("config/tarehand/settings.toml", "[bench]\ntaps = true\n");
    let _again = Running::start(
        &mut bench.home.tarehand(&["mix"]),
        std::process::Stdio::null(),
    );
    wait_hears(&bench, "next");
    tap(&mut bench, false, "the first pour", |view| {
        doing(view) == "pour"
    });
}

#[test]
fn a_small_scale_is_not_tapped_on_and_a_jar_that_is_set_back_says_yes() {
    let mut bench = Bench::with(&ScaleSetting {
        capacity_g: 600.0,
        ..ScaleSetting::default()
    });
    let profile = "name = \"small pan\"\ncapacity = \"600 g\"\n";
    Onlooker::attach(&bench, &json!({"port": bench.link(), "profile": profile}));
    let _scale = bench.wait_open();
    let _view = bench.open_batch("tapped-slip", RECIPE);
    bench.put_jar();
    let view = bench.wait_doing("note");
    assert_eq!(view["taps"], Value::Null);
    tap_in_vain(&mut bench);
    assert_eq!(doing(&bench.view()), "note");
    bench.tell(&["next"]);
    let (_, _slip) = bench.pour_running(9_000_000);
    let _question = bench.wait_asked("overshoot");
    tap_in_vain(&mut bench);
    assert_eq!(doing(&bench.view()), "answer");
    bench.scale.lift();
    wait_for("the jar to be missed", LIMIT, || {
        kinds(&bench.record()).contains(&"load-gone").then_some(())
    });
    bench.scale.put_back();
    bench.wait("the way out to be taken", |view| {
        view["question"].is_null().then_some(())
    });
}
