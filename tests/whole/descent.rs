//! What a record says of where everything came from: lots, cost, ways out; and batches made again and compared.

use std::fs;

use serde_json::{Value, json};
use tarehand_tests::{Home, LIMIT, Running, Service, run};

use crate::bench::{Bench, JAR_UG, micrograms};
use crate::history::rehearsed;

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

#[track_caller]
fn near(found: &Value, wanted_ug: i64) {
    let away = (micrograms(found) - wanted_ug).abs();
    assert!(away <= 400_000, "{found} g, {wanted_ug} µg wanted");
}

#[test]
fn a_jar_says_from_which_packs_it_came_and_what_it_cost_and_a_lot_says_where_it_went() {
    let mut bench = Bench::new();
    bench.attach();
    open(&bench, PLAIN);
    bench.put_jar();
    let poured = bench.pour_step(0).ug;
    let plain = finished(&mut bench);
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
    open(&bench, TINTED);
    bench.put_jar();
    let _rest = bench.pour_rest(0);
    let tinted = finished(&mut bench);
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

#[test]
fn what_is_left_of_a_jar_keeps_its_lots_and_its_price_on_the_shelf_and_is_in_one_place() {
    let mut bench = Bench::new();
    bench.attach();
    open(&bench, PLAIN);
    bench.put_jar();
    let _poured = bench.pour_step(0);
    let plain = finished(&mut bench);
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
fn a_batch_is_made_again_as_it_was_poured_and_stands_beside_the_first() {
    let mut bench = Bench::new();
    bench.attach();
    open(&bench, TINTED);
    bench.put_jar();
    let glaze = bench.pour_step(0).ug;
    let (_step, slip) = bench.pour_running(8_000_000);
    let question = bench.wait_asked("overshoot");
    let accept = question["options"]
        .as_array()
        .unwrap()
        .iter()
        .find(|way| way["kind"] == "accept")
        .unwrap()["option"]
        .clone();
    let _view = bench
        .say(&json!({"command": "answer", "option": accept}))
        .with_status(200);
    let first = finished(&mut bench);
    let record = get(&bench, &format!("/v1/batches/{first}"));
    let rescue = &record["rescues"][0];
    assert_eq!(
        (&rescue["about"], &rescue["kind"]),
        (&json!("overshoot"), &json!("accept")),
        "{record}"
    );
    assert!(!rescue["others"].as_array().unwrap().is_empty(), "{rescue}");
    assert!(bench.tell(&["log", "show", &first]).contains("Put right"));

    let repeat = json!({"mark": first, "as_poured": true, "make": "34 g"});
    let answer = bench
        .service
        .client()
        .post("/v1/benches/bench/repeat", &repeat);
    let view: Value = answer.with_status(200).json();
    // 20 and 48 of 68 g: half of it.
    near(&view["steps"][0]["target_g"], glaze / 2);
    near(&view["steps"][1]["target_g"], slip.ug / 2);
    bench.put_jar();
    let _poured = bench.pour_rest(0);
    let second = finished(&mut bench);
    let both = get(&bench, &format!("/v1/batches/{first}/compared/{second}"));
    assert_eq!(both["same_recipe"], false);
    let line = &both["ingredients"][1];
    assert_eq!(line["ingredient"], "slip", "{both}");
    near(&line["planned_g"]["one"], 40_000_000);
    near(&line["poured_g"]["other"], slip.ug / 2);
    let parts = &line["part"];
    let off = parts["one"].as_f64().unwrap() - parts["other"].as_f64().unwrap();
    assert!(off.abs() < 0.02, "{parts}");
    let told = bench.tell(&["log", "compare", &first, &second]);
    assert!(told.contains("made from different recipes"), "{told}");

    // The recipe of then, as much as then.
    let answer = bench
        .service
        .client()
        .post("/v1/benches/bench/repeat", &json!({"mark": first}));
    let view: Value = answer.with_status(200).json();
    assert_eq!(
        (&view["recipe"], &view["planned_g"]),
        (&json!("Tinted"), &json!(60.0))
    );
    bench.tell(&["abort", "--yes"]);
    let third = bench.record();
    // A rescue asks before a batch made again grows beyond what the settings say.
    let _settings = bench.home.write(
        "config/tarehand/settings.toml",
        "[rescue]\ngrow-by-percent = 0\n",
    );
    let limit = |mark: &str| -> Value {
        let kept = get(&bench, &format!("/v1/batches/{mark}/kept"));
        let opened = kept["entries"][0]["body"].as_str().unwrap();
        let opened: Value = serde_json::from_str(opened).unwrap();
        opened["limits"]["grow_by"].clone()
    };
    let usual = limit(third["mark"].as_str().unwrap());
    let mut command = bench
        .home
        .tarehand(&["repeat", &first, "--port", &bench.link()]);
    let _guide = Running::start(&mut command, std::process::Stdio::null());
    bench.wait_doing("put-jar");
    bench.tell(&["abort", "--yes"]);
    let none = limit(bench.record()["mark"].as_str().unwrap());
    assert_ne!(none, usual);
    let rehearsed = rehearsed(&bench.home, "slate-pale.toml");
    assert_eq!(limit(&rehearsed), none);
    let same = get(
        &bench,
        &format!(
            "/v1/batches/{first}/compared/{}",
            third["mark"].as_str().unwrap()
        ),
    );
    assert_eq!(same["same_recipe"], true);
    let kept = get(&bench, &format!("/v1/batches/{first}/recipe"));
    assert_eq!(kept["text"], TINTED);
}

#[test]
fn a_record_says_whether_the_recipes_file_has_changed_since() {
    let mut bench = Bench::new();
    let folder = bench.home.path().join("recipes");
    fs::create_dir(&folder).unwrap();
    fs::write(folder.join("plain.toml"), PLAIN).unwrap();
    let named = json!({"path": folder.to_str().unwrap()});
    let answer = bench.service.client().put("/v1/folder", &named);
    let _folder = answer.with_status(200);
    bench.attach();
    open(&bench, PLAIN);
    bench.put_jar();
    let _poured = bench.pour_step(0);
    let mark = finished(&mut bench);
    let file = |bench: &Bench| get(bench, &format!("/v1/batches/{mark}"))["recipe_file"].clone();
    assert_eq!(
        file(&bench),
        json!({"file": "plain.toml", "changed": false})
    );
    fs::write(folder.join("plain.toml"), PLAIN.replace("0.5 g", "0.2 g")).unwrap();
    assert_eq!(file(&bench), json!({"file": "plain.toml", "changed": true}));
    assert!(
        bench
            .tell(&["log", "show", &mark])
            .contains("plain.toml, has changed since")
    );
}

/// Everything that a log says of batches and of a lot.
fn told(home: &Home, marks: &[&str]) -> Vec<Value> {
    let mut said = Vec::new();
    for mark in marks {
        said.push(vec!["log", "show", mark, "--json"]);
    }
    said.push(vec!["log", "lot", "old", "--json"]);
    let answers = said
        .iter()
        .map(|words| run(&mut home.tarehand(words), "", LIMIT).good());
    answers
        .map(|answer| serde_json::from_str(&answer).unwrap())
        .collect()
}

#[test]
fn jars_that_went_into_each_other_are_linked_in_another_log_in_whichever_order_they_come_there() {
    let mut bench = Bench::new();
    bench.attach();
    open(&bench, PLAIN);
    bench.put_jar();
    let _poured = bench.pour_step(0);
    let plain = finished(&mut bench);
    open(&bench, TINTED);
    bench.put_jar();
    let inside: i64 = bench.pour_rest(0).iter().map(|poured| poured.ug).sum();
    let tinted = finished(&mut bench);
    // On the scale, an amendment; then as told, each way.
    let join = json!({"from": plain, "into": tinted, "mass": "10 g"});
    let answer = bench.service.client().post("/v1/benches/bench/join", &join);
    let _view = answer.with_status(200);
    bench.wait_doing("change-jar");
    bench.scale.load(JAR_UG, inside);
    let _poured = bench.pour_step(0);
    let joined = finished(&mut bench);
    for (from, into, mass) in [(&tinted, &plain, "20 g"), (&plain, &tinted, "5 g")] {
        bench.tell(&["join", from, "into", into, "--mass", mass, "--told"]);
    }
    let marks = [plain.as_str(), tinted.as_str(), joined.as_str()];
    let here = told(&bench.home, &marks);
    let export = bench.tell(&["log", "export", "--format", "json"]);
    let export: Vec<Value> = serde_json::from_str(&export).unwrap();
    assert_eq!(export.len(), 3);
    let kept = |home: &Home, mark: &str| -> Value {
        let words = ["log", "export", "--format", "json", mark];
        let said = run(&mut home.tarehand(&words), "", LIMIT).good();
        serde_json::from_str::<Value>(&said).unwrap()[0]["kept"].clone()
    };

    for order in [[0, 2, 1], [1, 2, 0], [2, 1, 0]] {
        let home = Home::new();
        let _service = Service::start(&home, &[]);
        let import = |which: &[usize]| {
            let batches: Vec<&Value> = which.iter().map(|&at| &export[at]).collect();
            let file = home.path().join("batches.json");
            fs::write(&file, serde_json::to_string(&batches).unwrap()).unwrap();
            run(
                &mut home.tarehand(&["log", "import", file.to_str().unwrap()]),
                "",
                LIMIT,
            )
            .good()
        };
        // One alone: the jars it was poured into, or out of, are vessels by their marks.
        let [first, rest @ ..] = order;
        assert!(import(&[first]).contains("1 batches taken in"));
        assert_eq!(kept(&home, marks[first]), export[first]["kept"]);
        let show = ["log", "show", marks[first]];
        let shown = run(&mut home.tarehand(&show), "", LIMIT).good();
        let plot = ["log", "plot", marks[first]];
        let _plot = run(&mut home.tarehand(&plot), "", LIMIT).good();
        if first < 2 {
            let other = marks[1 - first];
            assert!(
                shown.contains("not in this log") && shown.contains(other),
                "{shown}"
            );
        }
        assert!(import(&rest).contains("2 batches taken in"));
        assert_eq!(told(&home, &marks), here);
        for (mark, exported) in marks.iter().zip(&export) {
            assert_eq!(kept(&home, mark), exported["kept"]);
        }
        assert!(import(&[0, 1, 2]).contains("0 batches taken in, 3 were here"));
        assert_eq!(told(&home, &marks), here);
        let whole = run(&mut home.tarehand(&["log", "verify"]), "", LIMIT).good();
        assert!(whole.contains("is whole"), "{whole}");
    }
}

#[test]
fn a_batch_that_was_poured_into_a_jar_of_no_mark_or_beyond_all_measure_is_not_taken_in() {
    let mut bench = Bench::new();
    bench.attach();
    open(&bench, PLAIN);
    bench.put_jar();
    let _poured = bench.pour_step(0);
    let plain = finished(&mut bench);
    let kept = get(&bench, &format!("/v1/batches/{plain}/kept"));
    let home = Home::new();
    let service = Service::start(&home, &[]);
    let refused = |transfer: Value, status: u16| -> Value {
        let mut wrong = kept.clone();
        wrong["entries"][0]["transfers"] = json!([transfer]);
        let answer = service.client().post("/v1/batches", &wrong);
        answer.with_status(status).json()
    };
    let moved = |to: &str, mass_ug: u64| json!({"from": {"jar": plain}, "to": {"jar": to}, "substance": "slip", "mass_ug": mass_ug, "seen": true});
    let nameless = refused(moved("the blue one", 1), 422);
    assert_eq!(
        nameless["type"], "urn:tarehand:problem:bad-batch",
        "{nameless}"
    );
    let itself = plain.to_lowercase();
    for absurd in [
        moved("22222", u64::MAX),
        moved("22222", 1_000_000_000_000_001),
        moved(&itself, 1),
    ] {
        let _problem = refused(absurd, 422);
    }
    let list = service.client().get("/v1/batches").with_status(200).json();
    assert_eq!(list["batches"], json!([]), "{list}");
}

#[test]
fn what_is_left_goes_onto_the_shelf_under_a_key_that_means_nothing_else() {
    let mut bench = Bench::new();
    bench.attach();
    open(&bench, TINTED);
    bench.put_jar();
    let _poured = bench.pour_rest(0);
    let tinted = finished(&mut bench);
    open(&bench, PLAIN);
    bench.put_jar();
    let _poured = bench.pour_step(0);
    let plain = finished(&mut bench);
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
    open(&bench, PLAIN);
    bench.put_jar();
    let _poured = bench.pour_step(0);
    let plain = finished(&mut bench);
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
