//! What a record says of where everything came from, and where it went: lots, cost, other jars.

mod again;
mod leftover;
mod linked;

use serde_json::{Value, json};

use crate::bench::{Bench, micrograms};

const SHELF: &str = r#"
[ingredient.slip]
name = "Grey slip"
caution = ["raise no dust"]
[[ingredient.slip.pack]]
holds   = "500 g"
left    = "30 g"
weighed = "2026-01-01T00:00:00Z"
lot     = "old"
opened  = "2026-01-01"
price   = "10 EUR"
[[ingredient.slip.pack]]
holds   = "500 g"
weighed = "2026-01-01T00:00:00Z"
left    = "500 g"
lot     = "young"
opened  = "2026-02-02"
price   = "20 EUR"

[ingredient.glaze]
price = "3 EUR per 100 g"
"#;

const PLAIN: &str = "[recipe]\nname = \"Plain\"\nmakes = \"50 g\"\nwithin = \"0.5 g\"\n[[step]]\nadd = \"slip\"\namount = \"50 g\"\n";
const TINTED: &str = "[recipe]\nname = \"Tinted\"\nmakes = \"60 g\"\nwithin = \"0.5 g\"\n\
    [[step]]\nadd = \"glaze\"\namount = \"20 g\"\n[[step]]\nadd = \"slip\"\namount = \"40 g\"\n";

fn open(bench: &Bench, text: &str) {
    let body =
        json!({"recipe": "it", "recipes": {"it": text}, "shelf": SHELF, "size": "as-written"});
    let answer = bench
        .service
        .client()
        .post("/v1/benches/bench/batch", &body);
    let _view = answer.with_status(200);
}

fn get(bench: &Bench, path: &str) -> Value {
    bench.service.client().get(path).with_status(200).json()
}

fn finished(bench: &mut Bench) -> String {
    let view = bench.wait_doing("complete");
    bench.scale.lift();
    bench.wait_gross(0.0);
    view["batch"].as_str().unwrap().to_owned()
}

/// Mixes a recipe to its end; returns its mark, and how much went into the jar in micrograms.
#[track_caller]
fn mixed(bench: &mut Bench, text: &str) -> (String, i64) {
    open(bench, text);
    bench.put_jar();
    let poured = bench.pour_rest(0).iter().map(|poured| poured.ug).sum();
    (finished(bench), poured)
}

#[track_caller]
fn near(found: &Value, wanted_ug: i64) {
    let away = (micrograms(found) - wanted_ug).abs();
    assert!(away <= 400_000, "{found} g, {wanted_ug} µg wanted");
}

#[test]
fn a_jar_says_from_which_packs_it_came_and_what_it_cost_and_a_lot_says_where_it_went() {
    let mut bench = Bench::new();
    bench.attach();
    let (plain, poured) = mixed(&mut bench, PLAIN);
    let record = get(&bench, &format!("/v1/batches/{plain}"));
    let slip = &record["now"]["contents"][0];
    // The old pack held 30 g and is used up first; the rest is of the young one.
    assert_eq!(slip["lots"][0]["lot"], "old", "{record}");
    near(&slip["lots"][0]["mass_g"], 30_000_000);
    near(&slip["lots"][1]["mass_g"], poured - 30_000_000);
    // 10 EUR for 500 g and 20 EUR for 500 g: 0.02 and 0.04 EUR a gram.
    let cost = &record["now"]["cost"][0];
    assert_eq!(cost["currency"], "EUR");
    let money = cost["money"].as_f64().unwrap();
    assert!((money - (0.6 + 0.8)).abs() < 0.02, "{cost}");
    assert_eq!(record["now"]["unpriced_g"], 0.0);
    // Two readings: 0.816·d (JCGM 100), whichever readings are between them. Nobody told the division: the bench knows it
    // as well as what it saw of the scale by then.
    let division = record["weighed_on"]["division_g"].as_f64().unwrap();
    let known = record["contents"][0]["uncertainty_g"].as_f64().unwrap();
    assert!(
        (known - 0.8165 * division).abs() < 0.0005,
        "{known} of {division}"
    );

    // Some of it goes into another jar; the lots go with it.
    let (tinted, _) = mixed(&mut bench, TINTED);
    let moved = json!({"mass": "20 g", "jar": tinted});
    let path = format!("/v1/batches/{plain}/moved");
    let _record = bench.service.client().post(&path, &moved).with_status(200);
    let lot = get(&bench, "/v1/lots/old");
    let jars: Vec<&str> = lot["jars"]
        .as_array()
        .unwrap()
        .iter()
        .map(|jar| jar["batch"].as_str().unwrap())
        .collect();
    assert_eq!(jars, [plain.as_str(), tinted.as_str()], "{lot}");
    near(&lot["jars"][0]["mass_g"], 18_000_000);
    near(&lot["jars"][0]["straight_g"], 30_000_000);
    near(&lot["jars"][1]["mass_g"], 12_000_000);
    near(&lot["jars"][1]["straight_g"], 0);
    assert_eq!(lot["older"], 0, "all of them were looked into");
    // Of many, the newest are looked into, and how many more there may be is said.
    let newest = get(&bench, "/v1/lots/old?limit=1");
    let jars = newest["jars"].as_array().unwrap();
    assert_eq!((jars.len(), &newest["older"]), (1, &json!(1)), "{newest}");
    assert_eq!(jars[0]["batch"], tinted.as_str());
    let none = bench.service.client().get("/v1/lots/old?limit=0");
    let none: Value = none.with_status(422).json();
    assert_eq!(none["type"], "urn:tarehand:problem:bad-query", "{none}");
    // What nobody writes is said to be that, and is no trouble of the disk.
    for path in [
        "/v1/batches?find=grey%00blue",
        "/v1/batches?with=%1B%5B2J",
        "/v1/lots/B7%00114",
    ] {
        let refused: Value = bench.service.client().get(path).with_status(422).json();
        let detail = refused["detail"].as_str().unwrap();
        assert!(detail.contains("control character U+00"), "{refused}");
    }
    let few = bench.person(&["log", "lot", "old", "--limit", "1"]).good();
    assert!(few.contains(&tinted) && !few.contains(&plain), "{few}");
    let told = bench.tell(&["log", "lot", "old"]);
    assert!(told.contains(&plain) && told.contains(&tinted), "{told}");
    let shown = bench.tell(&["log", "show", &tinted]);
    assert!(
        shown.contains("of lot old") && shown.contains("cost "),
        "{shown}"
    );
    let nothing = get(&bench, "/v1/lots/none");
    assert_eq!(nothing["jars"], json!([]));
}
