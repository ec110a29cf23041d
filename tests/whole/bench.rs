//! A bench to work at: the service, a double of a scale, and the hands.

use std::fs;
use std::ops::Deref;
use std::path::PathBuf;

use serde_json::{Value, json};
use tarehand_tests::binaries::repository;
use tarehand_tests::onlooker::wanted;
pub(crate) use tarehand_tests::onlooker::{kinds, micrograms, step_of};
use tarehand_tests::{Finished, Home, LIMIT, Onlooker, Running, ScaleDouble, ScaleSetting};
use tarehand_tests::{Service, run};

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
    onlooker: Onlooker,
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

impl Deref for Bench {
    type Target = Onlooker;

    fn deref(&self) -> &Onlooker {
        &self.onlooker
    }
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
        Self::of(scale, service, home)
    }

    /// Puts a scale and a service together.
    pub(crate) fn of(scale: ScaleDouble, service: Service, home: Home) -> Self {
        Self {
            scale,
            onlooker: Onlooker::new(service.client().clone()),
            service,
            home,
        }
    }

    /// Kills the service, as a power cut does, and starts it again.
    #[track_caller]
    pub(crate) fn restart(&mut self) {
        self.service.cut_off();
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
        self.onlooker.attach(&json!({"port": self.link()}));
        let _scale = self.wait_open();
    }

    /// Attaches the scale and opens a batch of a recipe of `fixtures/whole`.
    #[track_caller]
    pub(crate) fn open(&self, recipe: &str) {
        self.attach();
        let stem = recipe.trim_end_matches(".toml");
        let text = fs::read_to_string(fixture(recipe)).unwrap();
        let _view = self.open_batch(stem, &text);
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
        let (step, poured) = self.pour_running(more_ug);
        self.wait_done(&step);
        poured
    }

    /// As [`Bench::pour_step`], without waiting; returns the step's number too.
    #[track_caller]
    pub(crate) fn pour_running(&mut self, more_ug: i64) -> (Value, Poured) {
        let wanted = wanted(&self.wait_doing("pour"));
        let ug = wanted.ug + more_ug;
        self.pour(ug);
        let ingredient = wanted.ingredient;
        (wanted.step, Poured { ingredient, ug })
    }

    /// Pours every addition that is still wanted, each this much too much or too little, and returns them.
    #[track_caller]
    pub(crate) fn pour_rest(&mut self, more_ug: i64) -> Vec<Poured> {
        let mut all = Vec::new();
        while self.wait_wanted().is_some() {
            all.push(self.pour_step(more_ug));
        }
        all
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

    /// The record's jar and the double's jar hold the same, within a division a booking.
    #[track_caller]
    pub(crate) fn check_jar(&mut self, record: &Value) {
        let truth = self.scale.truth();
        let away = micrograms(&record["in_jar_g"]) - truth["contents_ug"].as_i64().unwrap();
        assert!(away.abs() <= 300_000, "{truth} against {record}");
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
