//! Finished jars opened again on a real line: added to, joined, taken out of.

use serde_json::{Value, json};

use crate::bench::{Bench, kinds, micrograms};

/// One ingredient, so that the jar is known by how much is in it.
fn recipe(name: &str, ingredient: &str, grams: u32) -> String {
    format!(
        "[recipe]\nname = \"{name}\"\nmakes = \"{grams} g\"\nwithin = \"0.5 g\"\n[[step]]\nadd = \"{ingredient}\"\namount = \"{grams} g\"\n"
    )
}

/// A finished jar on the table.
pub(crate) struct Jar {
    pub(crate) mark: String,
    pub(crate) tare_ug: i64,
    pub(crate) contents_ug: i64,
}

/// Makes a batch in a jar of so much.
pub(crate) fn make(
    bench: &mut Bench,
    name: &str,
    ingredient: &str,
    grams: u32,
    tare_ug: i64,
) -> Jar {
    let _view = bench.open_batch("thin-coat", &recipe(name, ingredient, grams));
    bench.wait_doing("put-jar");
    bench.scale.load(tare_ug, 0);
    let poured = bench.pour_step(0);
    let view = bench.wait_doing("complete");
    bench.scale.lift();
    bench.wait_gross(0.0);
    Jar {
        mark: view["batch"].as_str().unwrap().to_owned(),
        tare_ug,
        contents_ug: poured.ug,
    }
}

fn record(bench: &Bench, mark: &str) -> Value {
    let answer = bench.service.client().get(&format!("/v1/batches/{mark}"));
    answer.with_status(200).json()
}

/// What is in a jar now of an ingredient, in micrograms.
fn now(record: &Value, ingredient: &str) -> i64 {
    let lines = record["now"]["contents"].as_array().unwrap().iter();
    let mut of_it = lines.filter(|line| line["ingredient"] == ingredient);
    of_it.next().map_or(0, |line| micrograms(&line["mass_g"]))
}

#[track_caller]
fn near(found: i64, wanted: i64) {
    // A division for every weighing on the way.
    assert!(
        (found - wanted).abs() <= 400_000,
        "{found} µg, {wanted} µg went in"
    );
}

fn ask(bench: &Bench, what: &str, body: &Value) -> Value {
    let path = format!("/v1/benches/bench/{what}");
    bench
        .service
        .client()
        .post(&path, body)
        .with_status(200)
        .json()
}

