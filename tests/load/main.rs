//! Measures how quick and how modest the service is. Run by hand, on a quiet machine:
//!
//! ```text
//! cargo build --release -p tarehandd
//! TAREHANDD_BIN=target/release/tarehandd cargo run --release -p tarehand-tests --example load
//! ```
//!
//! Prints one line a figure. Goals: a weight is on the API's socket less than 5 ms after its bytes (99 of 100), the socket
//! is bound 50 ms after the start, the first weight comes one period of the scale and 5 ms after the port was opened,
//! and at 10 Hz the service takes less than 1 % of a core and 15 MB.
#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    clippy::cast_precision_loss,
    reason = "a program for the person at the machine, which measures wall time and prints it"
)]

mod line;
mod process;

use std::process::Stdio;
use std::thread;
use std::time::{Duration, Instant};

use line::Line;
use rustix::process::Signal;
use serde_json::json;
use tarehand_tests::{Client, Home, LIMIT, Running, binaries, wait_for};

const BENCH: &str = "/v1/benches/main";
/// How many readings the latency is taken from.
const READINGS: usize = 1_500;
/// How many starts are measured.
const STARTS: usize = 10;
/// How long the load is watched.
const WATCHED: Duration = Duration::from_secs(20);

fn main() {
    let load = std::fs::read_to_string("/proc/loadavg").unwrap();
    println!("load of the machine before: {}", load.trim());
    let home = Home::new();
    let client = Client::unix(home.runtime().join("tarehand/service.socket"));
    let mut line = Line::open();
    let service = start(&home);
    wait_for("the service", LIMIT, || {
        client.request("GET", "/v1/status", None).ok()
    });
    let port = json!({"port": line.path()}).to_string();
    let scale = format!("{BENCH}/scale");
    let answer = client
        .request("PUT", &scale, Some(port.as_bytes()))
        .unwrap();
    assert_eq!(answer.status, 200, "{}", answer.text());
    latency(&client, &mut line);
    modesty(&service, &client, &mut line);
    end(service);
    for rate_hz in [80, 10] {
        starts(&home, &client, &mut line, rate_hz);
    }
}

fn start(home: &Home) -> Running {
    Running::start(&mut home.command(binaries::tarehandd()), Stdio::null())
}

fn end(service: Running) {
    service.signal(Signal::TERM);
    let _finished = service.finish(LIMIT);
}

/// Bytes on the line to `weight` on the socket, at 80 Hz.
fn latency(client: &Client, line: &mut Line) {
    let mut events = client.events(&format!("{BENCH}/events"));
    let mut taken: Vec<Duration> = Vec::with_capacity(READINGS);
    let period = Duration::from_micros(12_500);
    // What comes right after the opening may be the end of a frame, and is left out.
    for _ in 0..5 {
        line.send(999);
        thread::sleep(Duration::from_millis(50));
    }
    let mut due = Instant::now();
    for number in 0..READINGS + 100 {
        due += period;
        thread::sleep(due.saturating_duration_since(Instant::now()));
        // Each weight is another one, so that its event cannot be taken for the one before.
        let decigrams = 1_000 + number % 500;
        let sent = Instant::now();
        line.send(decigrams);
        let wanted = decigrams as f64 / 10.0;
        events.wait_for("the weight", "weight", LIMIT, |weight| {
            let gross = weight["gross_g"].as_f64()?;
            ((gross - wanted).abs() < 0.01).then_some(())
        });
        taken.push(sent.elapsed());
    }
    // The first hundred warm up.
    let mut taken = taken.split_off(100);
    taken.sort_unstable();
    let at = |percent: usize| millis(taken[taken.len() * percent / 100]);
    println!(
        "bytes to `weight`, {} readings at 80 Hz: p50 {:.2} ms, p99 {:.2} ms, most {:.2} ms",
        taken.len(),
        at(50),
        at(99),
        millis(taken[taken.len() - 1]),
    );
}

/// Processor and memory with a scale of 10 Hz, alone and with somebody who watches.
fn modesty(service: &Running, client: &Client, line: &mut Line) {
    let pid = service.pid();
    for watched in [false, true] {
        let listener = watched.then(|| {
            let mut events = client.events(&format!("{BENCH}/events"));
            thread::spawn(move || while events.read(LIMIT).is_ok_and(|event| event.is_some()) {})
        });
        let (before, since) = (process::processor(pid), Instant::now());
        while since.elapsed() < WATCHED {
            line.send(1_000 + usize::from(since.elapsed().as_secs() % 2 == 0));
            thread::sleep(Duration::from_millis(100));
        }
        let share =
            (process::processor(pid) - before).as_secs_f64() / since.elapsed().as_secs_f64();
        println!(
            "a 10 Hz scale for {} s{}: {:.2} % of a core, {:.1} MB resident ({:.1} MB of its own), {} threads",
            WATCHED.as_secs(),
            if watched { ", watched" } else { "" },
            share * 100.0,
            process::kilobytes(pid, "VmRSS:") / 1e3,
            process::kilobytes(pid, "RssAnon:") / 1e3,
            process::kilobytes(pid, "Threads:"),
        );
        // It ends with the service.
        drop(listener);
    }
}

/// From the start of the process to its socket, and from the opened port to the first weight.
fn starts(home: &Home, client: &Client, line: &mut Line, rate_hz: u32) {
    let (mut bound, mut first) = (Vec::new(), Vec::new());
    let period = Duration::from_secs(1) / rate_hz;
    for number in 0..STARTS {
        line.shut();
        let sender = line.stream(period);
        // So that the scale is not always met at the same point of its period.
        thread::sleep(period * u32::try_from(number).unwrap() / u32::try_from(STARTS).unwrap());
        let started = Instant::now();
        let service = start(home);
        let opened = line.opened_by_somebody();
        while client.request("GET", "/v1/status", None).is_err() {
            assert!(started.elapsed() < LIMIT, "the service does not answer");
            thread::sleep(Duration::from_micros(200));
        }
        bound.push(started.elapsed());
        let mut events = client.events(&format!("{BENCH}/events"));
        events.wait_for("the first weight", "weight", LIMIT, |weight| {
            weight["gross_g"].as_f64()
        });
        let opened = opened.join().unwrap();
        first.push(opened.elapsed());
        drop(sender);
        end(service);
    }
    bound.sort_unstable();
    first.sort_unstable();
    println!(
        "start to answered socket, {STARTS} starts: median {:.1} ms, most {:.1} ms",
        millis(bound[STARTS / 2]),
        millis(bound[STARTS - 1]),
    );
    println!(
        "port opened to the first weight at {rate_hz} Hz (period {:.1} ms): median {:.1} ms, most {:.1} ms",
        millis(period),
        millis(first[STARTS / 2]),
        millis(first[STARTS - 1]),
    );
}

fn millis(duration: Duration) -> f64 {
    duration.as_secs_f64() * 1e3
}
