//! What a recipe leaves to choose: by the command line and the API the same, checked whole, and kept in the record.

use std::fs;

use serde_json::{Value, json};
use tarehand_tests::binaries::{repository, tarehand};
use tarehand_tests::{Finished, Home, LIMIT, Service, run, wait_for};

fn glaze() -> String {
    let file = repository().join("fixtures/studio/shore-glaze.toml");
    file.to_str().unwrap().to_owned()
}

fn person(home: &Home, arguments: &[&str]) -> Finished {
    run(home.command(tarehand()).args(arguments), "", LIMIT)
}

/// The glaze with everything it is made of, as a request carries it.
fn request(choices: &Value) -> Value {
    let text = |stem: &str| {
        let file = repository().join(format!("fixtures/studio/{stem}.toml"));
        fs::read_to_string(file).unwrap()
    };
    json!({
        "recipe": "shore-glaze",
        "recipes": {"shore-glaze": text("shore-glaze"), "slow-medium": text("slow-medium")},
        "shelf": text("shelf"),
        "choices": choices,
    })
}

#[test]
fn both_doors_size_what_was_chosen() {
    let home = Home::new();
    let chosen = ["--choose", "finish=matt", "--choose", "body=thick"];
    let own = |more: &[&str]| {
        let arguments = ["size", &glaze(), "--make", "160g"];
        person(&home, &[&arguments, &chosen[..], more].concat()).with_code(0)
    };
    let page = own(&[]).stdout;
    assert!(page.contains("finish: matt (or glossy)\n"), "{page}");
    let own: Value = serde_json::from_str(&own(&["--json"]).stdout).unwrap();
    let mut request = request(&json!({"finish": "matt", "body": "thick"}));
    request["size"] = json!({"make": "160 g"});
    let service = Service::start(&home, &[]);
    let client = service.client();
    let path = "/v1/recipes/size";
    let answer = client.post(path, &request).with_status(200).json();
    assert_eq!(answer["choices"], own["choices"]);
    assert_eq!(answer["choices"][1]["chosen"], "thick");
    let grams = |sized: &Value| -> Vec<Value> {
        let steps = sized["steps"].as_array().unwrap().iter();
        steps.map(|step| step["grams"].clone()).collect()
    };
    assert_eq!(grams(&answer), grams(&own));
    request["choices"] = json!({"finish": "mat"});
    let refused = client.post(path, &request).with_status(422).json();
    let detail = refused["detail"].as_str().unwrap();
    assert!(detail.contains("did you mean `matt`?"), "{detail}");
    assert!(detail.contains("shore-glaze.toml:8:9"), "{detail}");
}

#[test]
fn what_cannot_be_chosen_is_refused_with_what_can() {
    let home = Home::new();
    let glaze = glaze();
    let say = |choose: &[&str], code| {
        let arguments = ["size", &glaze, "--make", "160g"];
        person(&home, &[&arguments, choose].concat())
            .with_code(code)
            .stderr
    };
    let said = say(&["--choose", "finish=shiny"], 1);
    assert!(said.contains("`finish` has no option `shiny`"), "{said}");
    assert!(said.contains("choose glossy or matt"), "{said}");
    let said = say(&["--choose", "colour=red"], 1);
    assert!(said.contains("leaves no choice `colour`"), "{said}");
    let said = say(&["--choose", "finish"], 2);
    assert!(said.contains("finish=glossy"), "{said}");
    let twice = ["--choose", "finish=matt", "--choose", "finish=glossy"];
    let said = say(&twice, 2);
    assert!(said.contains("chosen to be matt and glossy"), "{said}");
}

#[test]
fn a_check_looks_at_every_option_and_says_what_there_is_to_choose() {
    let home = Home::new();
    let page = person(&home, &["check", &glaze()]).with_code(0).stdout;
    assert!(page.contains("finish: glossy (or matt)"), "{page}");
    assert!(page.contains("body: fluid (or thick)"), "{page}");
    // One of several files need not leave the choice.
    let other = glaze().replace("shore-glaze", "veil");
    let both = ["check", &glaze(), &other, "--choose", "finish=matt"];
    let page = person(&home, &both).with_code(0).stdout;
    assert!(page.contains("finish: matt (or glossy)"), "{page}");
    let text = fs::read_to_string(glaze()).unwrap();
    let broken = text.replace("\"5 % of body\"", "\"5 drops\"");
    let file = home.path().join("broken.toml");
    fs::write(&file, broken).unwrap();
    let shelf = glaze().replace("shore-glaze", "shelf");
    let arguments = ["check", file.to_str().unwrap(), "--shelf", &shelf];
    let page = person(&home, &arguments).with_code(1).stdout;
    assert!(page.contains("with finish=matt: "), "{page}");
    assert!(!page.contains("with body=thick: "), "{page}");
}

#[test]
fn the_record_of_a_batch_keeps_what_was_chosen() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let client = service.client();
    let mut batch = request(&json!({"finish": "matt"}));
    batch["size"] = json!("as-written");
    let rehearsal = json!({"batch": batch, "seed": 7, "speed": 60});
    let _view = client.post("/v1/rehearsals", &rehearsal).with_status(200);
    let mark = wait_for("the batch", LIMIT, || {
        let list = client.get("/v1/batches").with_status(200).json();
        Some(list["batches"][0]["mark"].as_str()?.to_owned())
    });
    let path = format!("/v1/batches/{mark}");
    let record = client.get(&path).with_status(200).json();
    assert_eq!(
        record["choices"],
        json!([
            {"name": "finish", "chosen": "matt", "others": ["glossy"]},
            {"name": "body", "chosen": "fluid", "others": ["thick"]},
        ])
    );
}

#[test]
fn a_size_says_for_programs_what_a_stand_in_changed() {
    let home = Home::new();
    let recipe = glaze().replace("shore-glaze", "slow-medium");
    let shelf = repository().join("fixtures/places/coast-shelf.toml");
    let shelf = shelf.to_str().unwrap();
    let arguments = [
        "size", &recipe, "--make", "200g", "--shelf", shelf, "--json",
    ];
    let sized = person(&home, &arguments).with_code(0).stdout;
    let sized: Value = serde_json::from_str(&sized).unwrap();
    let changed = sized["changed"].as_array().unwrap();
    let of = |key: &str| {
        changed
            .iter()
            .find(|line| line["ingredient"] == key)
            .unwrap()
    };
    assert_eq!(of("open-gel")["grams"], 0.0);
    assert_eq!(of("open-gel")["written_g"], 18.0);
    assert_eq!(of("slow-syrup")["grams"], 10.8);
}
