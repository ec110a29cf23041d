//! A person who keeps to what the service shows, and the hands' own knowledge of what was poured.

mod acts;
mod hears;
mod trouble;

use std::collections::BTreeMap;

use serde_json::{Value, json};
use tarehand_tests::{ScaleDouble, ScaleSetting};

use super::chance::Chance;
use super::record::{DIVISION_G, grams};
use super::station::{SPEED, Station};

pub(super) use trouble::Trouble;

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
}

/// Returns grams in whole micrograms.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a pour is some grams: far inside an i64 of micrograms"
)]
fn micrograms(grams: f64) -> i64 {
    (grams * 1e6).round() as i64
}
