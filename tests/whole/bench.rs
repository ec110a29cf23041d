//! A bench to work at: the service, a double of a scale, and the hands.

use std::fs;
use std::path::PathBuf;

use rustix::process::Signal;
use serde_json::{Value, json};
use tarehand_protocol::Mass;
use tarehand_tests::binaries::repository;
use tarehand_tests::{Answer, Finished, Home, LIMIT, Running, ScaleDouble, ScaleSetting, Service};
use tarehand_tests::{run, wait_for};

/// How many times as fast as the wall's the bench's clock and the scale's time run.
///
/// Faster, and a busy machine looks like a silent scale: a gap of 1.5 s is then 300 ms.
pub(crate) const SPEED: f64 = 5.0;

/// The jar.
pub(crate) const JAR_UG: i64 = 60_000_000;

/// A service with a scale at it. What is dropped first ends first.
pub(crate) struct Bench {
    pub(crate) scale: ScaleDouble,
    pub(crate) service: Service,
    pub(crate) home: Home,
}

/// What went into the jar in one addition.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Poured {
    pub(crate) ingredient: String,
    pub(crate) ug: i64,
}

/// Returns a file of `fixtures/whole`.
pub(crate) fn fixture(name: &str) -> PathBuf {
    repository().join("fixtures/whole").join(name)
}

/// Returns the mass of so many grams, as the program tells them.
#[track_caller]
pub(crate) fn micrograms(grams: &Value) -> i64 {
    let grams = grams.as_f64().expect("grams are a number");
    Mass::from_estimated_grams(grams).micrograms()
}

impl Bench {
    /// A scale that streams text with a stability and a unit.
    pub(crate) fn new() -> Self {
        Self::with(&ScaleSetting::default())
    }

    pub(crate) fn with(setting: &ScaleSetting) -> Self {
        let home = Home::new();
        let setting = ScaleSetting {
            speed: SPEED,
            ..setting.clone()
        };
        let scale = ScaleDouble::start(&home.path().join("scale"), &setting);
        let service = Service::start(&home, &["--clock-rate", &SPEED.to_string()]);
        Self {
            scale,
            service,
            home,
        }
    }

    /// Kills the service, as a power cut does, and starts it again.
    #[track_caller]
    pub(crate) fn restart(&mut self) {
        self.service.process().signal(Signal::KILL);
        wait_for("the end of the service", LIMIT, || {
            self.service
                .client()
                .request("GET", "/v1/status", None)
                .err()
        });
        self.service = Service::start(&self.home, &["--clock-rate", &SPEED.to_string()]);
    }

    /// Runs a command of the person in this home.
    #[track_caller]
    pub(crate) fn person(&self, arguments: &[&str]) -> Finished {
        run(&mut self.home.tarehand(arguments), "", LIMIT)
    }

    /// Starts `tarehand mix` on this scale; it is no terminal, so it tells in plain lines.
    #[track_caller]
    pub(crate) fn mix(&self, recipe: &str, flags: &[&str]) -> Running {
        let (recipe, link) = (fixture(recipe), self.link());
        let mut command = self.home.tarehand(&["mix"]);
        command.arg(recipe).args(["--port", &link]).args(flags);
        Running::start(&mut command, std::process::Stdio::null())
    }

    pub(crate) fn link(&self) -> String {
        self.scale.link().to_str().unwrap().to_owned()
    }

    /// Attaches the scale through the API, as `mix --port` does.
    #[track_caller]
    pub(crate) fn attach(&self) {
        let body = json!({"port": self.link()});
        let path = "/v1/benches/bench/scale";
        let _view = self.service.client().put(path, &body).with_status(200);
        self.wait("the way to the scale", |view| {
            (view["scale"]["open"] == true).then_some(())
        });
    }

    /// Attaches the scale and opens a batch of a recipe of `fixtures/whole`.
    #[track_caller]
    pub(crate) fn open(&self, recipe: &str) {
        self.attach();
        let stem = recipe.trim_end_matches(".toml");
        let text = fs::read_to_string(fixture(recipe)).unwrap();
        let body = json!({"recipe": stem, "recipes": {stem: text}, "size": "as-written"});
        let _view = self
            .service
            .client()
            .post("/v1/benches/bench/batch", &body)
            .with_status(200);
    }

    #[track_caller]
    pub(crate) fn view(&self) -> Value {
        let answer = self.service.client().get("/v1/benches/bench");
        answer.with_status(200).json()
    }

    /// Waits for a view; the newest comes first.
    #[track_caller]
    pub(crate) fn wait<T>(&self, what: &str, look: impl FnMut(&Value) -> Option<T>) -> T {
        // Until the bench is made there is nothing to look at.
        let client = self.service.client();
        wait_for("the bench", LIMIT, || {
            (client.get("/v1/benches/bench").status == 200).then_some(())
        });
        let mut events = client.events("/v1/benches/bench/events");
        events.wait_for(what, "view", LIMIT, look)
    }

    /// Waits until this is to be done, and returns the view.
    #[track_caller]
    pub(crate) fn wait_doing(&self, what: &str) -> Value {
        self.wait(&format!("`{what}` to be done"), |view| {
            (view["doing"]["what"] == what).then(|| view.clone())
        })
    }

    /// Waits until a question of this kind is asked, and returns it.
    #[track_caller]
    pub(crate) fn wait_asked(&self, about: &str) -> Value {
        self.wait(&format!("the question about `{about}`"), |view| {
            let question = &view["question"];
            (question["about"] == about).then(|| question.clone())
        })
    }

