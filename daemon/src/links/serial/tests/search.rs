//! Finding the settings of a line.

use std::io;
use std::sync::Arc;
use std::time::Duration;

use super::doubles::StoppedClock;
use crate::links::outlet::Outlet;
use crate::links::serial::error::Closed;
use crate::links::serial::port::Port;
use crate::links::serial::settings_search::SearchError;
use crate::links::serial::{Guess, Judge, Settings, SettingsSearch};

/// A scale that can be read at one setting only, after so many quiet listenings.
struct Tuned {
    clock: StoppedClock,
    real: Settings,
    now: Settings,
    applied: Vec<String>,
    silent: usize,
}

impl Port for Tuned {
    fn read(&mut self, buffer: &mut [u8], wait: Duration) -> io::Result<usize> {
        self.clock.pass(wait);
        if self.applied.len() <= self.silent {
            return Err(io::ErrorKind::TimedOut.into());
        }
        let bytes: &[u8] = if self.now == self.real {
            b"  12.30 g\r\n"
        } else {
            b"\xf8\x00\xe6\x9e"
        };
        buffer[..bytes.len()].copy_from_slice(bytes);
        Ok(bytes.len())
    }

    fn write(&mut self, _: &[u8]) -> io::Result<()> {
        Ok(())
    }

    fn clear_input(&mut self) -> io::Result<()> {
        Ok(())
    }

    fn apply(&mut self, settings: Settings) -> io::Result<()> {
        self.now = settings;
        self.applied.push(settings.to_string());
        Ok(())
    }
}

/// Is as sure as the share of bytes that are printable or line ends.
fn by_print() -> Judge {
    Arc::new(|settings, bytes| {
        let good = bytes
            .iter()
            .filter(|byte| byte.is_ascii_graphic() || byte.is_ascii_whitespace())
            .count();
        let sure = u8::try_from((good * 100).checked_div(bytes.len())?).ok()?;
        (50 <= sure).then_some(Guess { settings, sure })
    })
}

fn usual(judge: Judge) -> SettingsSearch {
    SettingsSearch::among([9600, 2400, 115_200].map(Settings::plain).to_vec(), judge)
}

fn run(
    search: &SettingsSearch,
    real: &str,
    silent: usize,
) -> (Result<Settings, SearchError>, Vec<String>) {
    let clock = StoppedClock::new();
    let mut port = Tuned {
        clock: clock.clone(),
        real: real.parse().unwrap(),
        now: Settings::default(),
        applied: Vec::new(),
        silent,
    };
    let (events, _listener) = tokio::sync::mpsc::channel(1);
    let outlet = Outlet::new(events, tokio_util::sync::CancellationToken::new());
    let found = search.run(&mut port, None, &clock, &outlet);
    (found, port.applied)
}

#[track_caller]
fn check(search: &SettingsSearch, real: &str, silent: usize, expected: &str, tried: &[&str]) {
    let (found, applied) = run(search, real, silent);
    let found = found.unwrap_or_else(|error| panic!("nothing found: {error:?}"));
    assert_eq!(found.to_string(), expected);
    assert_eq!(applied, tried);
}

#[test]
fn the_speed_at_which_text_comes_is_found_and_kept() {
    check(
        &usual(by_print()),
        "115200 8N1",
        0,
        "115200 8N1",
        &["9600 8N1", "2400 8N1", "115200 8N1", "115200 8N1"],
    );
}

#[test]
fn a_board_that_starts_up_during_the_first_round_is_found_in_the_second() {
    let candidates = vec![Settings::plain(9600), Settings::plain(2400)];
    check(
        &SettingsSearch::among(candidates, by_print()),
        "9600 8N1",
        2,
        "9600 8N1",
        &["9600 8N1", "2400 8N1", "9600 8N1", "9600 8N1"],
    );
}

#[test]
fn a_judge_that_sees_a_parity_is_followed() {
    let seven_odd: Settings = "9600 7O1".parse().unwrap();
    let judge: Judge = Arc::new(move |_, _| {
        Some(Guess {
            settings: seven_odd,
            sure: 95,
        })
    });
    check(
        &usual(judge),
        "9600 7O1",
        0,
        "9600 7O1",
        &["9600 8N1", "9600 7O1"],
    );
}

#[test]
fn of_unsure_guesses_the_best_wins() {
    let judge: Judge = Arc::new(|settings, _| {
        let sure = match settings.speed {
            2400 => 60,
            4800 => 70,
            _ => 10,
        };
        Some(Guess { settings, sure })
    });
    let candidates = [9600, 2400, 4800, 1200].map(Settings::plain).to_vec();
    let (found, _) = run(&SettingsSearch::among(candidates, judge), "4800 8N1", 0);
    assert_eq!(found.ok(), Some(Settings::plain(4800)));
}

#[test]
fn finding_nothing_names_what_was_tried() {
    let search = SettingsSearch::among(
        vec![Settings::plain(9600), Settings::plain(2400)],
        by_print(),
    );
    let (found, _) = run(&search, "1200 8N1", 0);
    match found.map_err(|error| error.at("/dev/ttyUSB0", &search)) {
        Err(Closed::Error(error)) => assert_eq!(
            error.to_string(),
            "`/dev/ttyUSB0` is open, but nothing readable comes at any of the speeds tried: 9600 8N1, 2400 8N1"
        ),
        Err(Closed::Stopped) => panic!("stopped"),
        Ok(settings) => panic!("found {settings}"),
    }
}
