//! Slips put right through the real command line and the API: the same answer by both doors, and clear refusals.
//!
//! The numbers themselves are held against a solver by `tests/oracles/rescue.py`.

use std::fs;

use serde_json::{Value, json};
use tarehand_tests::binaries::tarehand;
use tarehand_tests::{Finished, Home, LIMIT, Service, run};

const BASE: &str = r#"
[recipe]
name  = "Slate ground"
makes = "100 g"

[[step]]
add    = "base"
amount = "60 parts"

[[step]]
add    = "premix"
amount = "30 parts"

[[step]]
add    = "colour"
amount = "10 parts"
"#;

const PREMIX: &str = r#"
[recipe]
name = "Thin varnish"

[[step]]
add    = "varnish"
amount = "4 parts"

[[step]]
add    = "water"
amount = "1 part"
"#;

fn rescue(home: &Home, arguments: &[&str]) -> Finished {
    let folder = home.path().join("recipes");
    fs::create_dir_all(&folder).unwrap();
    fs::write(folder.join("slate.toml"), BASE).unwrap();
    fs::write(folder.join("premix.toml"), PREMIX).unwrap();
    let mut command = home.command(tarehand());
    command.arg("rescue").arg(folder.join("slate.toml"));
    run(command.args(arguments), "", LIMIT)
}

fn option<'a>(answer: &'a Value, kind: &str) -> &'a Value {
    let mut options = answer["options"].as_array().unwrap().iter();
    options.find(|option| option["kind"] == kind).unwrap()
}

// Figures on which scipy's HiGHS, OR-tools and exact rationals agree.
#[test]
fn plain_water_where_a_premix_was_wanted_is_answered_as_json() {
    let home = Home::new();
    let arguments = ["--make", "100g", "--poured", "base=60g,water=20g", "--json"];
    let answer: Value =
        serde_json::from_str(&rescue(&home, &arguments).with_code(0).stdout).unwrap();
    assert_eq!(answer["recommended"], "take-out");
    let exact = option(&answer, "top-up-exact");
    assert_eq!(exact["feasible"], true);
    assert!((exact["total_g"].as_f64().unwrap() - 1000.0 / 3.0).abs() < 1e-9);
    let added: Vec<(&str, f64)> = exact["add"]
        .as_array()
        .unwrap()
        .iter()
        .map(|pour| {
            (
                pour["ingredient"].as_str().unwrap(),
                pour["rounded_g"].as_f64().unwrap(),
            )
        })
        .collect();
    assert_eq!(
        added,
        [("base", 140.0), ("colour", 33.3), ("varnish", 80.0)]
    );
}

#[test]
fn the_service_answers_as_the_command_line_does() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let arguments = [
        "--poured",
        "base=60g,premix=40g",
        "--jar",
        "120g",
        "--division",
        "0.1g",
        "--json",
    ];
    let said: Value = serde_json::from_str(&rescue(&home, &arguments).with_code(0).stdout).unwrap();
    let request = json!({
        "recipe": "slate",
        "recipes": {"slate": BASE, "premix": PREMIX},
        "measures": {},
        "poured": [
            {"ingredient": "base", "amount": "60 g"},
            {"ingredient": "premix", "amount": "40 g"},
        ],
        "jar": "120 g",
        "division": "0.1 g",
    });
    let answer = service
        .client()
        .post("/v1/recipes/rescue", &request)
        .with_status(200)
        .json();
    assert_eq!(answer, said);
    let mut unknown = request;
    unknown["poured"][0]["ingredient"] = json!("bass");
    let problem = service
        .client()
        .post("/v1/recipes/rescue", &unknown)
        .with_status(422)
        .json();
    assert_eq!(
        problem["detail"],
        "`bass` is not in this recipe; did you mean `base`?"
    );
}

#[test]
fn a_page_says_what_to_do_and_what_cannot_be_done() {
    let home = Home::new();
    let arguments = ["--poured", "base=66g", "--jar", "105g"];
    let page = rescue(&home, &arguments).with_code(0).stdout;
    assert!(
        page.contains("stir well, take out 3 g, then still add"),
        "{page}"
    );
    assert!(
        page.contains(
            "topping up to the exact ratio: the jar holds 105.0 g and this comes to 110.0 g"
        ),
        "{page}"
    );
}

#[test]
fn what_makes_no_jar_is_refused_with_what_would_be_right() {
    let home = Home::new();
    let refused = |arguments: &[&str], code: i32, words: &str| {
        let finished = rescue(&home, arguments).with_code(code);
        assert!(finished.stderr.contains(words), "{}", finished.stderr);
        assert!(!finished.stderr.contains("panicked"), "{}", finished.stderr);
    };
    refused(&["--poured", "bass=60g"], 1, "did you mean `base`?");
    refused(&["--poured", "base=?"], 1, "so is what all of it weighs");
    refused(
        &["--poured", "base=60g", "--taken-out", "70g"],
        1,
        "cannot have left",
    );
    refused(&["--poured", "base"], 2, "a name and a mass are wanted");
    refused(&["--poured", "base=-3g"], 2, "no amount");
    refused(
        &["--poured", "base=60g", "--jar", "3drops"],
        2,
        "a mass or a volume",
    );
    refused(&[], 2, "--poured");
}
