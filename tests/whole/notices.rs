//! Notices of the desktop, at a double of its notification server on a bus of its own.
//!
//! The interface: the Desktop Notifications Specification 1.2 (freedesktop.org).

use std::collections::HashMap;
use std::sync::{Arc, Mutex};

use serde_json::json;
use tarehand_tests::{Home, LIMIT, ScaleDouble, ScaleSetting, Service, wait_for};
use tokio::runtime::Runtime;
use zbus::{Connection, OwnedVariant, connection, interface};

use crate::bench::{Bench, SPEED};
use crate::bus::Bus;

/// What the server was asked to show.
#[derive(Clone, Debug)]
struct Shown {
    replaces: u32,
    summary: String,
    body: String,
    hints: Vec<String>,
}

/// How the server answers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Manner {
    AtOnce,
    Never,
}

struct Notifications {
    manner: Manner,
    shown: Arc<Mutex<Vec<Shown>>>,
}

/// The number the server gives to the first notice.
const FIRST: u32 = 17;

#[interface(name = "org.freedesktop.Notifications")]
impl Notifications {
    #[expect(clippy::too_many_arguments, reason = "the specification has as many")]
    async fn notify(
        &self,
        _application: String,
        replaces: u32,
        _icon: String,
        summary: String,
        body: String,
        _actions: Vec<String>,
        hints: HashMap<String, OwnedVariant>,
        _expires_ms: i32,
    ) -> u32 {
        let count = {
            let mut shown = self.shown.lock().unwrap();
            shown.push(Shown {
                replaces,
                summary,
                body,
                hints: hints.into_keys().collect(),
            });
            u32::try_from(shown.len()).unwrap()
        };
        match (self.manner, replaces) {
            (Manner::Never, _) => std::future::pending().await,
            (Manner::AtOnce, 0) => FIRST + count - 1,
            (Manner::AtOnce, replaced) => replaced,
        }
    }

    fn close_notification(&self, _id: u32) {}

    fn get_capabilities(&self) -> Vec<String> {
        vec!["body".to_owned()]
    }

    fn get_server_information(&self) -> (String, String, String, String) {
        let words = ["double", "tests", "1", "1.2"];
        words.map(str::to_owned).into()
    }
}

/// The server at work. What is dropped first ends first.
struct Server {
    shown: Arc<Mutex<Vec<Shown>>>,
    _connection: Connection,
    _runtime: Runtime,
}

impl Server {
    fn start(bus: &Bus, manner: Manner) -> Self {
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(1)
            .enable_all()
            .build()
            .unwrap();
        let shown = Arc::new(Mutex::new(Vec::new()));
        let server = Notifications {
            manner,
            shown: Arc::clone(&shown),
        };
        let connection = runtime.block_on(async {
            connection::Builder::address(bus.address().as_str())
                .serve_at("/org/freedesktop/Notifications", server)
                .name("org.freedesktop.Notifications")
                .build()
                .await
                .unwrap()
        });
        Self {
            shown,
            _connection: connection,
            _runtime: runtime,
        }
    }

    /// Waits until so many were asked for, and returns the newest.
    #[track_caller]
    fn wait(&self, count: usize) -> Shown {
        wait_for("a notice", LIMIT, || {
            let shown = self.shown.lock().unwrap();
            shown.get(count - 1).cloned()
        })
    }
}

/// A bench whose service knows this bus.
fn bench(bus: &Bus, home: Home) -> Bench {
    let setting = ScaleSetting {
        speed: SPEED,
        ..ScaleSetting::default()
    };
    let scale = ScaleDouble::start(&home.path().join("scale"), &setting);
    let mut command = Service::command(&home);
    command
        .args(["--clock-rate", &SPEED.to_string()])
        .env("DBUS_SESSION_BUS_ADDRESS", bus.address());
    let service = Service::start_command(&home, &mut command);
    Bench::of(scale, service, home)
}

/// Begins a batch and pours far too much.
#[track_caller]
fn overshoot(bench: &mut Bench) {
    bench.open("quarry-green.toml");
    bench.put_jar();
    bench.pour_step(40_000_000);
    bench.wait_asked("overshoot");
}

#[test]
fn a_held_batch_and_a_lost_scale_are_notified_one_in_place_of_the_other() {
    let home = Home::new();
    let bus = Bus::start(home.path());
    let server = Server::start(&bus, Manner::AtOnce);
    let mut bench = bench(&bus, home);
    overshoot(&mut bench);
    let asked = server.wait(1);
    assert_eq!((asked.replaces, &*asked.summary), (0, "Quarry green"));
    let question = bench.view()["question"]["text"].clone();
    assert_eq!(question, asked.body);
    assert!(
        asked.hints.iter().any(|hint| hint == "urgency"),
        "{asked:?}"
    );
    bench.scale.silence();
    let lost = server.wait(2);
    assert!(lost.body.contains("no weight"), "{lost:?}");
    assert_eq!(lost.replaces, FIRST, "not piled up");
}

#[test]
fn a_server_that_never_answers_delays_no_reading() {
    let home = Home::new();
    let bus = Bus::start(home.path());
    let server = Server::start(&bus, Manner::Never);
    let mut bench = bench(&bus, home);
    overshoot(&mut bench);
    server.wait(1);
    let sequence = |weight: &serde_json::Value| weight["sequence"].as_u64();
    let first = bench.wait_weight("a weight", sequence);
    bench.wait_weight("a second of weights", |weight| {
        (first + 50 <= sequence(weight)?).then_some(())
    });
    let _taken = bench
        .say(&json!({"command": "answer", "option": 1}))
        .with_status(200);
    bench.wait_doing("pour");
}

#[test]
fn without_a_bus_nothing_is_wrong() {
    let mut bench = Bench::new();
    overshoot(&mut bench);
    let (_, said) = bench.service.process().said();
    assert!(!said.contains("ERROR") && !said.contains("WARN"), "{said}");
    bench.tell(&["answer", "1"]);
    bench.wait_doing("pour");
}
