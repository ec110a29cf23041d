//! What the person takes in of what the service shows.

use serde_json::Value;

use super::{Person, Trouble};
use crate::killed::announced::{check_asked, check_kept};
use crate::killed::record::{DIVISION_G, grams};

impl Person {
    /// Hears one event and does what is to be done.
    #[track_caller]
    pub(super) fn hear(&mut self) {
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
    pub(super) fn look(&mut self, view: Value) {
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

    /// Hears the view that a stream begins with; `None` when the service was killed before it showed one.
    #[track_caller]
    pub(super) fn first_view(&mut self) -> Option<Value> {
        loop {
            let event = self.station.hear()?;
            if event.name == "view" {
                return Some(event.json());
            }
        }
    }

    /// Compares the first view of a new service with the last one of the old, and goes on with it.
    #[track_caller]
    pub(super) fn take_up(&mut self, view: Value) {
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
}
