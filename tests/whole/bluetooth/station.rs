//! A bench whose scale is heard by radio.

use std::fs;

use rustix::process::Signal;
use serde_json::{Value, json};
use tarehand_tests::{Answer, Events, Home, LIMIT, Service, wait_for};

use super::bluez::{Bluez, OWN_COMMAND, OWN_SERVICE, OWN_WEIGHT, Offers, Scale};
use super::bus::Bus;
use crate::bench::{JAR_UG, SPEED, fixture, micrograms, step_of};

/// What a scale of the double calls itself.
pub(crate) const NAME: &str = "Window pan";

/// The profile of a scale that streams tenths of a gram.
pub(crate) fn profile(bluetooth: &str) -> String {
    format!(
        "name = \"window pan\"\nunit = \"g\"\ndivision = \"0.1 g\"\n\
         [binary]\nframes = \"packets\"\nlength = 5\nstart = '\\x01'\n\
         [binary.weight]\nat = 1\nlength = 4\norder = \"little\"\nform = \"signed\"\nfactor = \"0.1\"\n\
         [bluetooth]\n{bluetooth}"
    )
}

/// The `[bluetooth]` of such a scale that speaks when it is told to.
pub(crate) fn own() -> String {
    format!(
        "name = \"{NAME}\"\nservice = \"{OWN_SERVICE}\"\ncharacteristic = \"{OWN_WEIGHT}\"\n\
         start = 'GO'\nto = \"{OWN_COMMAND}\"\n"
    )
}

/// A service with scales in reach of its radio. What is dropped first ends first.
pub(crate) struct Station {
    pub(crate) service: Service,
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
            service,
            bluez,
            bus,
            home,
        }
    }

    /// Kills the service, as a power cut does, and starts it again.
    #[track_caller]
    pub(crate) fn restart(&mut self) {
        self.service.process().signal(Signal::KILL);
        wait_for("the end of the service", LIMIT, || {
            self.service
                .client()
                .request("GET", "/v1/status", None)
                .err()
        });
        self.service = service(&self.home, &self.bus);
    }

    /// Attaches a scale through the API, as `mix --radio` does.
    #[track_caller]
    pub(crate) fn attach(&self, radio: &str, profile: Option<&str>) {
        let body = json!({"radio": radio, "profile": profile});
        let path = "/v1/benches/bench/scale";
        let _view = self.service.client().put(path, &body).with_status(200);
    }

    /// Attaches the scale that streams, and waits until it is heard.
    #[track_caller]
    pub(crate) fn hear(&self) {
        self.attach(NAME, Some(&profile(&own())));
        self.wait_open();
    }

    #[track_caller]
    pub(crate) fn wait_open(&self) -> Value {
        self.wait("the scale to be heard", |view| {
            (view["scale"]["open"] == true).then(|| view["scale"].clone())
        })
    }

    /// Waits until the scale is heard after the service was killed: the scale may still be bound to the dead one, is then
    /// found silent, let go of and taken anew.
    #[track_caller]
    pub(crate) fn wait_open_after_kill(&self) {
        let open = |view: &Value| (view["scale"]["open"] == true).then_some(());
        let mut events = self.events();
        events.wait_for("the scale to be heard again", "view", 3 * LIMIT, open);
    }

    /// Waits until this is said to be wrong with the scale, and returns what to do about it.
    #[track_caller]
    pub(crate) fn wait_trouble(&self, said: &str) -> String {
        self.wait(&format!("`{said}` to be said"), |view| {
            let scale = &view["scale"];
            let trouble = scale["trouble"].as_str()?;
            let closed = scale["open"] == false && trouble.contains(said);
            closed.then(|| scale["hint"].as_str().unwrap_or_default().to_owned())
        })
    }

    /// Waits for a view; the newest comes first.
    #[track_caller]
    pub(crate) fn wait<T>(&self, what: &str, look: impl FnMut(&Value) -> Option<T>) -> T {
        let client = self.service.client();
        wait_for("the bench", LIMIT, || {
            (client.get("/v1/benches/bench").status == 200).then_some(())
        });
        self.events().wait_for(what, "view", LIMIT, look)
    }

    pub(crate) fn events(&self) -> Events {
        self.service.client().events("/v1/benches/bench/events")
    }

    #[track_caller]
    pub(crate) fn wait_weight<T>(&self, what: &str, look: impl FnMut(&Value) -> Option<T>) -> T {
        self.events().wait_for(what, "weight", LIMIT, look)
    }

    /// Waits until all on the pan weighs so much.
    #[track_caller]
    pub(crate) fn wait_gross(&self, gross_g: f64) {
        self.wait_weight(&format!("{gross_g} g"), |weight| {
            let near = (weight["gross_g"].as_f64()? - gross_g).abs() < 0.06;
            near.then_some(())
        });
    }

    /// Waits until the running step has received so much, settled.
    #[track_caller]
    pub(crate) fn wait_settled(&self, net_g: f64) {
        self.wait_weight(&format!("{net_g} g settled"), |weight| {
            let near = (weight["net_g"].as_f64()? - net_g).abs() < 0.15;
            (weight["settled"] == true && near).then_some(())
        });
    }

    #[track_caller]
    pub(crate) fn wait_doing(&self, what: &str) -> Value {
        self.wait(&format!("`{what}` to be done"), |view| {
            (view["doing"]["what"] == what).then(|| view.clone())
        })
    }

    /// Opens a batch of a recipe of `fixtures/whole`.
    #[track_caller]
    pub(crate) fn open(&self, stem: &str) -> Answer {
        let text = fs::read_to_string(fixture(&format!("{stem}.toml"))).unwrap();
        let body = json!({"recipe": stem, "recipes": {stem: text}, "size": "as-written"});
        let path = "/v1/benches/bench/batch";
        self.service.client().post(path, &body).with_status(200)
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
        loop {
            let view = self.wait("a pour or the end", |view| {
                let what = view["doing"]["what"].as_str()?;
                matches!(what, "pour" | "complete").then(|| view.clone())
            });
            if view["doing"]["what"] == "complete" {
                return all;
            }
            let number = view["doing"]["step"].clone();
            let has = &step_of(&view, &number)["poured_g"];
            let has = if has.is_null() { 0 } else { micrograms(has) };
            let ug = micrograms(&view["doing"]["target_g"]) - has;
            self.bluez.pour(ug, 20);
            all += ug;
            self.wait("the verdict", |view| {
                (step_of(view, &number)["status"] == "done").then_some(())
            });
        }
    }

    /// Returns the record of the newest batch.
    #[track_caller]
    pub(crate) fn record(&self) -> Value {
        let client = self.service.client();
        let list: Value = client.get("/v1/batches").with_status(200).json();
        let mark = list["batches"][0]["mark"].as_str().unwrap();
        let path = format!("/v1/batches/{mark}");
        client.get(&path).with_status(200).json()
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
