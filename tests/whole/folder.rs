//! The recipe folder: who names it, who reads it, and that no text takes the place of one that was not read.

use std::fs;
use std::path::Path;

use serde_json::{Value, json};
use tarehand_tests::binaries::repository;
use tarehand_tests::{Answer, Client, Home, LIMIT, Service, run};

use crate::history::rehearsed;
use crate::visits::{let_in, open};

const RECIPE: &str = "[recipe]\nname = \"Tide\"\nmakes = \"100 g\"\n\n[[step]]\nadd = \"sand\"\namount = \"1 part\"\n";

fn name(service: &Service, folder: &Path) -> Answer {
    service.client().put(
        "/v1/folder",
        &json!({"path": folder, "measures": {"spoon": "metric"}}),
    )
}

fn write(client: &Client, stem: &str, text: &str, condition: (&str, &str)) -> Answer {
    let (field, value) = condition;
    client
        .clone()
        .with_field(field, value)
        .put(&format!("/v1/folder/{stem}"), &json!({"text": text}))
}

#[test]
fn the_page_reads_the_folder_that_the_owner_named_also_after_a_restart() {
    let home = Home::new();
    let folder = home.path().join("studio");
    fs::create_dir(&folder).unwrap();
    fs::write(folder.join("tide.toml"), RECIPE).unwrap();
    fs::write(folder.join("notes.txt"), "no recipe").unwrap();
    let service = Service::start(&home, &[]);
    let none: Value = service.client().get("/v1/folder").with_status(404).json();
    assert_eq!(none["type"], "urn:tarehand:problem:no-folder");
    let _named = name(&service, &folder).with_status(200);
    let read =
        |service: &Service| -> Value { service.client().get("/v1/folder").with_status(200).json() };
    let files = read(&service);
    assert_eq!(files["files"].as_array().unwrap().len(), 1);
    assert_eq!(
        (
            &files["files"][0]["name"],
            &files["files"][0]["kind"],
            &files["measures"]["spoon"]
        ),
        (&json!("Tide"), &json!("recipe"), &json!("metric"))
    );
    drop(service);
    let service = Service::start(&home, &[]);
    assert_eq!(read(&service), files);
}

#[test]
fn who_works_writes_what_they_read_and_who_looks_on_writes_nothing() {
    let home = Home::new();
    let folder = home.path().join("studio");
    fs::create_dir(&folder).unwrap();
    let service = Service::start(&home, &[]);
    let _named = name(&service, &folder).with_status(200);
    let door = open(&service);
    let (operator, _) = let_in(&service, &door, "operator");
    let (viewer, _) = let_in(&service, &door, "viewer");
    let new = ("if-none-match", "*");
    let _unheld = operator
        .put("/v1/folder/tide", &json!({"text": RECIPE}))
        .with_status(428);
    let _looks_on = write(&viewer, "tide", RECIPE, new).with_status(403);
    let written: Value = write(&operator, "tide", RECIPE, new)
        .with_status(200)
        .json();
    let _there = write(&operator, "tide", "", new).with_status(412);
    let mark = written["mark"].as_str().unwrap();
    let changed = RECIPE.replace("Tide", "Ebb");
    let _written = write(
        &operator,
        "tide",
        &changed,
        ("if-match", &format!("\"{mark}\"")),
    )
    .with_status(200);
    // The mark is of a text that is no longer there.
    let _late = write(&operator, "tide", "", ("if-match", &format!("\"{mark}\""))).with_status(412);
    assert_eq!(
        fs::read_to_string(folder.join("tide.toml")).unwrap(),
        changed
    );
    assert_eq!(
        fs::read_to_string(folder.join("tide.toml~")).unwrap(),
        RECIPE
    );
    let seen: Value = viewer.get("/v1/folder").with_status(200).json();
    assert_eq!(seen["files"][0]["name"], "Ebb");
    for visitor in [&viewer, &operator] {
        let _named = visitor
            .put("/v1/folder", &json!({"path": "/etc"}))
            .with_status(403);
    }
}

