//! What comes in between: the service is killed, the plug is pulled.

use std::time::Duration;

use super::Person;

/// What happens at random moments.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::killed) enum Trouble {
    /// The service is killed.
    Killed,
    /// The scale's plug is pulled, and put in again.
    Unplugged,
}

impl Trouble {
    /// Returns the phases of the work it must have come in.
    pub(in crate::killed) const fn phases(self) -> &'static [&'static str] {
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

impl Person {
    /// The service is dead: it is started again, and what it announced is looked for.
    #[track_caller]
    pub(super) fn mourn(&mut self) {
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
    pub(super) fn pull_the_plug(&mut self) {
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

    pub(super) fn send_for_the_reaper(&mut self) {
        if self.trouble == Trouble::Killed {
            let doom = self.doom();
            self.station.kill_in(doom);
        }
    }
}