    /// Waits for a weight that `look` finds something in.
    #[track_caller]
    pub(crate) fn wait_weight<T>(&self, what: &str, look: impl FnMut(&Value) -> Option<T>) -> T {
        let client = self.service.client();
        let mut events = client.events("/v1/benches/bench/events");
        events.wait_for(what, "weight", LIMIT, look)
    }

    /// Waits until the running step has received so much, settled.
    #[track_caller]
    pub(crate) fn wait_settled(&self, net_g: f64) {
        self.wait_weight(&format!("{net_g} g settled"), |weight| {
            let near = (weight["net_g"].as_f64()? - net_g).abs() < 0.15;
            (weight["settled"] == true && near).then_some(())
        });
    }

    /// Says something through the API.
    pub(crate) fn say(&self, command: &Value) -> Answer {
        let path = "/v1/benches/bench/commands";
        self.service.client().post(path, command)
    }

    /// Says a word that needs nothing else, through the command line, and it is taken.
    #[track_caller]
    pub(crate) fn tell(&self, words: &[&str]) -> String {
        self.person(words).good()
    }

    /// Puts the empty jar on the pan when it is wanted.
    #[track_caller]
    pub(crate) fn put_jar(&mut self) {
        self.wait_doing("put-jar");
        self.scale.load(JAR_UG, 0);
    }

    /// Pours so much, in about two seconds of the bench's time.
    #[track_caller]
    pub(crate) fn pour(&mut self, ug: i64) {
        self.scale.pour(ug, (ug / 2).max(3_000_000));
    }

    /// Pours the running step to its target and so much more; waits until it is judged.
    #[track_caller]
    pub(crate) fn pour_step(&mut self, more_ug: i64) -> Poured {
        let poured = self.pour_running(more_ug);
        let step = poured.0;
        self.wait("the verdict", |view| {
            (step_of(view, &step)["status"] == "done").then_some(())
        });
        poured.1
    }

    /// As [`Bench::pour_step`], without waiting; returns the step's number too.
    #[track_caller]
    pub(crate) fn pour_running(&mut self, more_ug: i64) -> (Value, Poured) {
        let view = self.wait_doing("pour");
        let doing = &view["doing"];
        let step = step_of(&view, &doing["step"]);
        let has = if step["poured_g"].is_null() {
            0
        } else {
            micrograms(&step["poured_g"])
        };
        let ug = micrograms(&doing["target_g"]) - has + more_ug;
        self.pour(ug);
        let ingredient = doing["ingredient"].as_str().unwrap().to_owned();
        (doing["step"].clone(), Poured { ingredient, ug })
    }

    /// Pours every addition that is still wanted, each this much too much or too little, and returns them.
    #[track_caller]
    pub(crate) fn pour_rest(&mut self, more_ug: i64) -> Vec<Poured> {
        let mut all = Vec::new();
        loop {
            let over = self.wait("a pour or the end", |view| {
                let what = view["doing"]["what"].as_str()?;
                match what {
                    "pour" => Some(false),
                    "complete" => Some(true),
                    _ => None,
                }
            });
            if over {
                return all;
            }
            all.push(self.pour_step(more_ug));
        }
    }

    /// Returns the newest batch of the log, by the command line.
    #[track_caller]
    pub(crate) fn record(&self) -> Value {
        let list: Value =
            serde_json::from_str(&self.person(&["log", "list", "--json"]).good()).unwrap();
        let mark = list["batches"][0]["mark"].as_str().unwrap();
        let record = self.person(&["log", "show", mark, "--json"]).good();
        serde_json::from_str(&record).unwrap()
    }

    /// The log has what went into the jar, within a division for every addition, and the jar has all of it.
    #[track_caller]
    pub(crate) fn check_grams(&mut self, poured: &[Poured]) -> Value {
        let truth = self.scale.truth();
        let division = truth["division_ug"].as_i64().unwrap();
        let record = self.record();
        let contents = record["contents"].as_array().unwrap();
        for line in contents {
            let name = line["name"].as_str().unwrap();
            let mine = poured.iter().filter(|poured| poured.ingredient == name);
            let (count, sum) =
                mine.fold((0, 0), |(count, sum), poured| (count + 1, sum + poured.ug));
            let logged = micrograms(&line["poured_g"]);
            let away = (logged - sum).abs();
            assert!(away <= division * count, "{name}: {sum} µg went in, {line}");
        }
        let named = |poured: &&Poured| {
            contents
                .iter()
                .any(|line| line["name"] == poured.ingredient)
        };
        assert_eq!(
            poured.iter().find(|poured| !named(poured)),
            None,
            "{record}"
        );
        let in_jar = micrograms(&record["in_jar_g"]);
        let away = (in_jar - truth["contents_ug"].as_i64().unwrap()).abs();
        assert!(away <= division, "{truth} against {record}");
        record
    }
}

/// Returns a step of a view by its number.
pub(crate) fn step_of<'a>(view: &'a Value, number: &Value) -> &'a Value {
    let mut steps = view["steps"].as_array().unwrap().iter();
    steps
        .find(|step| step["step"] == *number)
        .expect("the step of `doing` is among the steps")
}

/// Returns the kinds of everything that happened, in order.
pub(crate) fn kinds(record: &Value) -> Vec<&str> {
    let entries = record["entries"].as_array().unwrap();
    entries
        .iter()
        .map(|entry| entry["kind"].as_str().unwrap())
        .collect()
}