#[test]
fn something_is_added_to_three_finished_jars_in_whichever_order_they_come() {
    let mut bench = Bench::new();
    bench.attach();
    let mut jars = [
        make(&mut bench, "Slip, grey", "grey-slip", 40, 60_000_000),
        make(&mut bench, "Slip, pale", "pale-slip", 50, 60_000_000),
        make(&mut bench, "Slip, dark", "dark-slip", 60, 60_000_000),
    ];
    let marks: Vec<&str> = jars.iter().map(|jar| jar.mark.as_str()).collect();
    let add = json!({"marks": marks, "add": [{"ingredient": "flow-drops", "amount": "4 g"}]});
    let view = ask(&bench, "amend", &add);
    assert_eq!(view["jars"].as_array().unwrap().len(), 3, "{view}");
    // The last one first: it is known by its weight, nobody is asked.
    let mut poured = Vec::new();
    for place in [2, 0, 1] {
        bench.wait_doing("change-jar");
        bench
            .scale
            .load(jars[place].tare_ug, jars[place].contents_ug);
        // Another jar's turn is answered by going on with the one that is there.
        let last = poured.len() == 2;
        let name = format!(
            "Slip, {}, {}",
            ["grey", "pale", "dark"][place],
            jars[place].mark
        );
        bench.wait("the jar to be known", |view| {
            let lines = view["jars"].as_array()?.iter();
            let on = lines.filter(|line| line["on_pan"] == true);
            on.map(|line| line["name"] == name.as_str())
                .next()?
                .then_some(())
        });
        if place == 2 {
            bench.tell(&["next"]);
        }
        let (_step, part) = bench.pour_running(0);
        jars[place].contents_ug += part.ug;
        poured.push(part.ug);
        if last {
            bench.wait_doing("complete");
        } else {
            bench.wait_doing("change-jar");
        }
        bench.scale.lift();
        bench.wait_gross(0.0);
    }
    for (jar, (ingredient, drops)) in jars.iter().zip([
        ("grey-slip", poured[1]),
        ("pale-slip", poured[2]),
        ("dark-slip", poured[0]),
    ]) {
        let record = record(&bench, &jar.mark);
        near(micrograms(&record["now"]["mass_g"]), jar.contents_ug);
        // What is in the jar means the same in a record, in a list and beside another batch.
        near(micrograms(&record["in_jar_g"]), jar.contents_ug);
        let read = |path: &str| -> Value {
            let answer = bench.service.client().get(path);
            answer.with_status(200).json()
        };
        let list = read(&format!("/v1/batches?find={}", jar.mark));
        let mut listed = list["batches"].as_array().unwrap().iter();
        let listed = listed.find(|batch| batch["mark"] == jar.mark.as_str());
        assert_eq!(listed.unwrap()["in_jar_g"], record["in_jar_g"]);
        let pair = read(&format!("/v1/batches/{0}/compared/{0}", jar.mark));
        assert_eq!(pair["other"]["in_jar_g"], record["in_jar_g"]);
        near(now(&record, ingredient), jar.contents_ug - drops);
        near(now(&record, "flow-drops"), drops);
        near(micrograms(&record["tare_g"]), jar.tare_ug);
        let added = &record["amendments"][0];
        assert_eq!(added["what"], "flow-drops", "{record}");
        // The amendment has a record of its own, which says into which jar it went.
        let own = self::record(&bench, added["batch"].as_str().unwrap());
        assert_eq!(own["amends"]["batch"], jar.mark.as_str());
        assert_eq!(own["in_jar_g"], 0.0, "its jar is another's");
        near(micrograms(&own["tare_g"]), jar.tare_ug);
        assert!(kinds(&own).contains(&"judged"), "{own}");
    }
    // And the jar is known by its new weight.
    let grey = &jars[0];
    bench.scale.load(grey.tare_ug, grey.contents_ug);
    bench.wait_gross(104.0);
    let shown = bench.tell(&["log", "show", &grey.mark]);
    assert!(
        shown.contains("In the jar now, 44.") && shown.contains("Since it was made"),
        "{shown}"
    );
}

#[test]
fn one_jar_is_poured_into_another_and_both_records_say_what_is_in_them() {
    let mut bench = Bench::new();
    bench.attach();
    let grey = make(&mut bench, "Slip, grey", "grey-slip", 40, 60_000_000);
    let pale = make(&mut bench, "Slip, pale", "pale-slip", 60, 75_000_000);
    let _view = ask(
        &bench,
        "join",
        &json!({"from": grey.mark, "into": pale.mark, "mass": "20 g"}),
    );
    bench.wait_doing("change-jar");
    bench.scale.load(pale.tare_ug, pale.contents_ug);
    let poured = bench.pour_step(0);
    bench.wait_doing("complete");
    let (from, into) = (record(&bench, &grey.mark), record(&bench, &pale.mark));
    near(now(&into, "grey-slip"), poured.ug);
    near(now(&into, "pale-slip"), pale.contents_ug);
    near(now(&from, "grey-slip"), grey.contents_ug - poured.ug);
    assert_eq!(
        from["poured_into"][0]["batch"],
        pale.mark.as_str(),
        "{from}"
    );
    assert_eq!(into["amendments"][0]["jar"], grey.mark.as_str(), "{into}");
    // A quarter of the joined jar goes back, as told: it carries what the jar holds.
    let told = bench.tell(&[
        "join", &pale.mark, "into", &grey.mark, "--mass", "20g", "--told",
    ]);
    assert!(told.contains("unseen"), "{told}");
    let from = record(&bench, &grey.mark);
    near(now(&from, "pale-slip"), 15_000_000);
    near(now(&from, "grey-slip"), 25_000_000);
    let line = &from["amendments"][1];
    assert_eq!(
        (&line["unseen"], &line["batch"]),
        (&json!(true), &json!(pale.mark)),
        "{from}"
    );
}

