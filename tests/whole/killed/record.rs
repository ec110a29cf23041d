//! The record of a batch against what was really poured, through every door there is.

use std::collections::BTreeMap;
use std::process::Command;

use serde_json::Value;
use tarehand_tests::{Home, LIMIT, binaries, run};

use super::station::Station;

/// One division of the scale, in grams.
pub(super) const DIVISION_G: f64 = 0.1;

/// Reads the log with SQLite's own binding of Python, which knows nothing of the service.
const READ: &str = r#"
import json, sqlite3, sys
log = sqlite3.connect(f"file:{sys.argv[1]}?mode=ro", uri=True)
rows = lambda sql, *given: log.execute(sql, given).fetchall()
batch, = rows("SELECT id, state FROM batch WHERE mark = ?", sys.argv[2])
kinds = {}
for kind, body in rows("SELECT kind, body FROM entry WHERE batch = ? ORDER BY seq", batch[0]):
    kinds.setdefault(kind, []).append(json.loads(body))
print(json.dumps({
    "sound": rows("PRAGMA integrity_check") == [("ok",)] and rows("PRAGMA foreign_key_check") == [],
    "state": batch[1],
    "ledger_ug": dict(rows("SELECT substance, mass_ug FROM ledger WHERE batch = ?", batch[0])),
    "all_ug": rows("SELECT coalesce(sum(mass_ug), 0) FROM movement")[0][0],
    "kinds": {kind: len(bodies) for kind, bodies in kinds.items()},
    "judged": [body["task"] for body in kinds.get("judged", [])],
    "empty": rows("SELECT count(*) FROM batch WHERE id NOT IN (SELECT batch FROM entry)")[0][0],
}))
"#;

/// Sees that the record of a complete batch is what was poured, in micrograms by ingredient.
#[track_caller]
pub(super) fn check(station: &Station, mark: &str, truth_ug: &BTreeMap<String, i64>) {
    let (status, record) = station
        .ask("GET", &format!("/v1/batches/{mark}"), &Value::Null)
        .expect("nobody kills it now");
    assert_eq!(status, 200, "{record}");
    assert_eq!(record["state"], "complete", "{record}");
    contents(&record, truth_ug);
    command_line(station.home(), mark, &record);
    database(station.home(), mark, &record);
}

#[track_caller]
fn contents(record: &Value, truth_ug: &BTreeMap<String, i64>) {
    let contents = record["contents"].as_array().unwrap();
    for line in contents {
        let truth = truth_ug
            .get(line["name"].as_str().unwrap())
            .map_or(0.0, |&ug| grams(ug));
        let poured = line["poured_g"].as_f64().unwrap();
        // Both ends of an addition are rounded to the nearest division; a rescue adds another addition.
        let additions = record["steps"].as_array().unwrap().iter().filter(|step| {
            let title = step["title"].as_str().unwrap();
            title.trim_start_matches("more ") == line["name"]
        });
        let rounding: f64 = additions.map(|_| DIVISION_G).sum();
        assert!(
            (poured - truth).abs() <= rounding + 1e-6,
            "{truth} g poured, {line} recorded\n{}",
            story(record)
        );
        let unseen = line["unseen_g"].as_f64().unwrap();
        assert!((0.0..=poured + 1e-6).contains(&unseen), "{line}");
    }
}

/// Returns what happened, a line an entry.
pub(super) fn story(record: &Value) -> String {
    let entries = record["entries"].as_array().into_iter().flatten();
    entries
        .map(|entry| format!("{} {} {}\n", entry["seq"], entry["kind"], entry["text"]))
        .collect()
}

#[track_caller]
fn command_line(home: &Home, mark: &str, record: &Value) {
    let mut command = home.command(binaries::tarehand());
    let shown = run(command.args(["log", "show", mark, "--json"]), "", LIMIT).good();
    assert_eq!(&serde_json::from_str::<Value>(&shown).unwrap(), record);
}

#[track_caller]
fn database(home: &Home, mark: &str, record: &Value) {
    let mut python = Command::new("python3");
    python.args(["-c", READ]);
    python
        .arg(home.data().join("tarehand/log.sqlite"))
        .arg(mark);
    let read = run(&mut python, "", LIMIT).good();
    let read: Value = serde_json::from_str(&read).unwrap();
    let story = || format!("{read}\n{}", story(record));
    assert_eq!(read["sound"], true, "{}", story());
    assert_eq!(read["state"], "complete", "{}", story());
    // Every transfer takes from one vessel what it gives to another.
    assert_eq!(read["all_ug"], 0, "{}", story());
    for line in record["contents"].as_array().unwrap() {
        let booked = read["ledger_ug"][line["ingredient"].as_str().unwrap()].as_i64();
        let booked = grams(booked.unwrap_or(0));
        let poured = line["poured_g"].as_f64().unwrap();
        assert!((booked - poured).abs() <= 1e-9, "{line} {}", story());
    }
    for once in ["opened", "jar-placed", "completed"] {
        assert_eq!(read["kinds"][once], 1, "{once} {}", story());
    }
    let mut judged: Vec<i64> = read["judged"]
        .as_array()
        .unwrap()
        .iter()
        .map(|task| task.as_i64().unwrap())
        .collect();
    let all = judged.len();
    judged.sort_unstable();
    judged.dedup();
    assert_eq!(judged.len(), all, "judged twice: {}", story());
    assert_eq!(
        all,
        record["steps"].as_array().unwrap().len(),
        "{}",
        story()
    );
    assert_eq!(read["empty"], 0, "a batch without a journal: {}", story());
}

/// Returns micrograms in grams.
#[expect(
    clippy::cast_precision_loss,
    reason = "a jar holds less micrograms than a float holds whole numbers"
)]
pub(super) fn grams(ug: i64) -> f64 {
    ug as f64 / 1e6
}
