//! The record is kept: copied, put back, checked, moved to another studio.

use std::fs;
use std::path::Path;

use serde_json::Value;
use tarehand_tests::{Finished, Home, LIMIT, Service, run};

use crate::history::rehearsed;

fn person(home: &Home, words: &[&str]) -> Finished {
    run(&mut home.tarehand(words), "", LIMIT)
}

fn shown(home: &Home, mark: &str) -> Value {
    let said = person(home, &["log", "show", mark, "--json"]).good();
    serde_json::from_str(&said).unwrap()
}

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

#[test]
fn a_copy_that_is_put_back_is_the_log_again_and_the_log_of_before_is_kept() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let first = rehearsed(&home, "slate-pale.toml");
    let copy = home.path().join("studio.db");
    let said = person(&home, &["log", "backup", text(&copy)]).good();
    assert!(
        said.contains("1 batches") && said.contains("whole"),
        "{said}"
    );
    let again = person(&home, &["log", "backup", text(&copy)]).with_code(1);
    assert!(again.stderr.contains("not there yet"), "{}", again.stderr);
    let nowhere = home.path().join("no-such-folder/studio.db");
    let nowhere = person(&home, &["log", "backup", text(&nowhere)]).with_code(1);
    assert!(
        nowhere.stderr.contains("the copy cannot be written there"),
        "{}",
        nowhere.stderr
    );
    let record = shown(&home, &first);
    let second = rehearsed(&home, "slate-pale.toml");
    let running = person(&home, &["log", "restore", text(&copy)]).with_code(1);
    assert!(
        running.stderr.contains("tarehand stop"),
        "{}",
        running.stderr
    );
    let _ended = service.terminate(LIMIT);
    let restored = person(&home, &["log", "restore", text(&copy)]).with_code(0);
    assert!(restored.stdout.contains("1 batches"), "{}", restored.stdout);
    let before = restored
        .stderr
        .split("the log of before is ")
        .nth(1)
        .unwrap();
    let _service = Service::start(&home, &[]);
    assert_eq!(shown(&home, &first), record);
    let _gone = person(&home, &["log", "show", &second]).with_code(1);
    let whole = person(&home, &["log", "verify", before.trim()]).good();
    assert!(whole.contains("is whole"), "{whole}");
}

#[test]
fn a_damaged_copy_is_said_to_be_and_changes_nothing() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let mark = rehearsed(&home, "slate-pale.toml");
    let copy = home.path().join("studio.db");
    let _said = person(&home, &["log", "backup", text(&copy)]).good();
    let record = shown(&home, &mark);
    let _ended = service.terminate(LIMIT);
    let bytes = fs::read(&copy).unwrap();
    let mut torn = bytes.clone();
    torn.truncate(bytes.len() / 2);
    let mut scribbled = bytes.clone();
    let middle = bytes.len() / 2;
    scribbled[middle..middle + 4096].fill(0xA5);
    for damaged in [torn, scribbled, b"no log at all".to_vec()] {
        fs::write(&copy, damaged).unwrap();
        let verified = person(&home, &["log", "verify", text(&copy)]).with_code(1);
        assert!(!verified.stderr.is_empty() || !verified.stdout.is_empty());
        let restored = person(&home, &["log", "restore", text(&copy)]).with_code(1);
        assert!(restored.stderr.contains("try: "), "{}", restored.stderr);
    }
    let _service = Service::start(&home, &[]);
    assert_eq!(shown(&home, &mark), record);
    let whole = person(&home, &["log", "verify"]).good();
    assert!(whole.contains("is whole"), "{whole}");
}

