//! What the log promises.

mod crash;
mod depth;
mod drawn;
mod journal;
mod ledger;
mod moving;
mod refusal;
mod register;
mod restore;
mod schema;
mod trouble;

use std::num::NonZeroU64;
use std::path::PathBuf;

use tempfile::TempDir;

use super::*;

/// A log in a folder of its own.
struct Place {
    folder: TempDir,
}

impl Place {
    fn new() -> Self {
        Self {
            folder: tempfile::tempdir().unwrap(),
        }
    }

    fn path(&self) -> PathBuf {
        self.folder.path().join("data").join("log.db")
    }

    fn open(&self) -> Log {
        Log::open(&self.path()).unwrap()
    }
}

fn harbour_grey() -> NewBatch {
    NewBatch {
        bench: "window".to_owned(),
        recipe: "Harbour grey, satin".to_owned(),
        reality: Reality::Real,
        planned_ug: 180_000_000,
        opened: "2026-03-02T09:00:00Z".to_owned(),
        procedure: r#"{"recipe":"Harbour grey, satin","steps":[]}"#.to_owned(),
        recipe_text: "[recipe]\nname = \"Harbour grey, satin\"\n".to_owned(),
        shelf_text: String::new(),
        profile_text: "unit = \"g\"\n".to_owned(),
        things: "chalk-white\nChalk white, matt\nB7-114".to_owned(),
    }
}

fn entry(number: i64) -> NewEntry {
    NewEntry {
        tick_us: number * 1_000,
        at: format!("2026-03-02T09:{:02}:{:02}.5Z", number / 60, number % 60),
        kind: "settled".to_owned(),
        body: format!(r#"{{"number":{number}}}"#),
        transfers: Vec::new(),
        words: None,
    }
}

/// One gram of chalk white into the jar.
fn pour(number: i64, batch: BatchId) -> NewEntry {
    NewEntry {
        transfers: vec![NewTransfer {
            from: Vessel::Shelf("chalk-white".to_owned()),
            to: Vessel::Jar(batch),
            substance: "chalk-white".to_owned(),
            mass_ug: NonZeroU64::new(1_000_000).unwrap(),
            seen: Seen::Seen,
        }],
        ..entry(number)
    }
}

fn numbers(entries: &[Entry]) -> Vec<i64> {
    let number = |entry: &Entry| {
        let body: serde_json::Value = serde_json::from_str(&entry.body).unwrap();
        body["number"].as_i64().unwrap()
    };
    entries.iter().map(number).collect()
}
