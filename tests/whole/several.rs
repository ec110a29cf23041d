//! Several jars of a set on one scale: each is known by its weight, and every gram is booked to the jar it is in.

use std::collections::BTreeMap;
use std::fs;

use serde_json::{Value, json};
use tarehand_tests::{LIMIT, wait_for};

use crate::bench::{Bench, fixture, micrograms, step_of};

/// A jar as it stands on the table: its recipe's name, what it weighs, what is in it.
struct Jar {
    name: &'static str,
    stem: &'static str,
    tare_ug: i64,
    contents_ug: i64,
}

/// The jars of `two-slates.toml`; the two that take colour weigh the same when they are empty.
fn jars() -> Vec<Jar> {
    let jar = |name, stem, tare_ug| Jar {
        name,
        stem,
        tare_ug,
        contents_ug: 0,
    };
    vec![
        jar("Slate base", "slate-base", 81_000_000),
        jar("Slate, dark", "slate-dark", 60_000_000),
        jar("Slate, pale", "slate-pale", 60_000_000),
    ]
}

/// A person at the scale with several jars.
struct Person {
    bench: Bench,
    jars: Vec<Jar>,
    on_pan: Option<usize>,
}

impl Person {
    fn new() -> Self {
        Self {
            bench: Bench::new(),
            jars: jars(),
            on_pan: None,
        }
    }

    fn open(&self, walk: &str) {
        self.bench.attach();
        let text = |stem: &str| fs::read_to_string(fixture(&format!("{stem}.toml"))).unwrap();
        let recipes: BTreeMap<&str, String> = self
            .jars
            .iter()
            .map(|jar| (jar.stem, text(jar.stem)))
            .collect();
        let body = json!({"set": text("two-slates"), "recipes": recipes, "walk": walk});
        let answer = self
            .bench
            .service
            .client()
            .post("/v1/benches/bench/set", &body);
        let _view = answer.with_status(200);
    }

    fn place(&self, name: &Value) -> usize {
        let named = |jar: &Jar| name == jar.name;
        self.jars.iter().position(named).expect("a jar of the set")
    }

    /// Takes whatever is there off the pan and sets this jar down.
    fn put(&mut self, jar: usize) {
        self.clear();
        let Jar {
            tare_ug,
            contents_ug,
            ..
        } = self.jars[jar];
        self.bench.scale.load(tare_ug, contents_ug);
        self.on_pan = Some(jar);
    }

    fn clear(&mut self) {
        if let Some(jar) = self.on_pan.take() {
            self.jars[jar].contents_ug = self.bench.scale.contents_ug();
        }
        self.bench.scale.lift();
        self.bench.wait_weight("an empty pan", |weight| {
            let gross = weight["gross_g"].as_f64()?;
            (gross.abs() < 1.0 && weight["settled"] == true || gross.abs() < 0.05).then_some(())
        });
    }

    /// Pours what is asked for into the jar on the pan, a premix out of its own jar.
    fn pour(&mut self, view: &Value) {
        let doing = &view["doing"];
        let step = step_of(view, &doing["step"]);
        let has = step["poured_g"]
            .as_f64()
            .map_or(0, |_| micrograms(&step["poured_g"]));
        let ug = micrograms(&doing["target_g"]) - has;
        if let Some(premix) = self
            .jars
            .iter_mut()
            .find(|jar| doing["ingredient"] == jar.name)
        {
            premix.contents_ug -= ug;
        }
        let (batch, number) = (view["batch"].clone(), doing["step"].clone());
        self.bench.pour(ug);
        self.bench.wait("the verdict", |view| {
            let shown = view["batch"] == batch;
            (!shown || step_of(view, &number)["status"] == "done").then_some(())
        });
    }

    /// Does what is said until something else is asked, and returns that.
    fn follow(&mut self, mut until: impl FnMut(&Value) -> bool) -> Value {
        loop {
            let view = self.bench.wait("something to do", |view| {
                let what = view["doing"]["what"].as_str()?;
                let waits = ["put-jar", "change-jar", "pour", "answer", "complete"];
                waits.contains(&what).then(|| view.clone())
            });
            if until(&view) {
                return view;
            }
            match view["doing"]["what"].as_str() {
                Some("put-jar") => {
                    let jar = self.place(&view["recipe"]);
                    self.put(jar);
                    self.changed(&view);
                }
                Some("change-jar") => {
                    let jar = self.place(&view["doing"]["jar"]);
                    self.put(jar);
                    self.changed(&view);
                }
                Some("pour") => self.pour(&view),
                Some("answer") if view["question"]["about"] == "which-jar" => {
                    let here = &self.jars[self.on_pan.expect("a jar is on the pan")];
                    let _said = self.bench.tell(&["jar-is", here.stem]);
                    self.changed(&view);
                }
                _ => return view,
            }
        }
    }