#[test]
fn some_of_a_finished_jar_is_taken_out_into_a_cup_and_the_rest_is_said_to_be_gone() {
    let mut bench = Bench::new();
    bench.attach();
    let grey = make(&mut bench, "Slip, grey", "grey-slip", 50, 60_000_000);
    let cup = json!({"from": grey.mark, "mass": "20 g", "into": "sample cup"});
    let _view = ask(&bench, "take-out", &cup);
    bench.wait_doing("change-jar");
    bench.scale.load(grey.tare_ug, grey.contents_ug);
    let doing = bench.wait_doing("decant")["doing"].clone();
    assert_eq!(doing["into"], "sample cup");
    bench.scale.take(20_000_000);
    bench.wait_doing("complete");
    let left = record(&bench, &grey.mark);
    near(now(&left, "grey-slip"), 30_000_000);
    assert_eq!(left["amendments"][0]["what"], "sample cup", "{left}");
    let told = bench.tell(&["take-out", &grey.mark, "--told"]);
    assert!(told.contains("In the jar now, 0.00 g"), "{told}");
    let empty = bench
        .person(&["take-out", &grey.mark, "--told"])
        .with_code(1);
    assert!(
        empty.stderr.contains("nothing is left in the jar"),
        "{}",
        empty.stderr
    );
}

/// The label of a jar: its SVG has every line of text, and what its code says.
fn label(bench: &Bench, mark: &str) -> String {
    let body = json!({"marks": [mark], "form": "svg"});
    let answer = bench.service.client().post("/v1/labels", &body);
    answer.with_status(200).text()
}

#[test]
fn the_label_of_an_amended_jar_says_what_is_in_it_now_and_warns_of_it() {
    let mut bench = Bench::new();
    bench.attach();
    let grey = make(&mut bench, "Slip, grey", "grey-slip", 40, 60_000_000);
    let before = label(&bench, &grey.mark);
    assert!(
        before.contains(" 40") && !before.contains("Caution"),
        "{before}"
    );
    let shelf = "[ingredient.flow-drops]\nname = \"Flow drops\"\ncaution = [\"wear gloves\"]\n\
        [[ingredient.flow-drops.pack]]\nholds = \"100 g\"\nbest_before = \"2031-05-06\"\n";
    let add = json!({"marks": [grey.mark], "shelf": shelf, "add": [{"ingredient": "flow-drops", "amount": "4 g"}]});
    let view = ask(&bench, "amend", &add);
    bench.wait_doing("change-jar");
    bench.scale.load(grey.tare_ug, grey.contents_ug);
    let _poured = bench.pour_step(0);
    bench.wait_doing("complete");
    let after = label(&bench, &grey.mark);
    for said in [
        "besides: Flow drops 4",
        "Caution: wear gloves",
        "best before 2031-05-06",
        "\u{b7} 44",
    ] {
        // What stands on the label twice over, once for eyes and once for who hears it; and what a phone reads.
        let code = after.split("aria-label=\"QR\"").nth(1).unwrap();
        assert!(code.contains(said), "{said}: {code}");
        let lines = after.split("aria-label=\"QR\"").next().unwrap();
        assert!(lines.contains(said), "{said}: {lines}");
    }
    assert!(!after.contains("\u{b7} 40"), "{after}");
    // The mark of the amendment names the same jar, which gets one label.
    let amendment = view["batch"].as_str().unwrap();
    assert_eq!(label(&bench, amendment), after);
    // What is poured over takes its caution with it.
    bench.scale.lift();
    bench.wait_gross(0.0);
    let pale = make(&mut bench, "Slip, pale", "pale-slip", 60, 75_000_000);
    let told = bench.tell(&[
        "join", &grey.mark, "into", &pale.mark, "--mass", "22g", "--told",
    ]);
    assert!(told.contains("unseen"), "{told}");
    let joined = label(&bench, &pale.mark);
    for said in ["wear gloves", "grey-slip 2", "Flow drops 2", "\u{b7} 82"] {
        assert!(joined.contains(said), "{said}: {joined}");
    }
    assert!(label(&bench, &grey.mark).contains("\u{b7} 22"));
}

#[test]
fn of_two_who_say_at_once_that_all_of_a_jar_is_gone_one_is_told_that_nothing_is_left() {
    let mut bench = Bench::new();
    bench.attach();
    let grey = make(&mut bench, "Slip, grey", "grey-slip", 40, 60_000_000);
    let path = format!("/v1/batches/{}/moved", grey.mark);
    let service = &bench.service;
    let statuses: Vec<u16> = std::thread::scope(|scope| {
        let say = || {
            scope.spawn(|| {
                service
                    .client()
                    .post(&path, &json!({"into": "the wall"}))
                    .status
            })
        };
        let both: Vec<_> = (0..8).map(|_| say()).collect();
        both.into_iter().map(|one| one.join().unwrap()).collect()
    });
    let taken = statuses.iter().filter(|status| **status == 200).count();
    assert_eq!(taken, 1, "{statuses:?}");
    assert!(
        statuses
            .iter()
            .all(|status| [200, 409, 422].contains(status)),
        "{statuses:?}"
    );
    near(micrograms(&record(&bench, &grey.mark)["now"]["mass_g"]), 0);
}

