//! The double of a scale on a serial line, driven from a test.
//!
//! `tests/doubles/scale.py` plays it; what it understands stands at its head.

use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{self, Receiver};
use std::thread;

use serde_json::{Value, json};

use crate::LIMIT;
use crate::binaries::repository;
use crate::wait::{wait_for, wait_until};

/// What the double of a scale is like when it is switched on.
#[derive(Clone, Debug)]
pub struct ScaleSetting {
    /// Its shape on the wire: `head`, `status`, `polled`, `tagged`, `bare` or `steady-unit`.
    pub shape: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// Its division, in that unit.
    pub division: &'static str,
    /// Readings a second.
    pub rate_hz: f64,
    /// How many times as fast as the wall's its time runs, its rate included.
    pub speed: f64,
    /// When it speaks: `stream`, `polled`, `on_change` or `finished`.
    pub reports: &'static str,
    /// Its maximum in grams.
    pub capacity_g: f64,
}

impl Default for ScaleSetting {
    fn default() -> Self {
        Self {
            shape: "head",
            unit: "g",
            division: "0.1",
            rate_hz: 10.0,
            speed: 1.0,
            reports: "stream",
            capacity_g: 5_000.0,
        }
    }
}

/// A running double of a scale; ended when dropped.
#[derive(Debug)]
pub struct ScaleDouble {
    link: PathBuf,
    child: Child,
    /// `None` once told to end.
    commands: Option<ChildStdin>,
    answers: Receiver<String>,
}

impl ScaleDouble {
    /// Switches a scale on; programs find it at the symbolic link `link`.
    ///
    /// # Panics
    /// When Python 3 is missing or the double does not get ready.
    #[must_use]
    #[track_caller]
    pub fn start(link: &Path, setting: &ScaleSetting) -> Self {
        let mut child = Command::new("python3")
            .arg(repository().join("tests/doubles/scale.py"))
            .arg(link)
            .args(["--shape", setting.shape, "--unit", setting.unit])
            .args(["--division", setting.division])
            .args(["--reports", setting.reports])
            .arg(format!("--rate={}", setting.rate_hz))
            .arg(format!("--speed={}", setting.speed))
            .arg(format!("--capacity={}", setting.capacity_g))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("python3 plays the scale; tests/run installs it");
        let commands = child.stdin.take();
        let stdout = child.stdout.take().unwrap();
        let (sender, answers) = mpsc::channel();
        // Ends with the double, or when nobody listens any more.
        let _reader = thread::spawn(move || {
            for line in BufReader::new(stdout).lines().map_while(Result::ok) {
                if sender.send(line).is_err() {
                    return;
                }
            }
        });
        let double = Self {
            link: link.to_owned(),
            child,
            commands,
            answers,
        };
        let ready = double.answer();
        assert_eq!(ready["ready"], true, "the scale said {ready}");
        double
    }

    /// Returns the path that programs open.
    #[must_use]
    pub fn link(&self) -> &Path {
        &self.link
    }

    /// Gives any command, as the head of `scale.py` lists them, and returns the answer.
    ///
    /// # Panics
    /// When the double refuses it, with its words.
    #[track_caller]
    pub fn tell(&mut self, command: &Value) -> Value {
        let commands = self.commands.as_mut().expect("it is not told to end yet");
        writeln!(commands, "{command}").unwrap();
        let answer = self.answer();
        assert_eq!(answer["ok"], true, "{command} was answered {answer}");
        answer
    }

    #[track_caller]
    fn answer(&self) -> Value {
        let line = self.answers.recv_timeout(LIMIT);
        serde_json::from_str(&line.expect("the scale answers every command")).unwrap()
    }

    /// Puts another jar on the pan, with something in it already.
    #[track_caller]
    pub fn load(&mut self, jar_ug: i64, contents_ug: i64) {
        self.tell(&json!({"do": "load", "jar_ug": jar_ug, "contents_ug": contents_ug}));
    }

    /// Lays something on the pan beside the jar, or takes it off again with nothing.
    #[track_caller]
    pub fn lay_beside(&mut self, load_ug: i64) {
        self.tell(&json!({"do": "beside", "load_ug": load_ug}));
    }