    /// Waits until something else is to be done.
    fn changed(&self, before: &Value) {
        let revision = |view: &Value| view["doing"].clone();
        self.bench.wait("what comes next", |view| {
            (revision(view) != revision(before)).then_some(())
        });
    }

    /// Every jar's record holds what is really in it, within a division a booking.
    fn check(&mut self) {
        self.clear();
        let list = self.bench.person(&["log", "list", "--json"]).good();
        let list: Value = serde_json::from_str(&list).unwrap();
        let batches = list["batches"].as_array().unwrap();
        assert_eq!(batches.len(), self.jars.len(), "{list}");
        for batch in batches {
            assert_eq!(batch["state"], "complete", "{batch}");
            let mark = batch["mark"].as_str().unwrap();
            let record = self.bench.person(&["log", "show", mark, "--json"]).good();
            let record: Value = serde_json::from_str(&record).unwrap();
            let jar = &self.jars[self.place(&record["recipe"])];
            let away = (micrograms(&record["in_jar_g"]) - jar.contents_ug).abs();
            assert!(
                away <= 400_000,
                "{} holds {} µg: {record}",
                jar.name,
                jar.contents_ug
            );
            let marks: Vec<&Value> = batches.iter().map(|batch| &batch["mark"]).collect();
            for line in record["poured_into"].as_array().unwrap() {
                assert!(marks.contains(&&line["batch"]), "{record}");
            }
            let from_base = if jar.stem == "slate-base" { 2 } else { 0 };
            assert_eq!(record["poured_into"].as_array().unwrap().len(), from_base);
        }
    }
}

#[test]
fn a_set_is_mixed_jar_by_jar() {
    let mut person = Person::new();
    person.open("jar");
    let end = person.follow(|_| false);
    assert_eq!(end["doing"]["what"], "complete", "{end}");
    person.check();
}

#[test]
fn a_set_is_mixed_bottle_by_bottle_through_a_killed_service() {
    let mut person = Person::new();
    person.open("bottle");
    let mut changes = 0;
    person.follow(|view| {
        changes += u32::from(view["doing"]["what"] == "change-jar");
        changes == 3
    });
    person.bench.restart();
    wait_for("the set after the restart", LIMIT, || {
        let view = person.bench.view();
        (view["jars"].as_array()?.len() == 3).then_some(())
    });
    let end = person.follow(|_| false);
    assert_eq!(end["doing"]["what"], "complete", "{end}");
    person.check();
}

#[test]
fn what_goes_into_a_jar_whose_turn_it_is_not_is_asked_about() {
    let mut person = Person::new();
    person.open("bottle");
    let view = person.follow(|view| {
        let doing = &view["doing"];
        let here = doing["instead"] == "Slate, pale" || doing["instead"] == "Slate, dark";
        doing["what"] == "change-jar" && here
    });
    let stays = view["doing"]["instead"].clone();
    person.bench.pour(5_000_000);
    let question = person.bench.wait_asked("out-of-turn");
    let text = question["text"].as_str().unwrap();
    assert!(text.contains(stays.as_str().unwrap()), "{text}");
    let _said = person.bench.tell(&["answer", "yes"]);
    let end = person.follow(|_| false);
    assert_eq!(end["doing"]["what"], "complete", "{end}");
    person.check();
}

#[test]
fn one_jar_of_a_set_is_given_up_by_its_name_and_then_all_that_are_left() {
    let person = Person::new();
    person.open("jar");
    let said = person.bench.person(&["abort", "--yes"]).with_code(0).stderr;
    assert!(said.contains("Slate base is given up"), "{said}");
    let states = |view: &Value| -> Vec<Value> {
        let jars = view["jars"].as_array().unwrap().iter();
        jars.map(|jar| jar["state"].clone()).collect()
    };
    assert_eq!(states(&person.bench.view()), ["aborted", "idle", "idle"]);
    let said = person.bench.person(&["abort", "--yes", "--whole-set"]);
    let said = said.with_code(0).stderr;
    assert!(!said.contains("go on"), "{said}");
    let list = person.bench.person(&["log", "list", "--json"]).good();
    let list: Value = serde_json::from_str(&list).unwrap();
    let batches = list["batches"].as_array().unwrap();
    assert_eq!(batches.len(), 3, "{list}");
    assert!(
        batches.iter().all(|batch| batch["state"] == "aborted"),
        "{list}"
    );
}
