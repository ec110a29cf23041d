//! What a port can do that a pseudo-terminal does not.

use std::io::ErrorKind;
use std::sync::Arc;
use std::time::Duration;

use tarehand_protocol::scale::profile::Poll;

use super::doubles::{Cue, Running, Stage, StoppedClock, link_to};
use crate::links::LinkEvent;
use crate::links::serial::time::Time;
use crate::links::serial::{Guess, Judge, Line, SerialLink, Settings, SettingsSearch, Wanted};

/// Plays a script at a rate and tells in short what the bench hears until the device is gone.
fn hear(rate: f64, script: &[Cue]) -> Vec<String> {
    let clock = StoppedClock::at_rate(rate);
    let mut running = Running::start(
        link_to("/scripted"),
        Stage::new(clock.clone(), script),
        clock,
    );
    running.opened();
    let mut heard = Vec::new();
    loop {
        match running.next() {
            LinkEvent::Bytes { at, bytes } => {
                heard.push(format!(
                    "{} {}",
                    at.micros() / 1000,
                    String::from_utf8_lossy(&bytes)
                ));
            }
            LinkEvent::Skipped { at } => heard.push(format!("{} skipped", at.micros() / 1000)),
            LinkEvent::Gone { why, .. } => {
                heard.push(why);
                break;
            }
            LinkEvent::Opened { .. } => panic!("opened twice"),
            LinkEvent::Tuned { .. } => panic!("its settings are known"),
            LinkEvent::Packet { .. } | LinkEvent::About { .. } | LinkEvent::Described { .. } => {
                panic!("a port sends bytes")
            }
        }
    }
    running.stop();
    heard
}

#[test]
fn settings_that_were_found_by_trying_are_told_beside_the_usual_ones() {
    let judge: Judge = Arc::new(|_, _| {
        Some(Guess {
            settings: Settings::plain(2_400),
            sure: 95,
        })
    });
    let line = Line::Tried(SettingsSearch::among(Vec::new(), judge));
    let link = SerialLink::new(Wanted::Path("/scripted".to_owned()), line);
    let clock = StoppedClock::new();
    let stage = Stage::new(clock.clone(), &[Cue::Bytes(b"a line of a scale as it is")]);
    let mut running = Running::start(link, stage, clock);
    running.opened();
    let tuned = LinkEvent::Tuned {
        usual: "9600 8N1".to_owned(),
        found: "2400 8N1".to_owned(),
    };
    assert_eq!(running.next(), tuned);
    running.stop();
}

const UNPLUGGED: &str = "the scale at /scripted, 9600 8N1 was unplugged or switched off";

#[track_caller]
fn check(script: &[Cue], expected: &[&str]) {
    assert_eq!(hear(1.0, script), expected);
}

fn stall(ms: u64) -> Cue {
    Cue::Stall(Duration::from_millis(ms))
}

#[test]
fn bytes_carry_the_time_they_were_read() {
    check(
        &[
            Cue::Bytes(b"1"),
            stall(40),
            Cue::Bytes(b"2"),
            Cue::Quiet,
            Cue::Bytes(b"3"),
        ],
        &["0 1", "40 2", "140 3", UNPLUGGED],
    );
}

#[test]
fn empty_reads_for_ever_mean_gone() {
    check(
        &[
            Cue::Bytes(b"1"),
            Cue::Empty,
            Cue::Empty,
            Cue::Empty,
            Cue::Bytes(b"never"),
        ],
        &["0 1", UNPLUGGED],
    );
}

#[test]
fn one_empty_read_means_nothing() {
    check(
        &[
            Cue::Empty,
            Cue::Empty,
            Cue::Bytes(b"1"),
            Cue::Empty,
            Cue::Quiet,
            Cue::Empty,
            Cue::Empty,
            Cue::Bytes(b"2"),
        ],
        &["0 1", "100 2", UNPLUGGED],
    );
}

#[test]
fn a_signal_is_no_failure() {
    check(
        &[Cue::Fails(ErrorKind::Interrupted), Cue::Bytes(b"1")],
        &["0 1", UNPLUGGED],
    );
}

#[test]
fn another_failure_is_told_with_the_systems_words() {
    let heard = hear(1.0, &[Cue::Fails(ErrorKind::PermissionDenied)]);
    assert_eq!(
        heard,
        ["the scale at /scripted, 9600 8N1 stopped answering: permission denied"]
    );
}

