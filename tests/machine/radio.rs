//! The real Bluetooth service, and two controllers that hear each other: the scale's `hci0` and ours, `hci1`.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

use rustix::process::Signal;
use tarehand_tests::{LIMIT, Running, wait_for};
use tokio::runtime::Runtime;
use zbus::{Connection, OwnedVariant, Variant};

/// The controller of the scale.
pub(crate) const THEIRS: &str = "hci0";
/// Ours.
const OURS: &str = "hci1";

const PROPERTIES: Option<&str> = Some("org.freedesktop.DBus.Properties");
const CONTROLLER: &str = "org.bluez.Adapter1";

/// What is dropped first ends first.
#[derive(Debug)]
pub(crate) struct Radio {
    service: Option<Running>,
    controllers: Option<Running>,
    runtime: Runtime,
    _bus: Running,
}

impl Radio {
    /// Starts the system's bus, plugs both controllers in and starts the service.
    pub(crate) fn start() -> Self {
        let bus = start(
            "/usr/bin/dbus-daemon",
            &[
                "--config-file=/etc/bus.conf",
                "--nofork",
                "--nopidfile",
                "--nosyslog",
            ],
        );
        wait_for("the bus", LIMIT, || {
            Path::new("/run/dbus/system_bus_socket")
                .exists()
                .then_some(())
        });
        let mut radio = Self {
            service: None,
            controllers: None,
            runtime: tokio::runtime::Builder::new_current_thread()
                .enable_all()
                .build()
                .unwrap(),
            _bus: bus,
        };
        radio.plug();
        radio.come_back();
        radio
    }

    /// Plugs both controllers in.
    pub(crate) fn plug(&mut self) {
        self.controllers = Some(start("/usr/bin/btvirt", &["-l2"]));
        wait_for("two controllers", LIMIT, || {
            Path::new("/sys/class/bluetooth/hci1")
                .exists()
                .then_some(())
        });
    }

    /// Unplugs both controllers.
    pub(crate) fn unplug(&mut self) {
        self.controllers = None;
        wait_for("the controllers to go", LIMIT, || {
            let left = fs::read_dir("/sys/class/bluetooth").map(Iterator::count);
            matches!(left, Ok(0) | Err(_)).then_some(())
        });
    }

    /// Kills the service.
    pub(crate) fn crash(&mut self) {
        let service = self.service.take().expect("the service runs");
        service.signal(Signal::KILL);
        drop(service);
    }

    /// Starts the service, and waits until it shows both controllers switched on.
    pub(crate) fn come_back(&mut self) {
        self.service = Some(start("/usr/sbin/bluetoothd", &["-n"]));
        self.wait_on();
    }

    /// Waits until the service shows both controllers switched on.
    pub(crate) fn wait_on(&self) {
        for controller in [THEIRS, OURS] {
            wait_for("both controllers to be on", LIMIT, || {
                self.ask(is_on(controller)).ok()?.then_some(())
            });
        }
    }

    /// Switches the scale's own radio off or on.
    pub(crate) fn power_theirs(&self, on: bool) {
        self.ask(power(THEIRS, on)).unwrap();
    }

    fn ask<T>(&self, question: impl Future<Output = zbus::Result<T>>) -> zbus::Result<T> {
        self.runtime.block_on(question)
    }

    /// Returns what the service has said so far.
    pub(crate) fn said(&self) -> String {
        self.service
            .as_ref()
            .map(|service| service.said().1)
            .unwrap_or_default()
    }
}

async fn is_on(controller: &str) -> zbus::Result<bool> {
    let bus = Connection::system().await?;
    let (name, path) = (Some("org.bluez"), path(controller));
    let body = (CONTROLLER, "Powered");
    let answer = bus
        .call_method(name, path.as_str(), PROPERTIES, "Get", &body)
        .await?;
    let value: OwnedVariant = answer.body().deserialize()?;
    bool::try_from(value)
}

async fn power(controller: &str, on: bool) -> zbus::Result<()> {
    let bus = Connection::system().await?;
    let (name, path) = (Some("org.bluez"), path(controller));
    let body = (CONTROLLER, "Powered", Variant::from(on));
    bus.call_method(name, path.as_str(), PROPERTIES, "Set", &body)
        .await
        .map(drop)
}

fn path(controller: &str) -> String {
    format!("/org/bluez/{controller}")
}

fn start(program: &str, arguments: &[&str]) -> Running {
    Running::start(Command::new(program).args(arguments), Stdio::null())
}
