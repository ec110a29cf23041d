//! What is handed on and taken over: cards of recipes and batches, by both doors, and a recipe from what was judged.

use std::fs;

use serde_json::{Value, json};
use tarehand_tests::binaries::{repository, tarehand};
use tarehand_tests::{Finished, Home, LIMIT, Service, run};

use crate::bench::{Bench, fixture};

fn share(home: &Home, arguments: &[&str]) -> Finished {
    let recipe = repository().join("fixtures/studio/lagoon-round.toml");
    let mut command = home.command(tarehand());
    command.arg("share").arg(recipe);
    run(command.args(arguments), "", LIMIT)
}

#[test]
fn a_recipe_is_written_once_and_never_over_another_file() {
    let home = Home::new();
    let card = share(&home, &["--for", "au"]).with_code(0).stdout;
    assert!(card.starts_with("Lagoon round, pearl blue\n"), "{card}");
    assert!(
        card.contains("Australian measures: teaspoon 5 ml, tablespoon 20 ml"),
        "{card}"
    );
    assert_eq!(card.matches("Premix: Slow medium").count(), 1, "{card}");
    let file = home.path().join("card.json");
    let path = file.to_str().unwrap();
    let flags = ["--format", "json-ld", "--make", "300g", "-o", path];
    let _written = share(&home, &flags).with_code(0);
    let how: Value = serde_json::from_str(&fs::read_to_string(&file).unwrap()).unwrap();
    assert_eq!(how["@context"], "https://schema.org");
    assert_eq!(how["yield"]["value"], 300.0);
    let refused = share(&home, &flags).with_code(1);
    assert!(refused.stderr.contains("--yes"), "{}", refused.stderr);
    let _replaced = share(&home, &["-o", path, "--yes"]).with_code(0);
    assert!(
        fs::read_to_string(&file)
            .unwrap()
            .starts_with("Lagoon round")
    );
}

#[test]
fn the_service_writes_the_card_that_the_command_line_writes() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let mut recipes = serde_json::Map::new();
    for stem in ["lagoon-round", "slow-medium", "pearl-medium"] {
        let file = repository().join(format!("fixtures/studio/{stem}.toml"));
        recipes.insert(stem.to_owned(), json!(fs::read_to_string(file).unwrap()));
    }
    let shelf = fs::read_to_string(repository().join("fixtures/studio/shelf.toml")).unwrap();
    let request = json!({
        "recipe": "lagoon-round",
        "recipes": recipes,
        "shelf": shelf,
        "format": "markdown",
        "for": "us",
    });
    let client = service.client();
    let answer = client
        .post("/v1/recipes/share", &request)
        .with_status(200)
        .json();
    assert_eq!(answer["media_type"], "text/markdown");
    let said = share(&home, &["--format", "markdown", "--for", "us"]).with_code(0);
    assert_eq!(answer["text"], said.stdout);
    let mut unknown = request;
    unknown["for"] = json!("mars");
    let _refused = client.post("/v1/recipes/share", &unknown).with_status(422);
    let _refused = client.get("/v1/batches/ZZZZZ/adopted").with_status(404);
}

/// The studio's recipes by stem, without its shelf and its set.
fn studio() -> serde_json::Map<String, Value> {
    let mut texts = serde_json::Map::new();
    for entry in fs::read_dir(repository().join("fixtures/studio")).unwrap() {
        let path = entry.unwrap().path();
        let stem = path.file_stem().unwrap().to_str().unwrap().to_owned();
        if path.extension().is_some_and(|ending| ending == "toml")
            && stem != "shelf"
            && stem != "eight-rounds"
        {
            texts.insert(stem, json!(fs::read_to_string(&path).unwrap()));
        }
    }
    texts
}

