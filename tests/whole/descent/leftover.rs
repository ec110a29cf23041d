//! What is left of a jar, on the shelf: with its lots and its price, under a key of its own, and in one place only.

use std::fs;

use serde_json::{Value, json};
use tarehand_tests::{Home, LIMIT, Service, run};

use super::{PLAIN, SHELF, TINTED, finished, get, mixed, near};
use crate::bench::Bench;

#[test]
fn what_is_left_of_a_jar_keeps_its_lots_and_its_price_on_the_shelf_and_is_in_one_place() {
    let mut bench = Bench::new();
    bench.attach();
    let (plain, _) = mixed(&mut bench, PLAIN);
    let path = bench.home.write("shelf.toml", SHELF);
    let file = path.to_str().unwrap();
    let keep = ["shelf", "keep", &plain, "--as", "heel", "--left", "40g"];
    let _told = bench.tell(&[&keep[..], &["--shelf", file]].concat());
    // It stands on the shelf; the rest of what the record said is not there any more.
    let record = get(&bench, &format!("/v1/batches/{plain}"));
    near(&record["in_jar_g"], 0);
    let since = record["amendments"].to_string();
    assert!(since.contains("on the shelf as heel"), "{record}");
    let empty = bench.person(&["take-out", &plain, "--told"]);
    let empty = empty.with_code(1);
    assert!(empty.stderr.contains("nothing is left"), "{empty:?}");

    // Said again it is done already; and by its key nothing else can be meant.
    let again = bench.person(&[&keep[..], &["--shelf", file]].concat());
    assert!(
        again.stderr.contains("nothing is booked again"),
        "{again:?}"
    );
    let _told = again.good();

    // Another jar is mixed of it.
    let text = "[recipe]\nname = \"Of the heel\"\nmakes = \"30 g\"\nwithin = \"0.5 g\"\n\
        [[step]]\nadd = \"heel\"\namount = \"20 g\"\n[[step]]\nadd = \"glaze\"\namount = \"10 g\"\n";
    let shelf = fs::read_to_string(&path).unwrap();
    let body =
        json!({"recipe": "it", "recipes": {"it": text}, "shelf": shelf, "size": "as-written"});
    let open = bench.service.client();
    let _view = open.post("/v1/benches/bench/batch", &body).with_status(200);
    bench.put_jar();
    let _rest = bench.pour_rest(0);
    let of_heel = finished(&mut bench);
    let record = get(&bench, &format!("/v1/batches/{of_heel}"));
    // 50 g were 30 of the old lot and 20 of the young one: 0.6 and 0.8 EUR; the glaze is 0.03 EUR a gram.
    let lots = &record["now"]["contents"][0]["lots"];
    assert_eq!(
        (&lots[0]["lot"], &lots[1]["lot"]),
        (&json!("old"), &json!("young")),
        "{record}"
    );
    near(&lots[0]["mass_g"], 12_000_000);
    near(&lots[1]["mass_g"], 8_000_000);
    let money = record["now"]["cost"][0]["money"].as_f64().unwrap();
    assert!((money - (0.24 + 0.32 + 0.3)).abs() < 0.04, "{record}");
    assert_eq!(record["now"]["unpriced_g"], 0.0, "{record}");
    // What the maker warns of goes along with what it is about.
    let label = json!({"marks": [of_heel], "form": "svg"});
    let label = bench.service.client().post("/v1/labels", &label);
    let label = label.with_status(200).text();
    assert!(label.contains("raise no dust"), "{label}");
    let lot = get(&bench, "/v1/lots/old");
    let jars: Vec<&Value> = lot["jars"].as_array().unwrap().iter().collect();
    assert!(jars.iter().any(|jar| jar["batch"] == of_heel), "{lot}");
    // The leftover has the mark of its jar for a lot: what went from it into the other jar is what was weighed.
    let lot = get(&bench, &format!("/v1/lots/{plain}"));
    let mut jars = lot["jars"].as_array().unwrap().iter();
    let into = jars.find(|jar| jar["batch"] == of_heel).unwrap();
    near(&into["mass_g"], 20_000_000);
    near(&into["straight_g"], 20_000_000);
    assert_eq!(into["drawn"], json!(["heel"]), "{lot}");
    // And the shelf has what is left of what stood there.
    let stock = bench.tell(&["shelf", "--json", "--shelf", file]);
    let stock: Value = serde_json::from_str(&stock).unwrap();
    let items = stock["ingredients"].as_array().unwrap().iter();
    let heel: Vec<&Value> = items.filter(|item| item["ingredient"] == "heel").collect();
    near(&heel[0]["left_g"], 20_000_000);
}

