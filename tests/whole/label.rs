//! Labels for jars, from the record to a file at real size.

use std::fs;

use serde_json::{Value, json};
use tarehand_tests::{Home, LIMIT, Service, run};

use crate::bench::{Bench, fixture};
use crate::history::rehearsed;

#[test]
fn labels_of_several_jars_are_written_as_pdf_or_svg_and_no_file_is_lost() {
    let home = Home::new();
    let _service = Service::start(&home, &[]);
    let one = rehearsed(&home, "slate-pale.toml");
    let two = rehearsed(&home, "slate-pale.toml");
    home.write(
        "config/tarehand/settings.toml",
        "[label]\nbest-before = \"12 weeks\"\n",
    );
    let label = |words: &[&str]| {
        run(
            &mut home.tarehand(&[&["label", &one, &two], words].concat()),
            "",
            LIMIT,
        )
    };
    let _said = label(&["-o", "jars.pdf"]).good();
    let pdf = fs::read(home.path().join("jars.pdf")).unwrap();
    assert!(pdf.starts_with(b"%PDF-") && pdf.trim_ascii_end().ends_with(b"%%EOF"));
    let there = label(&["-o", "jars.pdf"]).with_code(1);
    assert!(
        there.stderr.contains("there is a file jars.pdf already"),
        "{}",
        there.stderr
    );
    let _said = label(&["-o", "jars.svg", "--shares"]).good();
    let svg = fs::read_to_string(home.path().join("jars.svg")).unwrap();
    assert!(svg.contains("width=\"210mm\" height=\"297mm\""));
    for said in [&one, &two, "rehearsal", "84 days", "%"] {
        assert!(svg.contains(said), "{said}: {svg}");
    }
    let wrong = label(&["-o", "jars.png"]).with_code(2);
    assert!(
        wrong.stderr.contains("labels are not written as .png"),
        "{}",
        wrong.stderr
    );
}

#[test]
fn a_sheet_of_ones_own_is_used_and_what_is_wrong_with_it_is_shown_at_its_line() {
    let home = Home::new();
    let _service = Service::start(&home, &[]);
    let mark = rehearsed(&home, "slate-pale.toml");
    let sheet = "[page]\nwidth = \"62 mm\"\nheight = \"29 mm\"\n[label]\nwidth = \"62 mm\"\nheight = \"29 mm\"\n[grid]\n";
    let file = home.write("roll.toml", sheet);
    let label = |words: &[&str]| {
        run(
            &mut home.tarehand(&[&["label", &mark], words].concat()),
            "",
            LIMIT,
        )
    };
    let file = file.to_str().unwrap();
    let _said = label(&["--sheet", file, "-o", "roll.svg"]).good();
    let svg = fs::read_to_string(home.path().join("roll.svg")).unwrap();
    assert!(svg.contains("viewBox=\"0 0 62 29\""));
    let _written = home.write("roll.toml", &sheet.replace("[grid]", "[grid]\ncolumns = 2"));
    let wrong = label(&["--sheet", file, "-o", "again.svg"]).with_code(1);
    assert!(wrong.stderr.contains("sheet.toml:8:11"), "{}", wrong.stderr);
    assert!(wrong.stderr.contains("come to 124 mm"), "{}", wrong.stderr);
    let beyond = label(&["--first", "25", "-o", "again.svg"]).with_code(1);
    assert!(
        beyond.stderr.contains("the sheet has no label 25"),
        "{}",
        beyond.stderr
    );
}

#[test]
fn all_jars_of_a_run_get_their_labels_by_the_mark_of_one() {
    let bench = Bench::new();
    bench.attach();
    let text = |name: &str| fs::read_to_string(fixture(name)).unwrap();
    let alone = rehearsed(&bench.home, "slate-pale.toml");
    let recipes: Value = ["slate-base", "slate-dark", "slate-pale"]
        .into_iter()
        .map(|stem| (stem.to_owned(), Value::from(text(&format!("{stem}.toml")))))
        .collect();
    let body = json!({"set": text("two-slates.toml"), "recipes": recipes});
    let client = bench.service.client();
    let view: Value = client
        .post("/v1/benches/bench/set", &body)
        .with_status(200)
        .json();
    let one = view["batch"].as_str().unwrap();
    let ask = |body: Value| client.post("/v1/labels", &body);
    let run = ask(json!({"set_of": one, "form": "svg"})).with_status(200);
    assert_eq!(run.field("content-type"), Some("image/svg+xml"));
    let svg = run.text();
    assert!(svg.contains(one) && !svg.contains(&alone), "{svg}");
    assert_eq!(svg.matches("aria-label=\"QR\"").count(), 3, "{svg}");
    let single = ask(json!({"set_of": alone, "form": "svg"}))
        .with_status(200)
        .text();
    assert_eq!(single.matches("aria-label=\"QR\"").count(), 1);
    let _nobody = ask(json!({"marks": ["22222"]})).with_status(404);
    let _nothing = ask(json!({"marks": []})).with_status(422);
    let _never = ask(json!({"marks": [alone], "best_before_days": 0})).with_status(422);
    // Too many are refused before any of them is read.
    let many = vec!["no mark at all"; 1001];
    let many: Value = ask(json!({"marks": many})).with_status(422).json();
    assert_eq!(many["type"], "urn:tarehand:problem:no-labels", "{many}");
}