    /// Begins a pour: so much, arriving at that flow.
    #[track_caller]
    pub fn pour(&mut self, amount_ug: i64, flow_ug_per_s: i64) {
        self.tell(&json!({"do": "pour", "amount_ug": amount_ug, "flow_ug_per_s": flow_ug_per_s}));
    }

    /// Pours so much at once.
    #[track_caller]
    pub fn pour_at_once(&mut self, amount_ug: i64) {
        self.tell(&json!({"do": "pour", "amount_ug": amount_ug}));
    }

    /// Cuts the stream off.
    #[track_caller]
    pub fn stop_pouring(&mut self) {
        self.tell(&json!({"do": "stop"}));
    }

    /// Takes something out of the jar, as a stick does.
    #[track_caller]
    pub fn take(&mut self, amount_ug: i64) {
        self.tell(&json!({"do": "take", "amount_ug": amount_ug}));
    }

    /// Lifts the jar off the pan.
    #[track_caller]
    pub fn lift(&mut self) {
        self.tell(&json!({"do": "lift"}));
    }

    /// Puts the jar back.
    #[track_caller]
    pub fn put_back(&mut self) {
        self.tell(&json!({"do": "back"}));
    }

    /// Taps the pan with a finger.
    #[track_caller]
    pub fn tap(&mut self, push_ug: i64, for_s: f64) {
        self.tell(&json!({"do": "tap", "push_ug": push_ug, "for_s": for_s}));
    }

    /// Taps the pan with a finger twice, with so long between the two.
    #[track_caller]
    pub fn tap_twice(&mut self, push_ug: i64, for_s: f64, pause_s: f64) {
        self.tap(push_ug, for_s);
        let after_s = for_s + pause_s;
        self.tell(&json!({"do": "tap", "push_ug": push_ug, "for_s": for_s, "after_s": after_s}));
    }

    /// Presses the scale's own tare key.
    #[track_caller]
    pub fn press_tare(&mut self) {
        self.tell(&json!({"do": "tare"}));
    }

    /// Switches the scale off and on again.
    #[track_caller]
    pub fn power_cycle(&mut self, off_s: f64) {
        self.tell(&json!({"do": "power_cycle", "off_s": off_s}));
    }

    /// Lets it say nothing.
    #[track_caller]
    pub fn silence(&mut self) {
        self.tell(&json!({"do": "silence"}));
    }

    /// Lets it speak again.
    #[track_caller]
    pub fn resume(&mut self) {
        self.tell(&json!({"do": "resume"}));
    }

    /// Pulls the plug.
    #[track_caller]
    pub fn unplug(&mut self) {
        self.tell(&json!({"do": "unplug"}));
    }

    /// Plugs it in again: another terminal, the same link.
    #[track_caller]
    pub fn replug(&mut self) {
        self.tell(&json!({"do": "replug"}));
    }

    /// Takes up another shape.
    #[track_caller]
    pub fn speak(&mut self, shape: &str, unit: &str, division: &str) {
        self.tell(&json!({"do": "shape", "name": shape, "unit": unit, "division": division}));
    }

    /// Returns what was poured and what lies where, as `scale.py` tells it.
    #[must_use]
    #[track_caller]
    pub fn truth(&mut self) -> Value {
        self.tell(&json!({"do": "truth"}))
    }

    /// Returns what is in the jar in truth, in micrograms.
    #[must_use]
    #[track_caller]
    pub fn contents_ug(&mut self) -> i64 {
        self.truth()["contents_ug"].as_i64().unwrap()
    }

    /// Waits until every pour has arrived.
    ///
    /// # Panics
    /// When one still runs at the limit.
    #[track_caller]
    pub fn wait_until_poured(&mut self) {
        wait_for("the last pour to arrive", LIMIT, || {
            let truth = self.truth();
            let mut pours = truth["pours"].as_array().unwrap().iter();
            pours
                .all(|pour| pour["arrived_ug"] == pour["amount_ug"])
                .then_some(())
        });
    }
}

impl Drop for ScaleDouble {
    fn drop(&mut self) {
        // The end of its input lets it take its link away; one that hangs is killed.
        drop(self.commands.take());
        let ended = wait_until(LIMIT, || self.child.try_wait().ok().flatten());
        if ended.is_none() {
            let _killed = self.child.kill();
            let _status = self.child.wait();
        }
    }
}
