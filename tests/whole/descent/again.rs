//! A batch made again, two batches compared, and a recipe's file that has changed since.

use std::fs;

use serde_json::{Value, json};
use tarehand_tests::Running;

use super::{PLAIN, TINTED, finished, get, mixed, near, open};
use crate::bench::Bench;
use crate::history::rehearsed;

#[test]
fn a_batch_is_made_again_as_it_was_poured_and_stands_beside_the_first() {
    let mut bench = Bench::new();
    bench.attach();
    open(&bench, TINTED);
    bench.put_jar();
    let glaze = bench.pour_step(0).ug;
    let (_step, slip) = bench.pour_running(8_000_000);
    let question = bench.wait_asked("overshoot");
    let accept = question["options"]
        .as_array()
        .unwrap()
        .iter()
        .find(|way| way["kind"] == "accept")
        .unwrap()["option"]
        .clone();
    let _view = bench
        .say(&json!({"command": "answer", "option": accept}))
        .with_status(200);
    let first = finished(&mut bench);
    let record = get(&bench, &format!("/v1/batches/{first}"));
    let rescue = &record["rescues"][0];
    assert_eq!(
        (&rescue["about"], &rescue["kind"]),
        (&json!("overshoot"), &json!("accept")),
        "{record}"
    );
    assert!(!rescue["others"].as_array().unwrap().is_empty(), "{rescue}");
    assert!(bench.tell(&["log", "show", &first]).contains("Put right"));

    let repeat = json!({"mark": first, "as_poured": true, "make": "34 g"});
    let answer = bench
        .service
        .client()
        .post("/v1/benches/bench/repeat", &repeat);
    let view: Value = answer.with_status(200).json();
    // 20 and 48 of 68 g: half of it.
    near(&view["steps"][0]["target_g"], glaze / 2);
    near(&view["steps"][1]["target_g"], slip.ug / 2);
    bench.put_jar();
    let _poured = bench.pour_rest(0);
    let second = finished(&mut bench);
    let both = get(&bench, &format!("/v1/batches/{first}/compared/{second}"));
    assert_eq!(both["same_recipe"], false);
    let line = &both["ingredients"][1];
    assert_eq!(line["ingredient"], "slip", "{both}");
    near(&line["planned_g"]["one"], 40_000_000);
    near(&line["poured_g"]["other"], slip.ug / 2);
    let parts = &line["part"];
    let off = parts["one"].as_f64().unwrap() - parts["other"].as_f64().unwrap();
    assert!(off.abs() < 0.02, "{parts}");
    let told = bench.tell(&["log", "compare", &first, &second]);
    assert!(told.contains("made from different recipes"), "{told}");

    // The recipe of then, as much as then.
    let answer = bench
        .service
        .client()
        .post("/v1/benches/bench/repeat", &json!({"mark": first}));
    let view: Value = answer.with_status(200).json();
    assert_eq!(
        (&view["recipe"], &view["planned_g"]),
        (&json!("Tinted"), &json!(60.0))
    );
    bench.tell(&["abort", "--yes"]);
    let third = bench.record();
    // A rescue asks before a batch made again grows beyond what the settings say.
    let _settings = bench.home.write(
        "config/tarehand/settings.toml",
        "[rescue]\ngrow-by-percent = 0\n",
    );
    let limit = |mark: &str| -> Value {
        let kept = get(&bench, &format!("/v1/batches/{mark}/kept"));
        let opened = kept["entries"][0]["body"].as_str().unwrap();
        let opened: Value = serde_json::from_str(opened).unwrap();
        opened["limits"]["grow_by"].clone()
    };
    let usual = limit(third["mark"].as_str().unwrap());
    let mut command = bench
        .home
        .tarehand(&["repeat", &first, "--port", &bench.link()]);
    let _guide = Running::start(&mut command, std::process::Stdio::null());
    bench.wait_doing("put-jar");
    bench.tell(&["abort", "--yes"]);
    let none = limit(bench.record()["mark"].as_str().unwrap());
    assert_ne!(none, usual);
    let rehearsed = rehearsed(&bench.home, "slate-pale.toml");
    assert_eq!(limit(&rehearsed), none);
    let same = get(
        &bench,
        &format!(
            "/v1/batches/{first}/compared/{}",
            third["mark"].as_str().unwrap()
        ),
    );
    assert_eq!(same["same_recipe"], true);
    let kept = get(&bench, &format!("/v1/batches/{first}/recipe"));
    assert_eq!(kept["text"], TINTED);
}

#[test]
fn a_record_says_whether_the_recipes_file_has_changed_since() {
    let mut bench = Bench::new();
    let folder = bench.home.path().join("recipes");
    fs::create_dir(&folder).unwrap();
    fs::write(folder.join("plain.toml"), PLAIN).unwrap();
    let named = json!({"path": folder.to_str().unwrap()});
    let answer = bench.service.client().put("/v1/folder", &named);
    let _folder = answer.with_status(200);
    bench.attach();
    let (mark, _) = mixed(&mut bench, PLAIN);
    let file = |bench: &Bench| get(bench, &format!("/v1/batches/{mark}"))["recipe_file"].clone();
    assert_eq!(
        file(&bench),
        json!({"file": "plain.toml", "changed": false})
    );
    fs::write(folder.join("plain.toml"), PLAIN.replace("0.5 g", "0.2 g")).unwrap();
    assert_eq!(file(&bench), json!({"file": "plain.toml", "changed": true}));
    assert!(
        bench
            .tell(&["log", "show", &mark])
            .contains("plain.toml, has changed since")
    );
}
