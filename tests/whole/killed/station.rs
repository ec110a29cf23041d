//! The service at its place, and what ends it.

use std::process::Stdio;
use std::sync::mpsc::{self, RecvTimeoutError, Sender};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use rustix::process::{Pid, Signal, kill_process};
use serde_json::Value;
use tarehand_tests::{Client, Event, Events, Home, LIMIT, Running, binaries, wait_for};

/// How many times as fast as the wall's the clocks of the service and of the scale run.
pub(super) const SPEED: f64 = 10.0;
/// Where the work is done.
const BENCH: &str = "/v1/benches/main";

/// Kills a service after a while drawn by chance; a shorter while may be set in between.
#[derive(Debug)]
struct Reaper {
    sooner: Sender<Duration>,
    /// Answers whether it struck.
    thread: JoinHandle<bool>,
}

impl Reaper {
    fn start(pid: Pid, first: Duration) -> Self {
        let (sooner, orders) = mpsc::channel();
        let thread = thread::spawn(move || {
            let mut wait = first;
            loop {
                match orders.recv_timeout(wait) {
                    Ok(sooner) => wait = sooner,
                    Err(RecvTimeoutError::Timeout) => {
                        // Not waited for by its parent yet, a process keeps its number even when it has ended.
                        kill_process(pid, Signal::KILL).unwrap();
                        return true;
                    }
                    Err(RecvTimeoutError::Disconnected) => return false,
                }
            }
        });
        Self { sooner, thread }
    }

    /// Lets it come in so long, unless it has struck already.
    fn come_in(&self, doom: Duration) {
        let _too_late = self.sooner.send(doom);
    }
}

/// The real service in a home of its own, started again whenever it was killed.
#[derive(Debug)]
pub(super) struct Station {
    home: Home,
    client: Client,
    service: Option<Running>,
    events: Option<Events>,
    reaper: Option<Reaper>,
}

impl Station {
    pub(super) fn new() -> Self {
        let home = Home::new();
        let client = Client::unix(home.runtime().join("tarehand/service.socket"));
        Self {
            home,
            client,
            service: None,
            events: None,
            reaper: None,
        }
    }

    pub(super) const fn home(&self) -> &Home {
        &self.home
    }

    /// Starts the service, to be killed after `doom`; `false` when it was killed before it answered.
    #[track_caller]
    pub(super) fn start(&mut self, doom: Option<Duration>) -> bool {
        let mut command = self.home.command(binaries::tarehandd());
        command.arg(format!("--clock-rate={SPEED}"));
        let mut service = Running::start(&mut command, Stdio::null());
        self.reaper = doom.map(|doom| Reaper::start(service.pid(), doom));
        let answers = wait_for("the service to answer or to end", LIMIT, || {
            match self.client.request("GET", "/v1/status", None) {
                Ok(answer) => Some(answer.status == 200),
                Err(_) => service.ended().map(|_| false),
            }
        });
        self.service = Some(service);
        if !answers {
            self.bury();
        }
        answers
    }

    /// Listens to the bench; `false` when the service is gone.
    pub(super) fn listen(&mut self) -> bool {
        self.events = self.client.open_events(&format!("{BENCH}/events")).ok();
        if self.events.is_none() {
            self.bury();
        }
        self.events.is_some()
    }

    /// Waits for the next event; `None` when the service is gone, and all it had said was heard.
    #[track_caller]
    pub(super) fn hear(&mut self) -> Option<Event> {
        let events = self.events.as_mut().expect("it listens");
        let event = events.read(LIMIT).expect("a bench is never silent so long");
        if event.is_none() {
            self.bury();
        }
        event
    }

    /// Asks something of the bench, or of the whole service when the path begins with a slash.
    ///
    /// `None` when the service is gone; what it had said is still to be heard.
    #[track_caller]
    pub(super) fn ask(&self, method: &str, path: &str, body: &Value) -> Option<(u16, Value)> {
        let path = if path.starts_with('/') {
            path.to_owned()
        } else {
            format!("{BENCH}/{path}")
        };
        let body = body.to_string();
        let body = (method != "GET").then_some(body.as_bytes());
        let answer = self.client.request(method, &path, body).ok()?;
        Some((answer.status, answer.json()))
    }

    /// Lets the service be killed after `doom`, whatever was said before.
    pub(super) fn kill_in(&mut self, doom: Duration) {
        match (&self.reaper, &self.service) {
            (Some(reaper), _) => reaper.come_in(doom),
            (None, Some(service)) => self.reaper = Some(Reaper::start(service.pid(), doom)),
            (None, None) => {}
        }
    }

    /// Lets the service be killed so soon, if it is to be killed at all.
    pub(super) fn kill_sooner(&self, soon: Duration) {
        if let Some(reaper) = &self.reaper {
            reaper.come_in(soon);
        }
    }

    /// Calls the reaper off; `false` when it was too late.
    pub(super) fn spare(&mut self) -> bool {
        let struck = self.reaper.take().is_some_and(|Reaper { sooner, thread }| {
            drop(sooner);
            thread.join().unwrap()
        });
        !struck
    }

    /// Sees to it that the service died of the kill and of nothing else.
    #[track_caller]
    fn bury(&mut self) {
        self.events = None;
        let service = self.service.take().expect("it was started");
        if let Some(reaper) = self.reaper.take() {
            let _struck = reaper.thread.join().unwrap();
        }
        let finished = service.finish(LIMIT);
        assert_eq!(
            finished.code, None,
            "it fell by itself: {}",
            finished.stderr
        );
        for word in ["ERROR", "panicked"] {
            assert!(!finished.stderr.contains(word), "{}", finished.stderr);
        }
    }
}
