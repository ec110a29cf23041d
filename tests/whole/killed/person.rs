//! A person who keeps to what the service shows, and the hands' own knowledge of what was poured.

use std::collections::BTreeMap;
use std::time::Duration;

use serde_json::{Value, json};
use tarehand_tests::{ScaleDouble, ScaleSetting};

use super::announced::{check_asked, check_kept};
use super::chance::Chance;
use super::record::{self, DIVISION_G, grams};
use super::station::{SPEED, Station};

/// What is made, of invented things.
const RECIPE: &str = r#"
[recipe]
name   = "Quarry glaze"
makes  = "90 g"
within = "2 %"

[[step]]
add    = "ochre-paste"
amount = "20 g"

[[step]]
add    = "clear-medium"
amount = "40 parts"

[[step]]
stir   = "3 s"

[[step]]
add    = "chalk-paste"
amount = "30 parts"

[[step]]
look   = "smooth, no lumps"

[[step]]
rest   = "2 s"

[[step]]
add    = "slow-oil"
amount = "10 parts"
"#;

/// After so many settled weights inside the tolerance with no judgement something is stuck.
const PATIENCE: u32 = 400;

/// What happens at random moments.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Trouble {
    /// The service is killed.
    Killed,
    /// The scale's plug is pulled, and put in again.
    Unplugged,
}

impl Trouble {
    /// Returns the phases of the work it must have come in.
    pub(super) const fn phases(self) -> &'static [&'static str] {
        match self {
            Self::Killed => &[
                "while starting",
                "while the jar is awaited",
                "while pouring",
                "while dwelling",
                "while asked about an overshoot",
                "while asked about what came unseen",
                "while stirring or resting",
                "between a command and its answer",
            ],
            Self::Unplugged => &[
                "while the jar is awaited",
                "while pouring",
                "while stirring or resting",
            ],
        }
    }
}

/// A person at work.
#[derive(Debug)]
pub(super) struct Person {
    trouble: Trouble,
    chance: Chance,
    /// Dropped before the station, in whose home its link lies.
    scale: ScaleDouble,
    station: Station,
    /// What the service showed last.
    view: Value,
    /// The weight it showed last, if it is not older than what was done last.
    weight: Option<Value>,
    mark: Option<String>,
    poured_ug: BTreeMap<String, i64>,
    waited: u32,
    /// A command was sent and not answered.
    unanswered: bool,
    phases: BTreeMap<&'static str, u32>,
    troubles: u32,
    wanted: u32,
    /// Events until the plug is pulled.
    until_pulled: i64,
}

impl Person {
    /// Starts the service and attaches a scale.
    #[track_caller]
    pub(super) fn at_work(trouble: Trouble, chance: Chance) -> Self {
        let mut station = Station::new();
        let setting = ScaleSetting {
            speed: SPEED,
            ..ScaleSetting::default()
        };
        let scale = ScaleDouble::start(&station.home().path().join("scale"), &setting);
        assert!(station.start(None), "nobody kills it yet");
        let port = json!({"port": scale.link()});
        let (status, view) = station.ask("PUT", "scale", &port).unwrap();
        assert_eq!(status, 200, "{view}");
        assert!(station.listen());
        Self {
            trouble,
            chance,
            station,
            scale,
            view,
            weight: None,
            mark: None,
            poured_ug: BTreeMap::new(),
            waited: 0,
            unanswered: false,
            phases: BTreeMap::new(),
            troubles: 0,
            wanted: 0,
            until_pulled: 50,
        }
    }

