//! A scale that a real Bluetooth service plays on the scale's controller: it is registered there, calls out, and tells
//! the weight to whoever subscribes and says the word.

use std::collections::HashMap;
use std::sync::atomic::{AtomicBool, AtomicI64, Ordering};
use std::sync::{Arc, Mutex};

use tarehand_tests::window_pan::{self, COMMAND, NAME, SERVICE, START, WEIGHT};
use tarehand_tests::{LIMIT, wait_for};
use tokio::runtime::Runtime;
use tokio::task::JoinHandle;
use zbus::{Connection, OwnedObjectPath, OwnedVariant, Variant, connection, fdo, interface};

use crate::pan::PERIOD;
use crate::radio::THEIRS;

const SCALE: &str = "/scale";
const SERVICE_PATH: &str = "/scale/service0";
const WEIGHT_PATH: &str = "/scale/service0/char0";
const COMMAND_PATH: &str = "/scale/service0/char1";
const ADVERTISEMENT: &str = "/advertisement";

/// What the scale is doing.
#[derive(Debug, Default)]
struct State {
    gross_ug: AtomicI64,
    subscribed: AtomicBool,
    started: AtomicBool,
}

impl State {
    fn speaks(&self) -> bool {
        self.subscribed.load(Ordering::SeqCst) && self.started.load(Ordering::SeqCst)
    }

    fn value(&self) -> Vec<u8> {
        window_pan::encode(self.gross_ug.load(Ordering::SeqCst))
    }

    fn rest(&self) {
        self.subscribed.store(false, Ordering::SeqCst);
        self.started.store(false, Ordering::SeqCst);
    }
}

/// Tells the scale what is on its pan.
#[derive(Clone, Debug)]
pub(crate) struct Sensor(Arc<State>);

impl Sensor {
    pub(crate) fn feel(&self, gross_ug: i64) {
        self.0.gross_ug.store(gross_ug, Ordering::SeqCst);
    }
}

/// The scale; switched off when dropped.
#[derive(Debug)]
pub(crate) struct Peripheral {
    runtime: Runtime,
    state: Arc<State>,
    work: Mutex<Option<(Connection, JoinHandle<()>)>>,
}

impl Peripheral {
    /// A scale that is switched off.
    pub(crate) fn new() -> Self {
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(1)
            .enable_all()
            .build()
            .unwrap();
        Self {
            runtime,
            state: Arc::new(State::default()),
            work: Mutex::new(None),
        }
    }

    pub(crate) fn sensor(&self) -> Sensor {
        Sensor(self.state.clone())
    }

    /// Switches it on: it calls out, and can be connected to.
    pub(crate) fn wake(&self) {
        let registered = wait_for("the service to take the scale", LIMIT, || {
            self.runtime.block_on(register(&self.state)).ok()
        });
        let (state, said) = (self.state.clone(), registered.clone());
        let telling = self.runtime.spawn(async move {
            let mut periods = tokio::time::interval(PERIOD);
            loop {
                periods.tick().await;
                if state.speaks() {
                    // The service may be gone; whoever wakes the scale again tells anew.
                    let _told = tell(&said).await;
                }
            }
        });
        *self.work.lock().unwrap() = Some((registered, telling));
    }

    /// Switches it off: the connection is closed, and with it all that was registered.
    pub(crate) fn sleep(&self) {
        let work = self.work.lock().unwrap().take();
        if let Some((connection, telling)) = work {
            telling.abort();
            let _closed = self.runtime.block_on(connection.close());
        }
        self.state.rest();
    }
}

async fn tell(connection: &Connection) -> zbus::Result<()> {
    let server = connection.object_server();
    let weight = server.interface::<_, Weight>(WEIGHT_PATH).await?;
    let told = weight.get().await;
    told.value_changed(weight.signal_emitter()).await
}

async fn register(state: &Arc<State>) -> zbus::Result<Connection> {
    let connection = connection::Builder::system()
        .serve_at(SCALE, fdo::ObjectManager)
        .serve_at(SERVICE_PATH, Service)
        .serve_at(WEIGHT_PATH, Weight(state.clone()))
        .serve_at(COMMAND_PATH, Command(state.clone()))
        .serve_at(ADVERTISEMENT, Advertisement)
        .build()
        .await?;
    let radio = format!("/org/bluez/{THEIRS}");
    let none: HashMap<&str, Variant<'_>> = HashMap::new();
    for (manager, call, object) in [
        ("org.bluez.GattManager1", "RegisterApplication", SCALE),
        (
            "org.bluez.LEAdvertisingManager1",
            "RegisterAdvertisement",
            ADVERTISEMENT,
        ),
    ] {
        let of = Some("org.bluez");
        let body = (path(object), &none);
        let _done = connection
            .call_method(of, radio.as_str(), Some(manager), call, &body)
            .await?;
    }
    Ok(connection)
}

fn path(of: &str) -> OwnedObjectPath {
    OwnedObjectPath::try_from(of).unwrap()
}

struct Advertisement;

#[interface(name = "org.bluez.LEAdvertisement1")]
impl Advertisement {
    fn release(&self) {}

    #[zbus(property, name = "Type")]
    fn kind(&self) -> &'static str {
        "peripheral"
    }

    #[zbus(property, name = "ServiceUUIDs")]
    fn services(&self) -> Vec<&'static str> {
        vec![SERVICE]
    }

    #[zbus(property)]
    fn local_name(&self) -> &'static str {
        NAME
    }
}

struct Service;

#[interface(name = "org.bluez.GattService1")]
impl Service {
    #[zbus(property, name = "UUID")]
    fn uuid(&self) -> &'static str {
        SERVICE
    }

    #[zbus(property)]
    fn primary(&self) -> bool {
        true
    }
}

struct Weight(Arc<State>);

#[interface(name = "org.bluez.GattCharacteristic1")]
impl Weight {
    fn start_notify(&self) {
        self.0.subscribed.store(true, Ordering::SeqCst);
    }

    // The scale wants to be told to start each time.
    fn stop_notify(&self) {
        self.0.rest();
    }

    #[zbus(property, name = "UUID")]
    fn uuid(&self) -> &'static str {
        WEIGHT
    }

    #[zbus(property)]
    fn service(&self) -> OwnedObjectPath {
        path(SERVICE_PATH)
    }

    #[zbus(property)]
    fn flags(&self) -> Vec<&'static str> {
        vec!["notify"]
    }

    #[zbus(property)]
    fn value(&self) -> Vec<u8> {
        self.0.value()
    }
}

struct Command(Arc<State>);

#[interface(name = "org.bluez.GattCharacteristic1")]
impl Command {
    #[expect(
        clippy::needless_pass_by_value,
        reason = "what comes over the bus comes by value"
    )]
    fn write_value(&self, value: Vec<u8>, _options: HashMap<String, OwnedVariant>) {
        if value == START.as_bytes() {
            self.0.started.store(true, Ordering::SeqCst);
        }
    }

    #[zbus(property, name = "UUID")]
    fn uuid(&self) -> &'static str {
        COMMAND
    }

    #[zbus(property)]
    fn service(&self) -> OwnedObjectPath {
        path(SERVICE_PATH)
    }

    #[zbus(property)]
    fn flags(&self) -> Vec<&'static str> {
        vec!["write"]
    }
}