#[test]
fn another_studio_takes_an_export_in_as_it_is_and_only_once() {
    let (here, there) = (Home::new(), Home::new());
    let _one = Service::start(&here, &[]);
    let mark = rehearsed(&here, "slate-pale.toml");
    let _said = person(&here, &["log", "outcome", &mark, "dried clear"]).good();
    let export = here.path().join("batches.json");
    fs::write(
        &export,
        person(&here, &["log", "export", "--format", "json"]).good(),
    )
    .unwrap();
    let _two = Service::start(&there, &[]);
    let import = || person(&there, &["log", "import", text(&export)]).good();
    assert_eq!(import().trim(), "1 batches taken in, 0 were here already");
    assert_eq!(import().trim(), "0 batches taken in, 1 were here already");
    assert_eq!(shown(&there, &mark), shown(&here, &mark));
    let plot = |home| person(home, &["log", "plot", &mark]).good();
    assert_eq!(plot(&there), plot(&here));
    let found = person(&there, &["log", "list", "--find", "dried clear"]).good();
    assert!(found.contains(&mark), "{found}");
    let whole = person(&there, &["log", "verify"]).good();
    assert!(whole.contains("is whole"), "{whole}");
    // What was changed on the way is another batch, and takes no batch's place.
    let changed = fs::read_to_string(&export)
        .unwrap()
        .replace("dried clear", "dried hazy");
    fs::write(&export, changed).unwrap();
    let refused = person(&there, &["log", "import", text(&export)]).with_code(1);
    assert!(
        refused.stderr.contains("another batch with the mark"),
        "{}",
        refused.stderr
    );
    fs::write(&export, "[{\"kept\": 1}]").unwrap();
    let wrong = person(&there, &["log", "import", text(&export)]).with_code(1);
    assert!(
        wrong.stderr.contains("is no export of a log"),
        "{}",
        wrong.stderr
    );
}

/// What `log export` writes of some batches.
fn exported(home: &Home, marks: &[&str]) -> Vec<Value> {
    let words = [&["log", "export", "--format", "json"], marks].concat();
    serde_json::from_str(&person(home, &words).good()).unwrap()
}

/// Imports batches into the log of a service.
fn import(home: &Home, batches: &[Value]) -> Finished {
    let file = home.path().join("batches.json");
    fs::write(&file, serde_json::to_string(batches).unwrap()).unwrap();
    person(home, &["log", "import", text(&file)])
}

/// A batch as an export would have had it while it was being made: without its last entries.
fn unfinished(batch: &Value, last: usize) -> Value {
    let mut early = batch.clone();
    let kept = &mut early["kept"];
    let entries = kept["entries"].as_array_mut().unwrap();
    entries.truncate(entries.len() - last);
    kept["state"] = "running".into();
    kept["closed"] = Value::Null;
    early
}

#[test]
fn an_import_goes_on_where_a_batch_went_on_and_names_what_it_refuses() {
    let (here, there) = (Home::new(), Home::new());
    let _one = Service::start(&here, &[]);
    let made = [0; 3].map(|_| rehearsed(&here, "slate-pale.toml"));
    let [first, second, third] = &made;
    let marks = [first.as_str(), third, second];
    let batches = exported(&here, &marks);
    let [a, b, c] = batches.as_slice() else {
        panic!("three were made: {batches:?}");
    };
    let early = [unfinished(a, 3), b.clone(), c.clone()];
    let _two = Service::start(&there, &[]);
    let said = import(&there, &early).good();
    assert_eq!(said.trim(), "3 batches taken in, 0 were here already");
    // Both add something to the third, each its own; only the first log adds something to the second.
    let outcome = |home, mark: &str, said| person(home, &["log", "outcome", mark, said]).good();
    let _said = outcome(&here, second, "dried clear");
    let _said = outcome(&here, third, "a little hazy");
    let _said = outcome(&there, third, "not hazy at all");
    let there_third = shown(&there, third);
    let later = exported(&here, &marks);
    let again = import(&there, &later).with_code(1);
    assert_eq!(
        again.stdout.trim(),
        "0 batches taken in, 2 went on, 0 were here already, 1 refused"
    );
    let why = format!("{third}: that batch is not taken in: another batch with the mark {third}");
    assert!(again.stderr.contains(&why), "{}", again.stderr);
    for mark in [first, second] {
        assert_eq!(shown(&there, mark), shown(&here, mark));
    }
    assert_eq!(shown(&there, third), there_third);
    let plot = |home| person(home, &["log", "plot", first]).good();
    assert_eq!(plot(&there), plot(&here));
    // What was exported before is a part of what is here.
    let said = import(&there, &early).good();
    assert_eq!(said.trim(), "0 batches taken in, 3 were here already");
    let whole = person(&there, &["log", "verify"]).good();
    assert!(whole.contains("is whole"), "{whole}");
    // A refused one says what is the matter with it.
    let other = a.to_string().replace(first.as_str(), "ZZZZ2");
    let mut wrong = [serde_json::from_str(&other).unwrap(), b.clone()];
    wrong[0]["kept"]["opened"] = "yesterday".into();
    let refused = import(&there, &wrong).with_code(1);
    assert!(
        refused.stderr.contains("opened is a time in UTC") && !refused.stderr.contains("same mark"),
        "{}",
        refused.stderr
    );
    assert!(refused.stdout.contains("1 refused"), "{}", refused.stdout);
}

