//! A whole set planned through the real command line and the API: the same answer by both doors, and clear refusals.
//!
//! The numbers themselves are held against an independent computation by `tests/oracles/plan.py`.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use serde_json::{Value, json};
use tarehand_tests::binaries::tarehand;
use tarehand_tests::{Finished, Home, LIMIT, Service, run};

#[test]
fn a_recipe_is_told_to_be_no_set_and_what_to_do_with_it() {
    let home = Home::new();
    let recipe = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/studio/ember-round.toml");
    let mut command = home.command(tarehand());
    command.arg("plan").arg(recipe);
    let said = run(&mut command, "", LIMIT).with_code(1).stderr;
    assert!(
        said.contains("`ember-round` is a recipe, not a set of jars"),
        "{said}"
    );
    assert!(said.contains("tarehand size ember-round.toml"), "{said}");
    assert!(!said.contains("known are"), "{said}");
}

/// The studio's recipes, shelf and set.
fn studio() -> BTreeMap<String, String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/studio");
    let mut texts = BTreeMap::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|ending| ending == "toml") {
            let stem = path.file_stem().unwrap().to_str().unwrap().to_owned();
            texts.insert(stem, fs::read_to_string(&path).unwrap());
        }
    }
    texts
}

/// Plans the studio's set, with one text changed where that is asked for.
fn plan(home: &Home, changed: Option<(&str, &str, &str)>, arguments: &[&str]) -> Finished {
    let folder = home.path().join("studio");
    fs::create_dir_all(&folder).unwrap();
    for (stem, mut text) in studio() {
        if let Some((of, from, to)) = changed
            && of == stem
        {
            assert!(text.contains(from), "{stem} has no {from}");
            text = text.replacen(from, to, 1);
        }
        fs::write(folder.join(format!("{stem}.toml")), text).unwrap();
    }
    let mut command = home.command(tarehand());
    command.arg("plan").arg(folder.join("eight-rounds.toml"));
    run(
        command.args(["--spoon", "metric"]).args(arguments),
        "",
        LIMIT,
    )
}

#[test]
fn the_page_says_jars_premixes_shelf_cost_warnings_order_and_both_walks() {
    let home = Home::new();
    let page = plan(&home, None, &["--pours"]).with_code(0).stdout;
    for said in [
        "Eight rounds: 3267 cm² with edges, 1.83 mm wet (common practice), 599 ml and 10.0 % spare",
        "of it 5.0 g stay in the vessel",
        "together ",
        "of the jar by weight is added water, thinner and premixes counted",
        "then rests 8:00:00",
        "jar by jar",
        "bottle by bottle",
        "Pour by pour",
        "the maker's safety sheet and local rules come first",
    ] {
        assert!(page.contains(said), "no `{said}` in:\n{page}");
    }
}

#[test]
fn the_service_plans_as_the_command_line_does() {
    let home = Home::new();
    let own: Value =
        serde_json::from_str(&plan(&home, None, &["--json"]).with_code(0).stdout).unwrap();
    let mut recipes = studio();
    let shelf = recipes.remove("shelf");
    let set = recipes.remove("eight-rounds").unwrap();
    let request = json!({
        "set": set,
        "recipes": recipes,
        "shelf": shelf,
        "measures": { "spoon": "metric" },
    });
    let service = Service::start(&home, &[]);
    let answer = service
        .client()
        .post("/v1/sets/plan", &request)
        .with_status(200)
        .json();
    for part in [
        "jars",
        "premixes",
        "shelf",
        "cost",
        "warnings",
        "work",
        "by_jar",
        "by_bottle",
    ] {
        assert_eq!(answer[part], own[part], "{part}");
    }
}

#[test]
fn a_set_with_a_mistake_is_refused_at_its_line_with_what_would_be_right() {
    let home = Home::new();
    let refused = plan(
        &home,
        Some(("eight-rounds", "moss-round", "mos-round")),
        &[],
    )
    .with_code(1);
    assert!(
        refused
            .stderr
            .contains("there is no recipe `mos-round` beside the set"),
        "{}",
        refused.stderr
    );
    assert!(
        refused.stderr.contains("did you mean `moss-round`?"),
        "{}",
        refused.stderr
    );
    let refused = plan(&home, Some(("eight-rounds", "4 parts", "60 %")), &[]).with_code(1);
    assert!(
        refused
            .stderr
            .contains("the shares of the jars come to 99 %"),
        "{}",
        refused.stderr
    );
}

#[test]
fn a_set_that_is_to_be_sized_is_named_as_what_it_is() {
    let home = Home::new();
    let _written = plan(&home, None, &[]).with_code(0);
    let set = home.path().join("studio/eight-rounds.toml");
    let mut command = home.command(tarehand());
    command.arg("size").arg(set).args(["--make", "100g"]);
    let refused = run(&mut command, "", LIMIT).with_code(1);
    assert!(
        refused
            .stderr
            .contains("`eight-rounds` is a set of jars, not a recipe"),
        "{}",
        refused.stderr
    );
}

#[test]
fn the_command_that_comes_next_says_again_what_was_said() {
    let home = Home::new();
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures");
    let folder = home.path().join("my paints");
    fs::create_dir_all(&folder).unwrap();
    for file in ["shore-glaze.toml", "slow-medium.toml", "shelf.toml"] {
        fs::copy(fixtures.join("studio").join(file), folder.join(file)).unwrap();
    }
    let mut command = home.command(tarehand());
    command
        .current_dir(&folder)
        .args(["size", "shore-glaze.toml", "--make", "160g"]);
    command.args([
        "--choose",
        "finish=matt",
        "--spoon",
        "us",
        "--shelf",
        "../my paints/shelf.toml",
    ]);
    let said = run(&mut command, "", LIMIT).with_code(0).stderr;
    let next = "next: tarehand mix shore-glaze.toml --make 160g --shelf '../my paints/shelf.toml' --choose finish=matt --spoon us";
    assert!(said.contains(next), "{said}");
    let mut command = home.command(tarehand());
    command
        .current_dir(home.path())
        .args(["shelf", "add", "chalk-white", "--holds", "1kg"]);
    command.args(["--shelf", "my paints/shelf.toml"]);
    let said = run(&mut command, "", LIMIT).with_code(0).stderr;
    assert!(
        said.contains("next: tarehand shelf --shelf 'my paints/shelf.toml'"),
        "{said}"
    );
}
