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
        near(now(&record, ingredient), jar.contents_ug - drops);
        near(now(&record, "flow-drops"), drops);
        near(micrograms(&record["tare_g"]), jar.tare_ug);
        let added = &record["amendments"][0];
        assert_eq!(added["what"], "flow-drops", "{record}");
        // The amendment has a record of its own, which says into which jar it went.
        let own = self::record(&bench, added["batch"].as_str().unwrap());
        assert_eq!(own["amends"]["batch"], jar.mark.as_str());
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
