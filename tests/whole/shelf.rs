//! The shelf as stock: a batch draws on it, a bottle is weighed, a leftover jar comes back to it.

use std::fs;

use serde_json::Value;
use tarehand_tests::{Home, LIMIT, run};

use crate::bench::{Bench, JAR_UG, fixture, micrograms};

const SHELF: &str = r#"# What stands here.
[ingredient.base]
name = "Base"          # the white one

[[ingredient.base.pack]]
holds   = "500 g"
left    = "500 g"
weighed = "2026-01-01T00:00:00Z"
lot     = "young"
opened  = "2026-02-02"

[[ingredient.base.pack]]
holds   = "500 g"
left    = "60 g"
weighed = "2026-01-01T00:00:00Z"
lot     = "old"
opened  = "2026-01-01"

[ingredient.binder]
[[ingredient.binder.pack]]
holds = "1 kg"
lot   = "B7-114"
empty = "10 g"
"#;

fn list(bench: &Bench) -> Value {
    serde_json::from_str(&bench.person(&["shelf", "--json"]).good()).unwrap()
}

fn line<'l>(list: &'l Value, key: &str) -> &'l Value {
    let mut lines = list["ingredients"].as_array().unwrap().iter();
    lines.find(|line| line["ingredient"] == key).unwrap()
}

#[test]
fn a_batch_draws_on_the_oldest_pack_first_and_a_leftover_jar_comes_back_as_what_it_is() {
    let mut bench = Bench::new();
    let path = bench.home.write("shelf.toml", SHELF);
    // A bottle of 60 g, of which 10 g are the bottle.
    bench.attach();
    bench.scale.load(JAR_UG, 0);
    let told = bench.person(&["shelf", "weigh", "binder"]).good();
    assert!(told.starts_with("binder, lot B7-114: 50"), "{told}");
    bench.scale.load(0, 0);

    let mix = bench.mix("quarry-green.toml", &[]);
    bench.put_jar();
    let _poured = bench.pour_rest(0);
    let _told = mix.finish(LIMIT).good();
    let record = bench.record();
    let of_record = |key: &str| {
        let mut contents = record["contents"].as_array().unwrap().iter();
        let line = contents.find(|line| line["ingredient"] == key).unwrap();
        micrograms(&line["poured_g"])
    };
    let after = list(&bench);
    assert_eq!(after["drawn_known"], true);
    let base = line(&after, "base");
    let left: Vec<i64> = base["packs"]
        .as_array()
        .unwrap()
        .iter()
        .map(|pack| micrograms(&pack["left_g"]))
        .collect();
    assert_eq!(left, [0, 560_000_000 - of_record("base")], "{after}");
    assert_eq!(base["packs"][0]["lot"], "old");
    let binder = micrograms(&line(&after, "binder")["left_g"]);
    assert!(
        (binder + of_record("binder") - 50_000_000).abs() < 200_000,
        "{after}"
    );

    // The next plan is short by what was drawn; without it there would be enough.
    let recipe = fs::read_to_string(fixture("quarry-green.toml")).unwrap();
    let beside = bench.home.write("quarry-green.toml", &recipe);
    let set = "[set]\nname = \"Next\"\n[[jar]]\nrecipe = \"quarry-green\"\nmake = \"1 kg\"\n";
    let set = bench.home.write("next.toml", set);
    let planned = bench.person(&["plan", set.to_str().unwrap(), "--json"]);
    let plan: Value = serde_json::from_str(&planned.good()).unwrap();
    let mut needs = plan["shelf"].as_array().unwrap().iter();
    let need = needs.find(|need| need["ingredient"] == "base").unwrap();
    let there = 560_000_000 - of_record("base");
    assert_eq!(micrograms(&need["stock_g"]), there, "{need}");
    assert_eq!(micrograms(&need["short_g"]), 500_000_000 - there, "{need}");
    // The service plans by itself with the same stock.
    let request = serde_json::json!({
        "set": fs::read_to_string(&set).unwrap(), "recipes": {"quarry-green": recipe},
        "shelf": fs::read_to_string(&path).unwrap(),
    });
    let answer = bench
        .service
        .client()
        .post("/v1/sets/plan", &request)
        .json();
    assert_eq!(answer["shelf"], plan["shelf"]);
    // And what is short there can top up no jar.
    let rescue = [
        "rescue",
        beside.to_str().unwrap(),
        "--make",
        "1kg",
        "--poured",
        "green-paste=250g",
        "--json",
    ];
    let told: Value = serde_json::from_str(&bench.person(&rescue).good()).unwrap();
    let mut ways = told["options"].as_array().unwrap().iter();
    let exact = ways.find(|way| way["kind"] == "top-up-exact").unwrap();
    assert_eq!(exact["feasible"], false, "{exact}");

    // A rehearsal of the same takes nothing.
    let recipe = fixture("quarry-green.toml");
    let rehearsal = ["rehearse", recipe.to_str().unwrap(), "--speed", "60"];
    let _told = bench.person(&rehearsal).good();
    assert_eq!(list(&bench), after);

    let mark = record["mark"].as_str().unwrap();
    let _told = bench
        .person(&[
            "shelf",
            "keep",
            mark,
            "--as",
            "quarry-left",
            "--left",
            "42g",
        ])
        .good();
    let text = fs::read_to_string(&path).unwrap();
    assert!(text.starts_with("# What stands here.\n"), "{text}");
    assert!(text.contains("# the white one"), "{text}");
    let kept = list(&bench);
    let kept = line(&kept, "quarry-left");
    assert_eq!(kept["left_g"], 42.0);
    let share = kept["made_of"]["base"].as_f64().unwrap();
    assert!((share - 0.5).abs() < 0.01, "{kept}");
}