#[test]
fn a_batch_that_came_unfinished_is_over_here_and_its_jar_can_be_used() {
    let (here, there) = (Home::new(), Home::new());
    let _one = Service::start(&here, &[]);
    let made = [0; 2].map(|_| rehearsed(&here, "slate-pale.toml"));
    let marks = [made[0].as_str(), made[1].as_str()];
    let mut batches = exported(&here, &marks);
    for batch in &mut batches {
        batch["kept"]["rehearsal"] = false.into();
    }
    batches[0] = unfinished(&batches[0], 3);
    let _two = Service::start(&there, &[]);
    let _said = import(&there, &batches).good();
    let record = shown(&there, marks[0]);
    assert_eq!(record["state"], "aborted");
    let steps = record["steps"].as_array().unwrap();
    assert!(steps.iter().all(|step| step["status"] != "now"));
    let list = person(&there, &["log", "list", "--json"]).good();
    let list: Value = serde_json::from_str(&list).unwrap();
    let mut listed = list["batches"].as_array().unwrap().iter();
    let listed = listed.find(|batch| batch["mark"] == marks[0]).unwrap();
    assert_eq!(listed["state"], "aborted");
    for (from, into) in [(0, 1), (1, 0)] {
        let words = [
            "join",
            marks[from],
            "into",
            marks[into],
            "--mass",
            "2 g",
            "--told",
        ];
        let _said = person(&there, &words).good();
    }
    let said = person(&there, &["log", "outcome", marks[0], "good enough"]).good();
    assert!(said.contains("good enough"), "{said}");
    let whole = person(&there, &["log", "verify"]).good();
    assert!(whole.contains("is whole"), "{whole}");
}

#[test]
fn a_batch_that_was_changed_on_the_way_is_refused_with_what_is_different_and_the_others_come_in() {
    let (here, there) = (Home::new(), Home::new());
    let _one = Service::start(&here, &[]);
    let made = [0; 3].map(|_| rehearsed(&here, "slate-pale.toml"));
    let marks = made.each_ref().map(String::as_str);
    let genuine = exported(&here, &marks);
    let mut batches = genuine.clone();
    // Of the first a mass of the ledger, of the second the texts; the third is as it was.
    let entries = batches[0]["kept"]["entries"].as_array_mut().unwrap();
    let poured = entries.iter_mut().find(|entry| entry["kind"] == "poured");
    let mass = &mut poured.unwrap()["transfers"][0]["mass_ug"];
    *mass = (mass.as_u64().unwrap() + 2_000_000).into();
    batches[1]["kept"]["shelf_text"] = "[ingredient.ash\nlot = 7".into();
    batches[1]["kept"]["recipe_text"] = "[recipe]\nname = ".into();
    let _two = Service::start(&there, &[]);
    let said = import(&there, &batches).with_code(1);
    assert_eq!(
        said.stdout.trim(),
        "2 batches taken in, 0 were here already, 1 refused"
    );
    let [first, second, third] = marks;
    let lines: Vec<&str> = said.stderr.lines().collect();
    let refused = lines.iter().find(|line| line.starts_with(first)).unwrap();
    assert!(
        refused.contains("(`poured`) moves") && refused.contains("but its ledger says"),
        "{refused}"
    );
    assert!(
        said.stderr
            .contains("export it again from the log it was made in"),
        "{}",
        said.stderr
    );
    for text in ["shelf", "recipe"] {
        let remark = format!("{second}: its {text} text cannot be read");
        assert!(said.stderr.contains(&remark), "{}", said.stderr);
    }
    assert!(!said.stderr.contains(third), "{}", said.stderr);
    let _nothing = person(&there, &["log", "show", first]).with_code(1);
    // What was weighed is whole, whatever became of the texts.
    for mark in [second, third] {
        assert_eq!(shown(&there, mark)["steps"], shown(&here, mark)["steps"]);
    }
    let again = import(&there, &genuine).good();
    assert_eq!(again.trim(), "1 batches taken in, 2 were here already");
    assert_eq!(shown(&there, first), shown(&here, first));
    let whole = person(&there, &["log", "verify"]).good();
    assert!(whole.contains("is whole"), "{whole}");
}
