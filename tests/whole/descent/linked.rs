//! Jars that went into each other, in another log: linked in whichever order they come there, and refused where they cannot be.

use std::fs;

use serde_json::{Value, json};
use tarehand_tests::{Home, LIMIT, Service, run};

use super::{PLAIN, TINTED, finished, get, mixed};
use crate::bench::{Bench, JAR_UG};

/// Everything that a log says of batches and of a lot.
fn told(home: &Home, marks: &[&str]) -> Vec<Value> {
    let mut said = Vec::new();
    for mark in marks {
        said.push(vec!["log", "show", mark, "--json"]);
    }
    said.push(vec!["log", "lot", "old", "--json"]);
    let answers = said
        .iter()
        .map(|words| run(&mut home.tarehand(words), "", LIMIT).good());
    answers
        .map(|answer| serde_json::from_str(&answer).unwrap())
        .collect()
}

#[test]
fn jars_that_went_into_each_other_are_linked_in_another_log_in_whichever_order_they_come_there() {
    let mut bench = Bench::new();
    bench.attach();
    let (plain, _) = mixed(&mut bench, PLAIN);
    let (tinted, inside) = mixed(&mut bench, TINTED);
    // On the scale, an amendment; then as told, each way.
    let join = json!({"from": plain, "into": tinted, "mass": "10 g"});
    let answer = bench.service.client().post("/v1/benches/bench/join", &join);
    let _view = answer.with_status(200);
    bench.wait_doing("change-jar");
    bench.scale.load(JAR_UG, inside);
    let _poured = bench.pour_step(0);
    let joined = finished(&mut bench);
    for (from, into, mass) in [(&tinted, &plain, "20 g"), (&plain, &tinted, "5 g")] {
        bench.tell(&["join", from, "into", into, "--mass", mass, "--told"]);
    }
    let marks = [plain.as_str(), tinted.as_str(), joined.as_str()];
    let here = told(&bench.home, &marks);
    let export = bench.tell(&["log", "export", "--format", "json"]);
    let export: Vec<Value> = serde_json::from_str(&export).unwrap();
    assert_eq!(export.len(), 3);
    let kept = |home: &Home, mark: &str| -> Value {
        let words = ["log", "export", "--format", "json", mark];
        let said = run(&mut home.tarehand(&words), "", LIMIT).good();
        serde_json::from_str::<Value>(&said).unwrap()[0]["kept"].clone()
    };

    for order in [[0, 2, 1], [1, 2, 0], [2, 1, 0]] {
        let home = Home::new();
        let _service = Service::start(&home, &[]);
        let import = |which: &[usize]| {
            let batches: Vec<&Value> = which.iter().map(|&at| &export[at]).collect();
            let file = home.path().join("batches.json");
            fs::write(&file, serde_json::to_string(&batches).unwrap()).unwrap();
            run(
                &mut home.tarehand(&["log", "import", file.to_str().unwrap()]),
                "",
                LIMIT,
            )
            .good()
        };
        // One alone: the jars it was poured into, or out of, are vessels by their marks.
        let [first, rest @ ..] = order;
        assert!(import(&[first]).contains("1 batches taken in"));
        assert_eq!(kept(&home, marks[first]), export[first]["kept"]);
        let show = ["log", "show", marks[first]];
        let shown = run(&mut home.tarehand(&show), "", LIMIT).good();
        let plot = ["log", "plot", marks[first]];
        let _plot = run(&mut home.tarehand(&plot), "", LIMIT).good();
        if first < 2 {
            let other = marks[1 - first];
            assert!(
                shown.contains("not in this log") && shown.contains(other),
                "{shown}"
            );
        }
        assert!(import(&rest).contains("2 batches taken in"));
        assert_eq!(told(&home, &marks), here);
        for (mark, exported) in marks.iter().zip(&export) {
            assert_eq!(kept(&home, mark), exported["kept"]);
        }
        assert!(import(&[0, 1, 2]).contains("0 batches taken in, 3 were here"));
        assert_eq!(told(&home, &marks), here);
        let whole = run(&mut home.tarehand(&["log", "verify"]), "", LIMIT).good();
        assert!(whole.contains("is whole"), "{whole}");
    }
}

#[test]
fn a_batch_that_was_poured_into_a_jar_of_no_mark_or_beyond_all_measure_is_not_taken_in() {
    let mut bench = Bench::new();
    bench.attach();
    let (plain, _) = mixed(&mut bench, PLAIN);
    let kept = get(&bench, &format!("/v1/batches/{plain}/kept"));
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let refused = |transfer: Value, status: u16| -> Value {
        let mut wrong = kept.clone();
        wrong["entries"][0]["transfers"] = json!([transfer]);
        let answer = service.client().post("/v1/batches", &wrong);
        answer.with_status(status).json()
    };
    let moved = |to: &str, mass_ug: u64| json!({"from": {"jar": plain}, "to": {"jar": to}, "substance": "slip", "mass_ug": mass_ug, "seen": true});
    let nameless = refused(moved("the blue one", 1), 422);
    assert_eq!(
        nameless["type"], "urn:tarehand:problem:bad-batch",
        "{nameless}"
    );
    let itself = plain.to_lowercase();
    for absurd in [
        moved("22222", u64::MAX),
        moved("22222", 1_000_000_000_000_001),
        moved(&itself, 1),
    ] {
        let _problem = refused(absurd, 422);
    }
    let list = service.client().get("/v1/batches").with_status(200).json();
    assert_eq!(list["batches"], json!([]), "{list}");
}