#[test]
fn without_a_service_the_shelf_is_listed_as_written_and_that_is_said() {
    let home = Home::new();
    home.write("shelf.toml", SHELF);
    let finished = run(&mut home.tarehand(&["shelf"]), "", LIMIT);
    assert!(
        finished.stderr.contains("the service is not running"),
        "{finished:?}"
    );
    let told = finished.good();
    assert!(told.contains("▸ old"), "{told}");
    let recipe = fs::read_to_string(fixture("quarry-green.toml")).unwrap();
    let recipe = home.write("quarry-green.toml", &recipe);
    let size = ["size", recipe.to_str().unwrap(), "--make", "100g"];
    let finished = run(&mut home.tarehand(&size), "", LIMIT);
    let alone = "the stock is the shelf file's alone";
    assert!(finished.stderr.contains(alone), "{finished:?}");
    let _sized = finished.good();
    assert!(!home.socket().exists(), "nothing was started");
    let weighed = [
        "shelf", "weigh", "base", "--pack", "old", "--weight", "5g", "--empty", "9g",
    ];
    let refused = run(&mut home.tarehand(&weighed), "", LIMIT).with_code(1);
    assert!(
        refused.stderr.contains("less than the empty bottle"),
        "{refused:?}"
    );
}

#[test]
fn of_two_packs_of_one_lot_the_one_that_is_weighed_is_named_and_never_guessed() {
    let home = Home::new();
    let pack = |opened: &str| {
        format!("[[ingredient.base.pack]]\nholds = \"500 g\"\nlot = \"B7\"\n{opened}")
    };
    let text = format!(
        "[ingredient.base]\n{}{}{}",
        pack("opened = \"2026-03-01\"\n"),
        pack("opened = \"2026-02-01\"\n"),
        pack("")
    );
    let path = home.write("shelf.toml", &text);
    let weigh = |words: &[&str]| {
        let all = [
            "shelf", "weigh", "base", "--weight", "209g", "--empty", "9g",
        ];
        run(&mut home.tarehand(&[&all[..], words].concat()), "", LIMIT)
    };
    let unclear = weigh(&["--pack", "B7"]).with_code(1);
    for choice in [
        "3 packs of `base` may be meant",
        "number 1 (lot B7, opened 2026-03-01, 500 g left)",
        "number 2 (lot B7, opened 2026-02-01, 500 g left)",
        "number 3 (lot B7, not opened, 500 g left)",
    ] {
        assert!(unclear.stderr.contains(choice), "{unclear:?}");
    }
    let none = weigh(&["--pack", "B7", "--opened", "2026-05-05"]).with_code(1);
    assert!(none.stderr.contains("no such pack"), "{none:?}");
    assert_eq!(fs::read_to_string(&path).unwrap(), text);
    let told = weigh(&["--pack", "B7", "--opened", "2026-03-01"]).good();
    assert_eq!(told.trim(), "base, lot B7, opened 2026-03-01: 200 g left");
    let told = weigh(&["--number", "3"]).good();
    assert_eq!(told.trim(), "base, lot B7: 200 g left");
    let left = |at: usize| {
        let text = fs::read_to_string(&path).unwrap();
        let pack = text.split("[[ingredient.base.pack]]").nth(at).unwrap();
        pack.contains("left = \"200 g\"")
    };
    assert_eq!([left(1), left(2), left(3)], [true, false, true]);
}