#[test]
fn what_is_no_finished_jar_cannot_be_opened_again() {
    let mut bench = Bench::new();
    bench.attach();
    let grey = make(&mut bench, "Slip, grey", "grey-slip", 40, 60_000_000);
    let add = |marks: &[&str], amount: &str| {
        let body = json!({"marks": marks, "add": [{"ingredient": "flow-drops", "amount": amount}]});
        bench
            .service
            .client()
            .post("/v1/benches/bench/amend", &body)
    };
    let mark = grey.mark.as_str();
    let _nobody = add(&["22222"], "1 g").with_status(404);
    let _none = add(&[], "1 g").with_status(422);
    let _twice = add(&[mark, mark], "1 g").with_status(422);
    let _amount = add(&[mark], "a little").with_status(422);
    let view: Value = add(&[mark], "1 g").with_status(200).json();
    let _open = add(&[view["batch"].as_str().unwrap()], "1 g").with_status(409);
    bench.tell(&["abort", "--yes"]);
    let amendment: Value = add(&[view["batch"].as_str().unwrap()], "1 g")
        .with_status(409)
        .json();
    assert_eq!(
        amendment["type"], "urn:tarehand:problem:no-jar",
        "{amendment}"
    );
    let much = bench
        .person(&["take-out", mark, "--mass", "90g", "--told"])
        .with_code(1);
    assert!(
        much.stderr.contains("the jar does not hold that"),
        "{}",
        much.stderr
    );
}

#[test]
fn whatever_is_poured_on_the_scale_keeps_whose_hand_it_was_and_how_the_room_was() {
    let mut bench = Bench::new();
    bench.attach();
    let grey = make(&mut bench, "Slip, grey", "grey-slip", 40, 60_000_000);
    let pale = make(&mut bench, "Slip, pale", "pale-slip", 60, 75_000_000);
    let add = json!([{"ingredient": "flow-drops", "amount": "4 g"}]);
    let asked = [
        (
            "amend",
            json!({"marks": [&grey.mark, &pale.mark], "add": add}),
        ),
        (
            "join",
            json!({"from": grey.mark, "into": pale.mark, "mass": "20 g"}),
        ),
        ("take-out", json!({"from": grey.mark, "mass": "20 g"})),
        ("repeat", json!({"mark": grey.mark})),
    ];
    let client = bench.service.client();
    for (what, body) in asked {
        let path = format!("/v1/benches/bench/{what}");
        let with = |hand: &str, room: &str| {
            let mut body = body.clone();
            body["hand"] = json!(hand);
            body["room"] = json!(room);
            client.post(&path, &body)
        };
        let unnamed: Value = with(&"o".repeat(41), "21 C").with_status(422).json();
        assert_eq!(unnamed["type"], "urn:tarehand:problem:bad-hand", "{what}");
        let mild: Value = with("noor", "mild").with_status(422).json();
        assert_eq!(mild["type"], "urn:tarehand:problem:bad-room", "{what}");
        let view: Value = with("noor", "21 C, 45 %").with_status(200).json();
        let jars = view["jars"].as_array().map_or(1, |jars| jars.len().max(1));
        for _ in 0..jars {
            let view = bench.view();
            let mark = view["batch"].as_str().unwrap();
            let kept: Value = client
                .get(&format!("/v1/batches/{mark}/kept"))
                .with_status(200)
                .json();
            let entries = kept["entries"].as_array().unwrap();
            let opened: Value = serde_json::from_str(entries[0]["body"].as_str().unwrap()).unwrap();
            assert_eq!(opened["limits"]["hand"], "noor", "{what}: {opened}");
            let room = entries.iter().find(|entry| entry["kind"] == "room-known");
            let room = room.and_then(|entry| entry["body"].as_str()).unwrap();
            assert!(room.contains("45"), "{what}: {room}");
            bench.tell(&["abort", "--yes"]);
        }
    }
}