#[test]
fn bytes_found_after_a_stall_are_not_taken_as_live() {
    check(
        &[
            Cue::Bytes(b"1"),
            stall(24_000),
            Cue::Bytes(b"old"),
            stall(100),
            Cue::Bytes(b"2"),
        ],
        &["0 1", "24000 skipped", "24100 2", UNPLUGGED],
    );
}

#[test]
fn a_signal_at_the_end_of_a_stall_does_not_hide_it() {
    check(
        &[
            Cue::Bytes(b"1"),
            stall(24_000),
            Cue::Fails(ErrorKind::Interrupted),
            Cue::Bytes(b"old"),
            Cue::Bytes(b"2"),
        ],
        &["0 1", "24000 skipped", "24000 2", UNPLUGGED],
    );
}

#[test]
fn a_scale_that_was_quiet_for_long_is_live() {
    let mut script = vec![Cue::Quiet; 20];
    script.push(Cue::Bytes(b"1"));
    check(&script, &["2000 1", UNPLUGGED]);
}

#[test]
fn a_stall_is_judged_by_the_walls_clock() {
    // 2 s of a rehearsal ten times as fast are 0.2 s.
    assert_eq!(
        hear(10.0, &[stall(2_000), Cue::Bytes(b"1")]),
        ["2000 1", UNPLUGGED]
    );
}

/// Plays a script and returns what was done to the machine.
fn deeds(poll: Option<Poll>, rate: f64, script: &[Cue]) -> Vec<String> {
    let clock = StoppedClock::at_rate(rate);
    let stage = Stage::new(clock.clone(), script);
    let deeds = stage.deeds.clone();
    let link = match poll {
        Some(poll) => link_to("/scripted").polling(poll),
        None => link_to("/scripted"),
    };
    let mut running = Running::start(link, stage, clock);
    running.opened();
    while !matches!(running.next(), LinkEvent::Gone { .. }) {}
    running.stop();
    deeds.take()
}

#[test]
fn the_input_is_cleared_at_opening_and_after_a_stall() {
    let deeds = deeds(
        None,
        1.0,
        &[Cue::Bytes(b"1"), stall(24_000), Cue::Bytes(b"old")],
    );
    assert_eq!(deeds[..5], ["look", "open", "clear", "clear", "close"]);
}

#[test]
fn the_port_is_closed_before_it_is_looked_for_again() {
    let clock = StoppedClock::new();
    let stage = Stage::new(clock.clone(), &[]);
    let deeds = stage.deeds.clone();
    let mut running = Running::start(link_to("/scripted"), stage, clock);
    running.opened();
    running.gone();
    running.stop();
    assert_eq!(deeds.take()[..4], ["look", "open", "clear", "close"]);
}

#[track_caller]
fn check_poll(rate: f64, script: &[Cue], expected: &[&str]) {
    let poll = Poll {
        send: b"W".to_vec(),
        every: Duration::from_millis(250),
    };
    let deeds = deeds(Some(poll), rate, script);
    let commands: Vec<&str> = deeds
        .iter()
        .map(String::as_str)
        .filter(|deed| deed.ends_with(": W"))
        .collect();
    assert_eq!(commands, expected);
}

#[test]
fn the_poll_command_is_sent_at_every_period() {
    let script = vec![Cue::Quiet; 8];
    // A read ends when a poll is due: after 100, 100 and 50 ms.
    check_poll(1.0, &script, &["0: W", "250: W", "500: W"]);
}

#[test]
fn a_rehearsal_polls_as_often_in_its_own_time() {
    check_poll(10.0, &vec![Cue::Quiet; 2], &["0: W", "250: W", "500: W"]);
}

#[test]
fn after_a_stall_one_poll_command_is_enough() {
    check_poll(
        1.0,
        &[
            stall(10_000),
            Cue::Bytes(b"old"),
            Cue::Quiet,
            Cue::Quiet,
            Cue::Quiet,
        ],
        &["0: W", "10000: W", "10250: W"],
    );
}

#[test]
fn a_stopped_clock_agrees_with_itself() {
    let clock = StoppedClock::at_rate(2.0);
    let before = clock.now();
    clock.pass(Duration::from_secs(2));
    assert_eq!(
        clock.wall_between(before, clock.now()),
        Duration::from_secs(1)
    );
}