#[test]
fn no_name_leads_out_of_the_folder() {
    let home = Home::new();
    let folder = home.path().join("studio");
    fs::create_dir(&folder).unwrap();
    let service = Service::start(&home, &[]);
    let _named = name(&service, &folder).with_status(200);
    let names = [
        "..%2Fescaped",
        "%2Ftmp%2Fescaped",
        ".hidden",
        "a%00b",
        "a%2Fb",
        "%2E%2E",
    ];
    for bad in names {
        let answer = write(service.client(), bad, "x", ("if-none-match", "*"));
        assert!(
            (400..500).contains(&answer.status),
            "{bad}: {}",
            answer.status
        );
    }
    assert_eq!(fs::read_dir(&folder).unwrap().count(), 0);
    assert!(!home.path().join("escaped.toml").exists());
    let no_folder = name(&service, &home.path().join("nowhere")).with_status(422);
    assert!(no_folder.text().contains("no folder of this machine"));
}

#[test]
fn the_owner_names_it_with_the_page_and_a_set_is_planned_and_a_shelf_counted_from_it() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let studio = repository().join("fixtures/studio");
    let words = ["page", "--recipes", studio.to_str().unwrap()];
    let said = run(&mut home.tarehand(&words), "", LIMIT).good();
    assert!(said.contains("code "), "{said}");
    let folder: Value = service.client().get("/v1/folder").with_status(200).json();
    let text = |wanted: &str| {
        let files = folder["files"].as_array().unwrap();
        let file = files.iter().find(|file| file["stem"] == wanted).unwrap();
        file["text"].clone()
    };
    let door = open(&service);
    // What is only worked out is answered to whoever looks on, too.
    let (viewer, _) = let_in(&service, &door, "viewer");
    let stock: Value = viewer
        .post("/v1/shelf/stock", &json!({"shelf": text("shelf")}))
        .with_status(200)
        .json();
    let lines = stock["ingredients"].as_array().unwrap();
    let binder = lines
        .iter()
        .find(|line| line["ingredient"] == "clear-binder");
    assert_eq!(binder.unwrap()["left_g"], 3200.0);
    let broken = viewer
        .post(
            "/v1/shelf/stock",
            &json!({"shelf": "[ingredient.x]\nprise = 1\n"}),
        )
        .with_status(422);
    assert!(
        broken.text().contains("shelf.toml:2:1"),
        "{}",
        broken.text()
    );
}

#[test]
fn how_long_a_mix_is_good_comes_from_the_settings_with_the_folder_and_stands_on_the_label() {
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let studio = repository().join("fixtures/studio");
    let mark = rehearsed(&home, "slate-pale.toml");
    let words = ["page", "--recipes", studio.to_str().unwrap()];
    let days = || -> Value {
        let _said = run(&mut home.tarehand(&words), "", LIMIT).good();
        let folder: Value = service.client().get("/v1/folder").with_status(200).json();
        folder["best_before_days"].clone()
    };
    assert_eq!(days(), Value::Null, "nobody said it");
    home.write(
        "config/tarehand/settings.toml",
        "[label]\nbest-before = \"12 weeks\"\n",
    );
    let days = days();
    assert_eq!(days, 84);
    // As the page asks for it, whoever looks on too.
    let (viewer, _) = let_in(&service, &open(&service), "viewer");
    let asked = json!({"marks": [mark], "form": "svg", "best_before_days": days});
    let label = viewer.post("/v1/labels", &asked).with_status(200).text();
    assert!(label.contains("84 days"), "{label}");
    let never = json!({"path": studio, "best_before_days": 0});
    let refused: Value = service
        .client()
        .put("/v1/folder", &never)
        .with_status(422)
        .json();
    assert_eq!(refused["type"], "urn:tarehand:problem:bad-days");
    assert!(
        refused["hint"]
            .as_str()
            .unwrap()
            .contains("1 to 36500 days")
    );
}
