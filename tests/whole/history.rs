//! What is known of a batch afterwards: found again, drawn, judged days later, written out.

use serde_json::{Value, json};
use tarehand_tests::{Home, LIMIT, Service, run};

use crate::bench::fixture;

/// Rehearses a recipe to its end and returns its mark.
#[track_caller]
pub(crate) fn rehearsed(home: &Home, recipe: &str) -> String {
    let file = fixture(recipe);
    let words = ["rehearse", file.to_str().unwrap(), "--speed", "60"];
    let _said = run(&mut home.tarehand(&words), "", LIMIT).good();
    let list = run(&mut home.tarehand(&["log", "list", "--json"]), "", LIMIT).good();
    let list: Value = serde_json::from_str(&list).unwrap();
    list["batches"][0]["mark"].as_str().unwrap().to_owned()
}

#[track_caller]
fn person(home: &Home, words: &[&str]) -> String {
    run(&mut home.tarehand(words), "", LIMIT).good()
}

#[test]
fn a_batch_is_found_by_what_went_into_it_and_by_what_was_said_of_it() {
    let home = Home::new();
    let _service = Service::start(&home, &[]);
    let mark = rehearsed(&home, "slate-pale.toml");
    let record: Value =
        serde_json::from_str(&person(&home, &["log", "show", &mark, "--json"])).unwrap();
    let thing = record["contents"][0]["name"].as_str().unwrap();
    let list = |words: &[&str]| person(&home, &[&["log", "list"], words].concat());
    assert!(list(&["--with", thing]).contains(&mark));
    assert!(list(&["--from", "2026-01-01", "--find", &mark.to_lowercase()]).contains(&mark));
    assert!(!list(&["--until", "2026-01-01"]).contains(&mark));
    assert!(!list(&["--find", "laced"]).contains(&mark));
    let words = ["log", "list", "--from", "yesterday"];
    let refused = run(&mut home.tarehand(&words), "", LIMIT).with_code(2);
    assert!(refused.stderr.contains("is no date"), "{}", refused.stderr);
    let said = person(
        &home,
        &[
            "log",
            "outcome",
            &mark,
            "laced well",
            "--picture",
            "panel-3.jpg",
        ],
    );
    assert!(said.contains("laced well; picture panel-3.jpg"), "{said}");
    assert!(list(&["--find", "laced"]).contains(&mark));
    let shown = person(&home, &["log", "show", &mark]);
    assert!(shown.contains("What became of it"), "{shown}");
}

#[test]
fn an_outcome_of_nothing_of_an_unknown_batch_or_of_one_that_runs_is_refused() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let mark = rehearsed(&home, "slate-pale.toml");
    let say = |mark: &str, outcome: Value| {
        service
            .client()
            .post(&format!("/v1/batches/{mark}/outcomes"), &outcome)
    };
    let _nothing = say(&mark, json!({})).with_status(422);
    let _nobody = say("22222", json!({"found": ["cracked"]})).with_status(404);
    let _other = say(&mark, json!({"better_than": "22222"})).with_status(404);
    let file = std::fs::read_to_string(fixture("slate-pale.toml")).unwrap();
    let shelf = std::fs::read_to_string(fixture("shelf.toml")).ok();
    let batch =
        json!({"recipe": "a", "recipes": {"a": file}, "shelf": shelf, "size": "as-written"});
    let view: Value = service
        .client()
        .post("/v1/rehearsals", &json!({"batch": batch}))
        .with_status(200)
        .json();
    let runs = view["batch"].as_str().unwrap();
    let early: Value = say(runs, json!({"found": ["cracked"]}))
        .with_status(409)
        .json();
    assert_eq!(early["type"], "urn:tarehand:problem:batch-not-over");
}

#[test]
fn the_weight_over_time_is_drawn_and_a_page_is_written_that_needs_nothing_else() {
    let home = Home::new();
    let _service = Service::start(&home, &[]);
    let mark = rehearsed(&home, "slate-pale.toml");
    let picture = person(&home, &["log", "plot", &mark]);
    assert!(picture.starts_with("<svg "), "{picture}");
    let points = picture
        .split("points=\"")
        .nth(1)
        .unwrap()
        .split('"')
        .next()
        .unwrap();
    assert!(10 < points.split(' ').count(), "{points}");
    let page = person(&home, &["log", "export", "--format", "html"]);
    assert!(page.starts_with("<!doctype html>") && page.trim_end().ends_with("</html>"));
    assert!(page.contains(&mark) && page.contains("<svg "));
    for outside in ["src=", "href=", "<script", "@import", "url("] {
        assert!(!page.contains(outside), "{outside}");
    }
}
