//! A bench whose scale is heard by radio.

use std::fs;
use std::ops::Deref;

use serde_json::json;
pub(crate) use tarehand_tests::window_pan::{NAME, own, profile};
use tarehand_tests::{Answer, Home, LIMIT, Onlooker, Service};

use super::bluez::{Bluez, Offers, Scale};
use crate::bench::{JAR_UG, SPEED, fixture};
use crate::bus::Bus;

/// A service with scales in reach of its radio. What is dropped first ends first.
pub(crate) struct Station {
    pub(crate) service: Service,
    onlooker: Onlooker,
    pub(crate) bluez: Bluez,
    pub(crate) bus: Bus,
    pub(crate) home: Home,
}

impl Station {
    /// One scale that streams.
    pub(crate) fn new() -> Self {
        Self::with(vec![Scale::new(NAME, Offers::Own)])
    }

    pub(crate) fn with(scales: Vec<Scale>) -> Self {
        let home = Home::new();
        let bus = Bus::start(home.path());
        let bluez = Bluez::start(&bus.address(), scales);
        let service = service(&home, &bus);
        Self {
            onlooker: Onlooker::new(service.client().clone()),
            service,
            bluez,
            bus,
            home,
        }
    }

    /// Kills the service, as a power cut does, and starts it again.
    #[track_caller]
    pub(crate) fn restart(&mut self) {
        self.service.cut_off();
        self.service = service(&self.home, &self.bus);
    }

    /// Attaches a scale through the API, as `mix --radio` does.
    #[track_caller]
    pub(crate) fn attach(&self, radio: &str, profile: Option<&str>) {
        self.onlooker
            .attach(&json!({"radio": radio, "profile": profile}));
    }

    /// Attaches the scale that streams, and waits until it is heard.
    #[track_caller]
    pub(crate) fn hear(&self) {
        self.attach(NAME, Some(&profile(&own())));
        self.wait_open();
    }

    /// Waits until the scale is heard after the service was killed: the scale may still be bound to the dead one, is then
    /// found silent, let go of and taken anew.
    #[track_caller]
    pub(crate) fn wait_open_after_kill(&self) {
        let _scale = self.onlooker.clone().patient(3 * LIMIT).wait_open();
    }

    /// Opens a batch of a recipe of `fixtures/whole`.
    #[track_caller]
    pub(crate) fn open(&self, stem: &str) -> Answer {
        let text = fs::read_to_string(fixture(&format!("{stem}.toml"))).unwrap();
        self.open_batch(stem, &text)
    }

    /// Puts the empty jar on the pan when it is wanted, and waits for the first addition.
    #[track_caller]
    pub(crate) fn put_jar(&self) {
        self.wait_doing("put-jar");
        self.bluez.load(JAR_UG);
        self.wait_doing("pour");
    }

    /// Pours every addition to its target; returns what went in.
    #[track_caller]
    pub(crate) fn pour_rest(&self) -> i64 {
        let mut all = 0;
        while let Some(wanted) = self.wait_wanted() {
            self.bluez.pour(wanted.ug, 20);
            all += wanted.ug;
            self.wait_done(&wanted.step);
        }
        all
    }
}

impl Deref for Station {
    type Target = Onlooker;

    fn deref(&self) -> &Onlooker {
        &self.onlooker
    }
}

/// Starts a service that knows this bus as the system's.
fn service(home: &Home, bus: &Bus) -> Service {
    let mut command = Service::command(home);
    command
        .args(["--clock-rate", &SPEED.to_string()])
        .env("DBUS_SYSTEM_BUS_ADDRESS", bus.address());
    Service::start_command(home, &mut command)
}