    /// Returns in which phases trouble came, and how often.
    pub(super) const fn phases(&self) -> &BTreeMap<&'static str, u32> {
        &self.phases
    }

    /// Makes batches until trouble has come so often, and the last one to its end in peace.
    #[track_caller]
    pub(super) fn make_batches(&mut self, times: u32) {
        self.wanted = times;
        self.send_for_the_reaper();
        while self.troubles < times || self.mark.is_some() {
            // How fast the machine is decides what a moment of chance falls into: a phase not met yet is waited for.
            let met = self
                .trouble
                .phases()
                .iter()
                .all(|phase| self.phases.contains_key(phase));
            if self.wanted <= self.troubles && !met && self.wanted < 2 * times {
                self.wanted += 10;
                self.send_for_the_reaper();
            }
            self.hear();
        }
    }

    /// Hears one event and does what is to be done.
    #[track_caller]
    fn hear(&mut self) {
        if self.unanswered {
            self.mourn();
            return;
        }
        let Some(event) = self.station.hear() else {
            self.mourn();
            return;
        };
        let said = event.json();
        match event.name.as_str() {
            "view" => self.look(said),
            "weight" => self.weight = Some(said),
            _ => {}
        }
        if self.trouble == Trouble::Unplugged && self.troubles < self.wanted {
            self.until_pulled -= 1;
            if self.until_pulled <= 0 {
                self.pull_the_plug();
            }
        }
        self.act();
    }

    /// Takes in a view, unless a newer one is known from an answer.
    #[track_caller]
    fn look(&mut self, view: Value) {
        if view["revision"].as_u64() < self.view["revision"].as_u64() {
            return;
        }
        if self.view["batch"] == view["batch"] && !view["batch"].is_null() {
            check_kept(&self.view, &view);
        }
        self.check_no_gram_invented(&view);
        self.view = view;
    }

    /// At no moment has a step more than was poured into it.
    #[track_caller]
    fn check_no_gram_invented(&self, view: &Value) {
        let Some(mark) = &self.mark else { return };
        if view["batch"] != **mark {
            return;
        }
        let shown: f64 = view["steps"]
            .as_array()
            .unwrap()
            .iter()
            .filter_map(|step| step["poured_g"].as_f64())
            .sum();
        let poured: f64 = self.poured_ug.values().map(|&ug| grams(ug)).sum();
        assert!(
            shown <= poured + DIVISION_G + 1e-6,
            "{poured} g poured: {view}"
        );
    }

    // --- trouble ---------------------------------------------------------------------------

    /// The service is dead: it is started again, and what it announced is looked for.
    #[track_caller]
    fn mourn(&mut self) {
        // What it said before its end was announced, though it was not heard yet.
        while let Some(event) = self.unanswered.then(|| self.station.hear()).flatten() {
            if event.name == "view" {
                self.look(event.json());
            }
        }
        let phase = self.phase();
        self.count(phase);
        self.pour_blindly();
        let view = loop {
            let doom = (self.troubles < self.wanted).then(|| self.doom());
            let up = self.station.start(doom) && self.station.listen();
            if let Some(view) = up.then(|| self.first_view()).flatten() {
                break view;
            }
            self.count("while starting");
        };
        self.take_up(view);
    }

    /// Hears the view that a stream begins with; `None` when the service was killed before it showed one.
    #[track_caller]
    fn first_view(&mut self) -> Option<Value> {
        loop {
            let event = self.station.hear()?;
            if event.name == "view" {
                return Some(event.json());
            }
        }
    }

    /// Compares the first view of a new service with the last one of the old, and goes on with it.
    #[track_caller]
    fn take_up(&mut self, view: Value) {
        let told = std::mem::replace(&mut self.view, view);
        let answered = !std::mem::take(&mut self.unanswered);
        self.weight = None;
        self.waited = 0;
        match &self.mark {
            // What is complete is no longer at the bench: its record is looked at.
            Some(_) if self.view["batch"].is_null() => {}
            Some(_) => {
                check_kept(&told, &self.view);
                if answered && told["state"] == "held" {
                    check_asked(&told, &self.view);
                }
                self.check_no_gram_invented(&self.view);
            }
            // One may have been opened that was not answered any more.
            None => self.mark = self.view["batch"].as_str().map(str::to_owned),
        }
    }

    /// Draws how long the service may live.
    fn doom(&mut self) -> Duration {
        if self.chance.percent(15) {
            self.chance.millis(0, 60)
        } else {
            self.chance.millis(60, 700)
        }
    }

    fn count(&mut self, phase: &'static str) {
        self.troubles += 1;
        *self.phases.entry(phase).or_default() += 1;
    }

    /// Returns what was going on when trouble came.
    fn phase(&mut self) -> &'static str {
        if self.unanswered {
            return "between a command and its answer";
        }
        if self.is_flowing() {
            return "while pouring";
        }
        let dwelling = self.missing_g().is_some_and(|missing| missing <= 0.0);
        match (self.view["question"]["about"].as_str(), self.what()) {
            (Some("overshoot"), _) => "while asked about an overshoot",
            (Some(_), _) => "while asked about what came unseen",
            (_, "clear-pan" | "put-jar" | "confirm-jar") => "while the jar is awaited",
            (_, "stir" | "rest") => "while stirring or resting",
            (_, "pour") if dwelling => "while dwelling",
            (_, "pour") => "between two pours",
            _ => "otherwise",
        }
    }

    /// The plug is pulled; it is put in at once, or when the service has noticed.
    #[track_caller]
    fn pull_the_plug(&mut self) {
        let phase = self.phase();
        self.count(phase);
        self.scale.unplug();
        if self.chance.percent(50) {
            while self.view["scale"]["open"] != false {
                let event = self.station.hear().expect("nobody kills it");
                if event.name == "view" {
                    self.look(event.json());
                }
            }
        }
        self.pour_blindly();
        self.scale.replug();
        self.weight = None;
        self.waited = 0;
        self.until_pulled = self.chance.between(5, 120);
    }

    /// Sometimes goes on pouring with nothing to look at, while the step certainly lacks something.
    #[track_caller]
    fn pour_blindly(&mut self) {
        if self.unanswered || self.jar_is_off() || self.is_flowing() || !self.chance.percent(30) {
            return;
        }
        let Some(missing) = self.missing_g().filter(|&missing| 2.0 < missing) else {
            return;
        };
        let share = if self.chance.percent(20) { 1.1 } else { 0.5 };
        self.pour(missing * share);
    }

    // --- work ------------------------------------------------------------------------------

    fn what(&self) -> &str {
        self.view["doing"]["what"].as_str().unwrap_or_default()
    }

    /// Returns whether liquid is on its way.
    fn is_flowing(&mut self) -> bool {
        let truth = self.scale.truth();
        let mut pours = truth["pours"].as_array().unwrap().iter();
        pours.any(|pour| pour["arrived_ug"] != pour["amount_ug"])
    }

    /// Returns what the running step lacks for its tolerance in truth, as far as hands can know it.
    fn missing_g(&mut self) -> Option<f64> {
        let doing = &self.view["doing"];
        if doing["what"] != "pour" || self.view["state"] != "running" {
            return None;
        }
        let others: f64 = self.view["steps"]
            .as_array()?
            .iter()
            .filter(|step| step["step"] != doing["step"])
            .filter_map(|step| step["poured_g"].as_f64())
            .sum();
        let in_jar: i64 = self.poured_ug.values().sum();
        let low = doing["target_g"].as_f64()? - doing["within_g"].as_f64()?;
        Some(low - (grams(in_jar) - others))
    }

    /// Pours so many grams, at some flow, of what the service asks for.
    #[track_caller]
    fn pour(&mut self, amount_g: f64) {
        let ingredient = self.view["doing"]["ingredient"]
            .as_str()
            .unwrap()
            .to_owned();
        let amount_ug = micrograms(amount_g.max(DIVISION_G));
        if amount_g < 1.0 {
            self.scale.pour_at_once(amount_ug);
        } else {
            let flow = self.chance.between(4_000_000, 40_000_000);
            self.scale.pour(amount_ug, flow);
        }
        *self.poured_ug.entry(ingredient).or_default() += amount_ug;
        self.weight = None;
        self.waited = 0;
    }

    /// Says something and takes in the answer.
    #[track_caller]
    fn say(&mut self, command: &Value) {
        if self.chance.percent(30) {
            let soon = self.chance.millis(0, 8);
            self.station.kill_sooner(soon);
        }
        self.send("POST", "commands", command);
    }

    #[track_caller]
    fn send(&mut self, method: &str, path: &str, body: &Value) {
        self.waited = 0;
        match self.station.ask(method, path, body) {
            Some((200, view)) => self.look(view),
            // What was shown is not so any more: the next view tells.
            Some((409, _)) => {}
            Some((status, problem)) => panic!("{body} was answered {status}: {problem}"),
            None => self.unanswered = true,
        }
    }

    /// Does what the newest view asks for, if it is time.
    #[track_caller]
    fn act(&mut self) {
        if self.view["state"] == "complete" || self.view["batch"].is_null() && self.mark.is_some() {
            self.hand_over();
            return;
        }
        if self.view["question"].is_object() {
            self.answer();
            return;
        }
        match self.what() {
            "nothing" => self.open(),
            "clear-pan" => self.scale.lift(),
            "put-jar" => self.bring_a_jar(),
            "confirm-jar" => self.confirm_the_jar(),
            "jar-gone" => self.put_back(20),
            "pour" => self.approach(),
            "look" => self.look_at_it(),
            "stir" | "rest" => self.play_with_the_jar(2),
            _ => {}
        }
    }

    fn bring_a_jar(&mut self) {
        if self.jar_is_off() {
            let jar = self.chance.between(30_000_000, 90_000_000);
            self.scale.load(jar, 0);
        }
    }

    #[track_caller]
    fn confirm_the_jar(&mut self) {
        if self.is_seen() {
            self.say(&json!({"command": "next"}));
        }
    }

    /// Says that it looks right, with a word or by lifting the jar.
    #[track_caller]
    fn look_at_it(&mut self) {
        if self.jar_is_off() || self.chance.percent(80) {
            self.play_with_the_jar(5);
        } else {
            self.say(&json!({"command": "next"}));
        }
    }

    fn play_with_the_jar(&mut self, percent: i64) {
        if self.jar_is_off() {
            self.put_back(20);
        } else if self.chance.percent(percent) {
            self.scale.lift();
        }
    }

    fn put_back(&mut self, percent: i64) {
        if self.jar_is_off() && self.chance.percent(percent) {
            self.scale.put_back();
            self.weight = None;
        }
    }

    fn jar_is_off(&mut self) -> bool {
        self.scale.truth()["jar_on"] == false
    }

    /// Returns whether the weight shown is settled and is what lies on the pan.
    fn is_seen(&mut self) -> bool {
        let Some(weight) = &self.weight else {
            return false;
        };
        if weight["settled"] != true || weight["gross_g"].is_null() || self.is_flowing() {
            return false;
        }
        let load = grams(self.scale.truth()["load_ug"].as_i64().unwrap());
        let shown = self
            .weight
            .as_ref()
            .and_then(|weight| weight["gross_g"].as_f64());
        shown.is_some_and(|shown| (shown - load).abs() < DIVISION_G)
    }

    /// Pours towards the target, as people do: mostly well, sometimes too little or too much.
    #[track_caller]
    fn approach(&mut self) {
        if self.jar_is_off() {
            // It was lifted at a step that is over by now.
            self.scale.put_back();
            return;
        }
        if !self.is_seen() {
            return;
        }
        let weight = self.weight.as_ref().unwrap();
        let doing = &self.view["doing"];
        let number = |value: &Value| value.as_f64().unwrap();
        if weight["step"] != doing["step"] || weight["net_g"].is_null() {
            return;
        }
        let left = number(&doing["target_g"]) - number(&weight["net_g"]);
        let within = number(&doing["within_g"]);
        if left <= within {
            self.waited += 1;
            assert!(
                self.waited < PATIENCE,
                "{left} g left of ±{within}, and nothing comes of it: {}",
                self.view
            );
            return;
        }
        let poured = number(&weight["net_g"]);
        match self.chance.between(1, 100) {
            1..=50 => self.pour(left),
            51..=75 => self.pour(left * 0.6),
            76..=85 => self.pour(left * 0.2),
            86..=92 if 5.0 < poured => self.say(&json!({"command": "next"})),
            93..=94 => self.pour(left + within * 1.6),
            95..=100 => self.pour(left * 1.3 + within * 2.0),
            _ => self.pour(left - within * 0.5),
        }
    }

    /// Answers honestly.
    #[track_caller]
    fn answer(&mut self) {
        // Nobody answers at once.
        if self.chance.percent(96) {
            return;
        }
        let question = self.view["question"].clone();
        match question["about"].as_str().unwrap() {
            "overshoot" => {
                let options = question["options"].as_array().unwrap();
                let feasible: Vec<u64> = options
                    .iter()
                    // This person only pours: what is taken out is played where no kill comes between.
                    .filter(|option| option["feasible"] == true && option["kind"] != "take-out")
                    .map(|option| option["option"].as_u64().unwrap())
                    .collect();
                let last = i64::try_from(feasible.len()).unwrap() - 1;
                let index = usize::try_from(self.chance.between(0, last)).unwrap();
                let option = feasible[index];
                self.say(&json!({"command": "answer", "option": option}));
            }
            "poured-unseen" => {
                if self.is_seen() {
                    self.say(&json!({"command": "answer", "answer": "yes"}));
                }
            }
            // The service was killed before it knew that the jar was lifted.
            "zero-lost" if self.jar_is_off() => {
                self.say(&json!({"command": "answer", "answer": "no"}));
            }
            _ => panic!("nothing was done that asks so: {}", self.view),
        }
    }

    #[track_caller]
    fn open(&mut self) {
        self.poured_ug.clear();
        let batch = json!({
            "recipe": "quarry-glaze", "recipes": {"quarry-glaze": RECIPE}, "size": "as-written",
        });
        self.send("POST", "batch", &batch);
        let opened = !self.unanswered;
        self.mark = self.view["batch"]
            .as_str()
            .filter(|_| opened)
            .map(str::to_owned);
    }

    /// The batch is complete: its record is compared with the truth, and the next one is opened.
    #[track_caller]
    fn hand_over(&mut self) {
        if !self.station.spare() {
            self.unanswered = true;
            return;
        }
        let mark = self
            .mark
            .take()
            .expect("a batch that is complete was opened");
        record::check(&self.station, &mark, &self.poured_ug);
        if self.troubles < self.wanted {
            self.send_for_the_reaper();
            self.open();
        }
    }

    fn send_for_the_reaper(&mut self) {
        if self.trouble == Trouble::Killed {
            let doom = self.doom();
            self.station.kill_in(doom);
        }
    }
}

/// Returns grams in whole micrograms.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a pour is some grams: far inside an i64 of micrograms"
)]
fn micrograms(grams: f64) -> i64 {
    (grams * 1e6).round() as i64
}
