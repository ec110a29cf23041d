//! Small additions weighed out on a second, finer scale, with the jar on its own.

use serde_json::{Value, json};
use tarehand_tests::{Running, ScaleDouble, ScaleSetting};

use crate::amend::make;
use crate::bench::{Bench, SPEED, kinds, micrograms};

/// An empty small bottle.
const BOTTLE_UG: i64 = 12_000_000;

/// A scale of 0.01 g that carries 200 g.
fn fine_scale(bench: &Bench) -> ScaleDouble {
    let setting = ScaleSetting {
        division: "0.01",
        capacity_g: 200.0,
        speed: SPEED,
        ..ScaleSetting::default()
    };
    ScaleDouble::start(&bench.home.path().join("fine"), &setting)
}

fn link(scale: &ScaleDouble) -> String {
    scale.link().to_str().unwrap().to_owned()
}

/// Waits until this is to be done on the finer scale, and returns the view.
#[track_caller]
fn wait_fine(bench: &Bench, what: &str) -> Value {
    bench.wait(&format!("the finer scale: `{what}`"), |view| {
        let fits = view["bottle"] == what && view["weighed_on"] == "fine";
        fits.then(|| view.clone())
    })
}

#[track_caller]
fn wait_done(bench: &Bench, step: usize) {
    bench.wait(&format!("the end of step {step}"), |view| {
        (view["steps"][step]["status"] == "done").then_some(())
    });
}

fn booked(record: &Value, key: &str) -> i64 {
    let mut contents = record["contents"].as_array().unwrap().iter();
    let line = contents.find(|line| line["ingredient"] == key).unwrap();
    micrograms(&line["poured_g"])
}

#[test]
fn small_additions_go_over_the_finer_scale_across_a_kill() {
    let mut bench = Bench::new();
    let mut fine = fine_scale(&bench);
    let _mix = bench.mix("pinch-of-ink.toml", &["--fine-port", &link(&fine)]);
    bench.put_jar();
    let base = bench.pour_step(0);
    let view = wait_fine(&bench, "put");
    assert_eq!(view["doing"]["ingredient"], "ink");
    assert_eq!(view["doing"]["within_g"], 0.03);
    assert_eq!(view["steps"][1]["widened"], false);
    let listed = bench.tell(&["scales"]);
    assert!(listed.contains("bench, the finer scale: "), "{listed}");
    let status = bench.tell(&["status"]);
    assert!(status.contains(", finer: "), "{status}");
    fine.load(BOTTLE_UG, 20_000_000);
    let _view = wait_fine(&bench, "pour");
    bench.wait_weight("the finer scale's weight", |weight| {
        (weight["scale"] == "fine" && (weight["gross_g"].as_f64()? - 32.0).abs() < 0.02)
            .then_some(())
    });
    // The service is killed with the bottle in the hand, and what leaves it meanwhile goes into the jar.
    fine.lift();
    let _view = wait_fine(&bench, "in-hand");
    bench.restart();
    bench.scale.pour_at_once(1_493_000);
    fine.take(1_493_000);
    fine.put_back();
    wait_done(&bench, 1);
    let _view = wait_fine(&bench, "take-away");
    fine.lift();
    let _view = wait_fine(&bench, "put");
    // A cup is filled there this time, and emptied into the jar.
    fine.load(3_000_000, 0);
    let _view = wait_fine(&bench, "pour");
    fine.pour(520_000, 200_000);
    bench.wait_weight("the cup to be full", |weight| {
        let full = (weight["gross_g"].as_f64()? - 3.52).abs() < 0.015;
        (full && weight["settled"] == true).then_some(())
    });
    fine.lift();
    let _view = wait_fine(&bench, "in-hand");
    bench.scale.pour_at_once(504_000);
    fine.take(504_000);
    fine.put_back();
    let _view = bench.wait_doing("complete");
    let record = bench.record();
    assert!(
        (booked(&record, "ink") - 1_493_000).abs() <= 10_000,
        "{record}"
    );
    assert!(
        (booked(&record, "glow") - 504_000).abs() <= 10_000,
        "{record}"
    );
    assert!(
        (booked(&record, "base") - base.ug).abs() <= 100_000,
        "{record}"
    );
    let kinds = kinds(&record);
    assert_eq!(kinds.iter().filter(|kind| **kind == "poured").count(), 1);
    assert!(!kinds.contains(&"asked"), "{record}");
    let in_jar = micrograms(&record["in_jar_g"]);
    let truth = bench.scale.truth()["contents_ug"].as_i64().unwrap();
    assert!(
        (in_jar - truth).abs() <= 120_000,
        "{truth} against {record}"
    );
}