#[test]
fn a_set_is_handed_on_whole_by_both_doors() {
    let home = Home::new();
    let folder = repository().join("fixtures/studio");
    let set = folder.join("eight-rounds.toml");
    let share = |arguments: &[&str]| {
        let mut command = home.command(tarehand());
        command.arg("share").arg(&set).args(["--spoon", "metric"]);
        run(command.args(arguments), "", LIMIT)
    };
    let page = share(&[]).with_code(0).stdout;
    for said in [
        "Eight rounds\n============\n",
        "Thickest to thinnest",
        "Order of work",
        "Premix: Pearl medium",
        "Jar 2: Lagoon round, pearl blue",
    ] {
        assert_eq!(page.matches(said).count(), 1, "`{said}` in:\n{page}");
    }
    let refused = share(&["--make", "300g"]).with_code(2);
    assert!(
        refused.stderr.contains("as large as its surface asks for"),
        "{}",
        refused.stderr
    );
    let file = home.path().join("set.json");
    let path = file.to_str().unwrap();
    let _written = share(&["--format", "json-ld", "-o", path]).with_code(0);
    let how = fs::read_to_string(&file).unwrap();
    let parsed: Value = serde_json::from_str(&how).unwrap();
    assert_eq!(parsed["@id"], "#eight-rounds");

    let text = |path| fs::read_to_string(path).unwrap();
    let mut request = json!({
        "set": text(set.clone()),
        "key": "eight-rounds",
        "recipes": studio(),
        "shelf": text(folder.join("shelf.toml")),
        "measures": {"spoon": "metric"},
    });
    let service = Service::start(&home, &[]);
    let client = service.client();
    let path = "/v1/sets/share";
    let answer = client.post(path, &request).with_status(200).json();
    assert_eq!(answer["media_type"], "text/plain");
    assert_eq!(answer["text"], page);
    request["format"] = json!("json-ld");
    let answer = client.post(path, &request).with_status(200).json();
    assert_eq!(answer["media_type"], "application/ld+json");
    assert_eq!(
        serde_json::from_str::<Value>(answer["text"].as_str().unwrap()).unwrap(),
        parsed
    );
    request["set"] = json!("[set]\n");
    let refused = client.post(path, &request).with_status(422).json();
    assert_eq!(refused["type"], "urn:tarehand:problem:bad-set");
}

/// A batch of a recipe that is thinned: 60 g of slip, 3.5 g of water, trail 4 s as wanted.
fn thinned() -> (Bench, String) {
    let mut bench = Bench::new();
    bench.open("thin-slip.toml");
    bench.put_jar();
    let _slip = bench.pour_step(0);
    bench.wait_doing("thin");
    for splash in [2_000_000, 1_500_000] {
        bench.pour(splash);
    }
    bench.wait_settled(3.5);
    bench.tell(&["trail", "4"]);
    bench.wait_doing("complete");
    let mark = bench.record()["mark"].as_str().unwrap().to_owned();
    (bench, mark)
}

#[test]
fn what_was_judged_becomes_a_recipe_that_makes_the_same_jar() {
    let (bench, mark) = thinned();
    let card = bench.tell(&["share", &mark]);
    assert!(card.contains(&format!("batch {mark} of ")), "{card}");
    assert!(
        card.contains("water: 3.5 g (planned: 2 g at a time, at most 9 g"),
        "{card}"
    );
    assert!(card.contains("trail measured: 4 s"), "{card}");
    let how: Value =
        serde_json::from_str(&bench.tell(&["share", &mark, "--format", "json-ld"])).unwrap();
    assert_eq!(how["identifier"], json!(mark));
    let file = bench.home.path().join("thin-slip-2.toml");
    let path = file.to_str().unwrap();
    let _written = bench.tell(&["adopt", &mark, "-o", path]);
    let text = fs::read_to_string(&file).unwrap();
    let first = fs::read_to_string(fixture("thin-slip.toml")).unwrap();
    assert!(
        text.contains(first.lines().next().unwrap()),
        "the comment stays: {text}"
    );
    assert!(text.contains("trail reached 4 s"), "{text}");
    let refused = bench.person(&["adopt", &mark, "-o", path]).with_code(1);
    assert!(refused.stderr.contains("--yes"), "{}", refused.stderr);
    let _good = bench.tell(&["check", path]);
    let sized: Value =
        serde_json::from_str(&bench.tell(&["size", path, "--make", "63.5g", "--json"])).unwrap();
    let grams: Vec<f64> = sized["steps"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|step| step["grams"].as_f64())
        .collect();
    // What was poured, within the division of the scale.
    assert!(
        (grams[0] - 60.0).abs() < 0.1 && (grams[1] - 3.5).abs() < 0.1,
        "{grams:?}"
    );
}

#[test]
fn what_is_neither_recipe_nor_batch_is_said_so() {
    let home = Home::new();
    let mut command = home.command(tarehand());
    let finished = run(command.args(["share", "nothing here"]), "", LIMIT).with_code(1);
    assert!(
        finished
            .stderr
            .contains("no recipe file nothing here and no batch"),
        "{}",
        finished.stderr
    );
}