#[test]
fn what_is_left_goes_onto_the_shelf_under_a_key_that_means_nothing_else() {
    let mut bench = Bench::new();
    bench.attach();
    let (tinted, _) = mixed(&mut bench, TINTED);
    let (plain, _) = mixed(&mut bench, PLAIN);
    let moved = |mark: &str, said: Value| {
        let path = format!("/v1/batches/{mark}/moved");
        bench.service.client().post(&path, &said)
    };
    let before = get(&bench, &format!("/v1/batches/{plain}"));
    // `slip` is what it is made of, `glaze` was poured into another jar.
    for key in ["slip", "glaze"] {
        let said = json!({"shelf": key, "rest_is_gone": true});
        let refused: Value = moved(&plain, said).with_status(409).json();
        assert_eq!(
            refused["type"], "urn:tarehand:problem:key-in-use",
            "{refused}"
        );
        let words = ["shelf", "keep", plain.as_str(), "--as", key];
        let file = bench.home.path().join("own.toml");
        let kept = bench.person(&[&words[..], &["--shelf", file.to_str().unwrap()]].concat());
        let kept = kept.with_code(1);
        assert!(kept.stderr.contains("key of its own"), "{kept:?}");
        assert!(!file.exists(), "nothing was written");
    }
    // To ask books nothing.
    let asked = json!({"shelf": "heel", "mass": "5 g", "rest_is_gone": true, "only_ask": true});
    let _asked = moved(&plain, asked).with_status(200);
    assert_eq!(get(&bench, &format!("/v1/batches/{plain}")), before);
    let said = json!({"shelf": "heel", "mass": "5 g", "rest_is_gone": true});
    let record: Value = moved(&plain, said.clone()).with_status(200).json();
    near(&record["in_jar_g"], 0);
    let refused: Value = moved(&tinted, said).with_status(409).json();
    assert_eq!(
        refused["type"], "urn:tarehand:problem:key-in-use",
        "{refused}"
    );
}

#[test]
fn a_leftover_that_is_on_the_shelf_and_not_in_the_record_is_booked_when_it_is_said_again_and_only_once()
 {
    let mut bench = Bench::new();
    bench.attach();
    let (plain, _) = mixed(&mut bench, PLAIN);
    // Another log has the batch, too: there nothing is booked of what is written into the shelf here.
    let export = bench.tell(&["log", "export", "--format", "json"]);
    let home = Home::new();
    let batches = home.write("batches.json", &export);
    let _service = Service::start(&home, &[]);
    let there = |words: &[&str]| run(&mut home.tarehand(words), "", LIMIT);
    let _said = there(&["log", "import", batches.to_str().unwrap()]).good();
    let path = bench.home.write("shelf.toml", SHELF);
    let keep = [
        "shelf",
        "keep",
        &plain,
        "--as",
        "heel",
        "--shelf",
        path.to_str().unwrap(),
    ];
    let _told = bench.tell(&[&keep[..], &["--left", "40g"]].concat());
    let shelf = fs::read_to_string(&path).unwrap();

    let other = there(&[&keep[..], &["--left", "41g"]].concat()).with_code(1);
    assert!(
        other.stderr.contains("finish it as it was begun"),
        "{other:?}"
    );
    let finished = there(&keep).good();
    assert!(finished.contains("heel: 40 g"), "{finished}");
    let shown = || -> Value {
        serde_json::from_str(&there(&["log", "show", &plain, "--json"]).good()).unwrap()
    };
    let record = shown();
    near(&record["in_jar_g"], 0);
    let since = record["amendments"].as_array().unwrap();
    let kept = since.iter().find(|line| line["shelf"] == "heel").unwrap();
    near(&kept["mass_g"], -40_000_000);
    let again = there(&keep);
    assert!(
        again.stderr.contains("nothing is booked again"),
        "{again:?}"
    );
    let _told = again.good();
    assert_eq!(shown(), record);
    assert_eq!(fs::read_to_string(&path).unwrap(), shelf);
}