#[test]
fn a_finer_scale_that_is_unplugged_leaves_the_step_to_the_jar() {
    let mut bench = Bench::new();
    let mut fine = fine_scale(&bench);
    bench.attach();
    let path = "/v1/benches/bench/scale";
    let client = bench.service.client();
    let same = client.put(path, &json!({"port": bench.link(), "scale": "fine"}));
    assert_eq!(same.status, 409);
    let _view = client
        .put(path, &json!({"port": link(&fine), "scale": "fine"}))
        .with_status(200);
    bench.wait("the way to the finer scale", |view| {
        (view["fine_scale"]["open"] == true).then_some(())
    });
    bench.open("pinch-of-ink.toml");
    bench.put_jar();
    let _base = bench.pour_step(0);
    let _view = wait_fine(&bench, "put");
    fine.load(BOTTLE_UG, 20_000_000);
    let _view = wait_fine(&bench, "pour");
    fine.lift();
    let _view = wait_fine(&bench, "in-hand");
    fine.tell(&json!({"do": "unplug"}));
    bench.wait("the loss of the finer scale", |view| {
        (view["fine_scale"]["open"] == false).then_some(())
    });
    bench.scale.pour_at_once(1_500_000);
    let said = bench.tell(&["jar"]);
    assert!(!said.contains("finer"), "{said}");
    wait_done(&bench, 1);
    let view = bench.view();
    assert_eq!(view["steps"][1]["widened"], true);
    let poured = view["steps"][1]["poured_g"].as_f64().unwrap();
    assert!((poured - 1.5).abs() <= 0.11, "{view}");
    // It is away: the next step is weighed in the jar from the start, until it is let go for good.
    let view = bench.wait_doing("pour");
    assert!(view["weighed_on"].is_null(), "{view}");
    let client = bench.service.client();
    let view = client
        .request("DELETE", "/v1/benches/bench/scale?scale=fine", None)
        .unwrap()
        .with_status(200)
        .json();
    assert!(view["fine_scale"].is_null(), "{view}");
}

#[test]
fn several_finished_jars_in_a_row_get_a_small_addition_over_the_finer_scale() {
    let mut bench = Bench::new();
    bench.attach();
    let jars = [
        make(&mut bench, "Slip, grey", "grey-slip", 40, 60_000_000),
        make(&mut bench, "Slip, pale", "pale-slip", 50, 60_000_000),
    ];
    let mut fine = fine_scale(&bench);
    let port = link(&fine);
    let marks = [jars[0].mark.as_str(), jars[1].mark.as_str()];
    let mut command = bench.home.tarehand(&["amend"]);
    command.args(marks);
    command.args(["--add", "flow=0.5g", "--fine-port", &port, "--hand", "noor"]);
    let _amend = Running::start(&mut command, std::process::Stdio::null());
    bench.wait("the way to the finer scale", |view| {
        (view["fine_scale"]["open"] == true).then_some(())
    });
    for (place, (jar, part_ug)) in jars.iter().zip([504_000, 496_000]).enumerate() {
        bench.wait_doing("change-jar");
        bench.scale.load(jar.tare_ug, jar.contents_ug);
        if place == 0 {
            let view = wait_fine(&bench, "put");
            assert_eq!(view["steps"][0]["widened"], false, "{view}");
            assert_eq!(view["concerns"], json!([]), "{view}");
            fine.load(BOTTLE_UG, 20_000_000);
        }
        // The bottle of the jar before stands there still.
        let _view = wait_fine(&bench, "pour");
        fine.lift();
        let _view = wait_fine(&bench, "in-hand");
        bench.scale.pour_at_once(part_ug);
        fine.take(part_ug);
        fine.put_back();
        if place == 0 {
            let _view = bench.wait_doing("change-jar");
            bench.scale.lift();
            bench.wait_gross(0.0);
        } else {
            let _view = bench.wait_doing("complete");
        }
    }
    for (jar, part_ug) in jars.iter().zip([504_000, 496_000]) {
        let record = |mark: &str| -> Value {
            let answer = bench.service.client().get(&format!("/v1/batches/{mark}"));
            answer.with_status(200).json()
        };
        let whole = record(&jar.mark);
        let own = record(whole["amendments"][0]["batch"].as_str().unwrap());
        // A hundredth of a gram, where the jar's own scale tells tenths.
        let flow = booked(&own, "flow");
        assert!((flow - part_ug).abs() <= 10_000, "{part_ug}: {own}");
        let kinds = kinds(&own);
        assert!(
            kinds.contains(&"poured-out") && !kinds.contains(&"asked"),
            "{own}"
        );
    }
}

