//! What the person does, given what was shown.

use serde_json::{Value, json};

use super::Person;
use crate::killed::record::{self, DIVISION_G, grams};

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

impl Person {
    /// Does what the newest view asks for, if it is time.
    #[track_caller]
    pub(super) fn act(&mut self) {
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

    pub(super) fn jar_is_off(&mut self) -> bool {
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
}
