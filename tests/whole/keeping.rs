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