/// Two jars of a set, each of a base and a little ink: more ink in one, so that nobody mistakes them.
const TWO_INKS: &str = r#"
[set]
name = "Two inks"

[[jar]]
recipe = "dusk"
make   = "101.5 g"

[[jar]]
recipe = "dawn"
make   = "81 g"
"#;

fn inked(name: &str, base: &str, ink: &str) -> String {
    format!(
        "[recipe]\nname = \"{name}\"\nwithin = \"2 %\"\n\
         [[step]]\nadd = \"base\"\namount = \"{base}\"\n[[step]]\nadd = \"ink\"\namount = \"{ink}\"\n"
    )
}

/// Lifts the jar, waits until the bench says that no jar is there, and returns what is in it.
fn take_jar(bench: &mut Bench) -> i64 {
    let holds = bench.scale.contents_ug();
    bench.scale.lift();
    bench.wait("a pan without a jar", |view| {
        let jars = view["jars"].as_array()?;
        jars.iter().all(|jar| jar["on_pan"] == false).then_some(())
    });
    holds
}

#[test]
fn the_small_additions_of_a_set_go_over_the_finer_scale_bottle_by_bottle() {
    let mut bench = Bench::new();
    let mut fine = fine_scale(&bench);
    bench.attach();
    let client = bench.service.client();
    let scale = json!({"port": link(&fine), "scale": "fine"});
    let _view = client
        .put("/v1/benches/bench/scale", &scale)
        .with_status(200);
    bench.wait("the way to the finer scale", |view| {
        (view["fine_scale"]["open"] == true).then_some(())
    });
    let recipes =
        json!({"dusk": inked("Dusk", "100 g", "1.5 g"), "dawn": inked("Dawn", "80 g", "1 g")});
    let set = json!({"set": TWO_INKS, "recipes": recipes, "walk": "bottle"});
    let _view = client.post("/v1/benches/bench/set", &set).with_status(200);
    bench.wait("no word of a scale that is too coarse", |view| {
        (view["concerns"] == json!([])).then_some(())
    });

    let mut holds = [0, 0];
    let tares = [60_000_000, 66_000_000];
    let bases = [100_000_000, 80_000_000];
    bench.wait_doing("put-jar");
    for jar in [0, 1] {
        bench.scale.load(tares[jar], 0);
        let view = bench.wait_doing("pour");
        assert_eq!(
            (&view["doing"]["ingredient"], &view["weighed_on"]),
            (&json!("base"), &Value::Null)
        );
        bench.pour(bases[jar]);
        if jar == 0 {
            let _view = bench.wait_doing("change-jar");
            holds[jar] = take_jar(&mut bench);
        }
    }
    // Bottle by bottle, the jar that is there gets its ink first.
    for (jar, ink_ug) in [(1, 1_006_000), (0, 1_494_000)] {
        if jar == 1 {
            let view = wait_fine(&bench, "put");
            assert_eq!(view["steps"][1]["widened"], false, "{view}");
            fine.load(BOTTLE_UG, 20_000_000);
        } else {
            bench.scale.load(tares[jar], holds[jar]);
        }
        let _view = wait_fine(&bench, "pour");
        fine.lift();
        let _view = wait_fine(&bench, "in-hand");
        bench.scale.pour_at_once(ink_ug);
        if jar == 1 {
            // The service is killed with the bottle in the hand and the ink in the jar.
            bench.restart();
        }
        fine.take(ink_ug);
        fine.put_back();
        if jar == 1 {
            let _view = bench.wait_doing("change-jar");
            holds[jar] = take_jar(&mut bench);
        } else {
            let _view = bench.wait_doing("complete");
            holds[jar] = bench.scale.contents_ug();
        }
    }

    let list = bench.person(&["log", "list", "--json"]).good();
    let list: Value = serde_json::from_str(&list).unwrap();
    for batch in list["batches"].as_array().unwrap() {
        let mark = batch["mark"].as_str().unwrap();
        let answer = bench.service.client().get(&format!("/v1/batches/{mark}"));
        let record = answer.with_status(200).json();
        let (jar, ink_ug) = if record["recipe"] == "Dusk" {
            (0, 1_494_000)
        } else {
            (1, 1_006_000)
        };
        assert!(
            (booked(&record, "ink") - ink_ug).abs() <= 10_000,
            "{record}"
        );
        let in_jar = micrograms(&record["in_jar_g"]);
        assert!(
            (in_jar - holds[jar]).abs() <= 120_000,
            "{}: {record}",
            holds[jar]
        );
        let kinds = kinds(&record);
        assert!(
            kinds.contains(&"poured-out") && !kinds.contains(&"asked"),
            "{record}"
        );
    }
}
