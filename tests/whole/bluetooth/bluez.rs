//! A double of the Bluetooth service, `org.bluez`, with a radio and scales in reach.
//!
//! The shape of the objects, the order of the signals and the names of the errors are those of BlueZ 5.66; where
//! it is odd, so is the double: what it knows it keeps, a device that hangs refuses a second try, and after each
//! connection the characteristics are other objects.

use std::collections::HashMap;
use std::sync::{Arc, Mutex};
use std::time::Duration;

use tokio::runtime::Runtime;
use tokio::task::JoinHandle;
use zbus::object_server::SignalEmitter;
use zbus::{Connection, OwnedObjectPath, OwnedVariant, connection, fdo, interface};

const RADIO: &str = "/org/bluez/hci0";

/// What a scale of nobody's in particular offers.
pub(crate) const OWN_SERVICE: &str = "6f1d9a40-52c7-4be3-9a18-c3d07e5b21f4";
pub(crate) const OWN_WEIGHT: &str = "6f1d9a41-52c7-4be3-9a18-c3d07e5b21f4";
pub(crate) const OWN_COMMAND: &str = "6f1d9a42-52c7-4be3-9a18-c3d07e5b21f4";

/// The company under whose number a scale calls out; 0xffff is for tests (Bluetooth Assigned Numbers, 7.1).
pub(crate) const COMPANY: u16 = 0xffff;

/// Between two looks at the pan, on the wall's clock.
const PERIOD: Duration = Duration::from_millis(20);

/// How a scale answers who wants to connect.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Connects {
    Well,
    Refuses,
    Hangs,
}

/// What a scale offers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Offers {
    /// A characteristic of its own that streams the weight once it is told to.
    Own,
    /// The open Weight Scale Service, and how full its battery is.
    WeightScale,
    /// Nothing: the weight is in what it calls out.
    CalledOut,
}

/// One scale.
#[derive(Clone, Debug)]
pub(crate) struct Scale {
    pub(crate) name: String,
    pub(crate) offers: Offers,
    /// Whether it calls out.
    pub(crate) awake: bool,
    pub(crate) connects: Connects,
    /// Whether it says nothing though it is connected.
    pub(crate) mute: bool,
    /// Whether the service repeats the value it has kept when somebody subscribes.
    pub(crate) replays: bool,
    /// Whether every notification is seen twice.
    pub(crate) twice: bool,
    /// What was written to it.
    pub(crate) written: Vec<Vec<u8>>,
    /// How often it was connected to.
    pub(crate) connections: u16,
    connecting: bool,
    connected: bool,
    resolved: bool,
    notifying: bool,
    value: Vec<u8>,
}

impl Scale {
    pub(crate) fn new(name: &str, offers: Offers) -> Self {
        Self {
            name: name.to_owned(),
            offers,
            awake: true,
            connects: Connects::Well,
            mute: false,
            replays: false,
            twice: false,
            written: Vec::new(),
            connections: 0,
            connecting: false,
            connected: false,
            resolved: false,
            notifying: false,
            value: Vec::new(),
        }
    }

    /// Whether it has been told to speak.
    fn is_started(&self) -> bool {
        self.written.iter().any(|written| written == b"GO")
    }
}

/// The radio, what stands on the pan, and the scales, which all weigh the same pan.
#[derive(Clone, Debug)]
pub(crate) struct World {
    powered: bool,
    discovering: bool,
    /// How often somebody switched the radio on that was off.
    pub(crate) switched_on: u32,
    pub(crate) gross_ug: i64,
    /// What is still to be poured, and how much of it in a period.
    pub(crate) to_pour_ug: i64,
    flow_ug: i64,
    pub(crate) scales: Vec<Scale>,
}

type Shared = Arc<Mutex<World>>;

/// The address of a scale by its number.
pub(crate) fn address(scale: usize) -> String {
    format!("AA:BB:CC:00:00:{scale:02X}")
}

fn device_path(scale: usize) -> String {
    format!("{RADIO}/dev_{}", address(scale).replace(':', "_"))
}

#[derive(Debug, zbus::DBusError)]
#[zbus(prefix = "org.bluez.Error")]
enum Refusal {
    #[zbus(error)]
    ZBus(zbus::Error),
    Failed(String),
    NotReady(String),
    InProgress(String),
}

struct Radio(Shared);

#[interface(name = "org.bluez.Adapter1")]
impl Radio {
    async fn start_discovery(
        &self,
        #[zbus(signal_emitter)] emitter: SignalEmitter<'_>,
    ) -> Result<(), Refusal> {
        {
            let mut world = self.0.lock().unwrap();
            if !world.powered {
                return Err(Refusal::NotReady("Resource Not Ready".to_owned()));
            }
            world.discovering = true;
        }
        Ok(self.discovering_changed(&emitter).await?)
    }

    async fn stop_discovery(
        &self,
        #[zbus(signal_emitter)] emitter: SignalEmitter<'_>,
    ) -> Result<(), Refusal> {
        if !std::mem::take(&mut self.0.lock().unwrap().discovering) {
            return Err(Refusal::Failed("No discovery started".to_owned()));
        }
        Ok(self.discovering_changed(&emitter).await?)
    }

    fn set_discovery_filter(&self, _filter: HashMap<String, OwnedVariant>) {}

    #[zbus(property)]
    fn address(&self) -> String {
        "00:AA:01:00:00:00".to_owned()
    }

    #[zbus(property)]
    fn address_type(&self) -> String {
        "public".to_owned()
    }

    #[zbus(property)]
    fn name(&self) -> String {
        "double".to_owned()
    }

    #[zbus(property)]
    fn alias(&self) -> String {
        "double".to_owned()
    }

    #[zbus(property)]
    fn modalias(&self) -> String {
        "usb:v1D6Bp0246d0542".to_owned()
    }

    #[zbus(property)]
    fn powered(&self) -> bool {
        self.0.lock().unwrap().powered
    }

    #[zbus(property)]
    fn set_powered(&mut self, on: bool) {
        let mut world = self.0.lock().unwrap();
        if on && !world.powered {
            world.switched_on += 1;
        }
        world.powered = on;
    }

    #[zbus(property)]
    fn discovering(&self) -> bool {
        self.0.lock().unwrap().discovering
    }

    #[zbus(property, name = "UUIDs")]
    fn uuids(&self) -> Vec<String> {
        Vec::new()
    }
}

struct Device {
    world: Shared,
    scale: usize,
}

impl Device {
    fn with<T>(&self, look: impl FnOnce(&mut Scale) -> T) -> T {
        look(&mut self.world.lock().unwrap().scales[self.scale])
    }
}

#[interface(name = "org.bluez.Device1")]
impl Device {
    async fn connect(
        &self,
        #[zbus(connection)] connection: &Connection,
        #[zbus(signal_emitter)] emitter: SignalEmitter<'_>,
    ) -> Result<(), Refusal> {
        if !self.world.lock().unwrap().powered {
            return Err(Refusal::NotReady("Resource Not Ready".to_owned()));
        }
        let (connects, busy) = self.with(|scale| {
            let busy = std::mem::replace(&mut scale.connecting, true);
            (scale.connects, busy)
        });
        if busy {
            let text = "Operation already in progress".to_owned();
            return Err(Refusal::InProgress(text));
        }
        match connects {
            Connects::Well => {}
            Connects::Refuses => {
                self.with(|scale| scale.connecting = false);
                return Err(Refusal::Failed("le-connection-abort-by-local".to_owned()));
            }
            Connects::Hangs => return std::future::pending().await,
        }
        self.with(|scale| {
            scale.connecting = false;
            scale.connected = true;
            scale.connections += 1;
        });
        self.connected_changed(&emitter).await?;
        let (connection, world, scale) = (connection.clone(), self.world.clone(), self.scale);
        tokio::spawn(async move { resolve(&connection, &world, scale).await });
        Ok(())
    }

    async fn disconnect(&self, #[zbus(connection)] connection: &Connection) {
        self.with(|scale| scale.connecting = false);
        let (connection, world, scale) = (connection.clone(), self.world.clone(), self.scale);
        tokio::spawn(async move { part(&connection, &world, scale).await });
    }

    #[zbus(property)]
    fn address(&self) -> String {
        address(self.scale)
    }

    #[zbus(property)]
    fn address_type(&self) -> String {
        "random".to_owned()
    }

    #[zbus(property)]
    fn name(&self) -> String {
        self.with(|scale| scale.name.clone())
    }

    #[zbus(property)]
    fn alias(&self) -> String {
        self.with(|scale| scale.name.clone())
    }

    #[zbus(property)]
    fn adapter(&self) -> OwnedObjectPath {
        OwnedObjectPath::try_from(RADIO).unwrap()
    }

    #[zbus(property)]
    fn paired(&self) -> bool {
        false
    }

    #[zbus(property)]
    fn trusted(&self) -> bool {
        false
    }

    #[zbus(property)]
    fn blocked(&self) -> bool {
        false
    }

    #[zbus(property)]
    fn legacy_pairing(&self) -> bool {
        false
    }

    /// Left out, as by the service, but while the radio looks around and hears the device.
    #[zbus(property, name = "RSSI")]
    fn rssi(&self) -> fdo::Result<i16> {
        let heard = {
            let world = self.world.lock().unwrap();
            let scale = &world.scales[self.scale];
            world.discovering && scale.awake && !scale.connected
        };
        match heard {
            true => Ok(-52),
            false => Err(fdo::Error::Failed("not heard".to_owned())),
        }
    }

    #[zbus(property)]
    fn manufacturer_data(&self) -> fdo::Result<HashMap<u16, OwnedVariant>> {
        let value = self.with(|scale| {
            (scale.offers == Offers::CalledOut && !scale.value.is_empty())
                .then(|| scale.value.clone())
        });
        let value = value.ok_or_else(|| fdo::Error::Failed("nothing called out".to_owned()))?;
        let value = zbus::Variant::from(value).try_to_owned();
        Ok([(COMPANY, value.unwrap())].into())
    }

    #[zbus(property)]
    fn connected(&self) -> bool {
        self.with(|scale| scale.connected)
    }

    #[zbus(property)]
    fn services_resolved(&self) -> bool {
        self.with(|scale| scale.resolved)
    }

    #[zbus(property, name = "UUIDs")]
    fn uuids(&self) -> Vec<String> {
        let services = self.with(|scale| services(scale.offers));
        services.into_iter().map(|(uuid, _)| uuid).collect()
    }
}

struct Service {
    uuid: String,
    device: String,
}

#[interface(name = "org.bluez.GattService1")]
impl Service {
    #[zbus(property, name = "UUID")]
    fn uuid(&self) -> String {
        self.uuid.clone()
    }

    #[zbus(property)]
    fn primary(&self) -> bool {
        true
    }

    #[zbus(property)]
    fn device(&self) -> OwnedObjectPath {
        OwnedObjectPath::try_from(self.device.clone()).unwrap()
    }

    #[zbus(property)]
    fn includes(&self) -> Vec<OwnedObjectPath> {
        Vec::new()
    }
}

/// A characteristic: its number, what can be done with it, what reading it gives.
#[derive(Clone)]
struct Kind {
    uuid: String,
    flags: &'static [&'static str],
    reads: Vec<u8>,
}

fn assigned(short: u16) -> String {
    format!("0000{short:04x}-0000-1000-8000-00805f9b34fb")
}

/// What a scale offers, service by service; the characteristic that tells the weight comes first.
fn services(offers: Offers) -> Vec<(String, Vec<Kind>)> {
    let kind = |uuid: String, flags, reads: &[u8]| Kind {
        uuid,
        flags,
        reads: reads.to_vec(),
    };
    match offers {
        Offers::Own => vec![(
            OWN_SERVICE.to_owned(),
            vec![
                kind(OWN_WEIGHT.to_owned(), &["notify"], &[]),
                kind(OWN_COMMAND.to_owned(), &["write"], &[]),
            ],
        )],
        Offers::WeightScale => vec![
            (
                assigned(0x181d),
                vec![
                    kind(assigned(0x2a9d), &["indicate"], &[]),
                    // Code 6 in bits 3 to 6: 0.01 kg (GATT Specification Supplement).
                    kind(assigned(0x2a9e), &["read"], &[0b0011_0000, 0, 0, 0]),
                ],
            ),
            (
                assigned(0x180f),
                vec![kind(assigned(0x2a19), &["read"], &[80])],
            ),
        ],
        Offers::CalledOut => Vec::new(),
    }
}

struct Characteristic {
    world: Shared,
    scale: usize,
    service: String,
    kind: Kind,
}

#[interface(name = "org.bluez.GattCharacteristic1")]
impl Characteristic {
    async fn start_notify(
        &self,
        #[zbus(signal_emitter)] emitter: SignalEmitter<'_>,
    ) -> Result<(), Refusal> {
        let replays = {
            let mut world = self.world.lock().unwrap();
            let scale = &mut world.scales[self.scale];
            scale.notifying = true;
            scale.replays && !scale.value.is_empty()
        };
        if replays {
            self.value_changed(&emitter).await?;
        }
        Ok(self.notifying_changed(&emitter).await?)
    }

    fn stop_notify(&self) {
        self.world.lock().unwrap().scales[self.scale].notifying = false;
    }

    fn read_value(&self, _options: HashMap<String, OwnedVariant>) -> Vec<u8> {
        self.kind.reads.clone()
    }

    fn write_value(&self, value: Vec<u8>, _options: HashMap<String, OwnedVariant>) {
        let mut world = self.world.lock().unwrap();
        world.scales[self.scale].written.push(value);
    }

    #[zbus(property, name = "UUID")]
    fn uuid(&self) -> String {
        self.kind.uuid.clone()
    }

    #[zbus(property)]
    fn service(&self) -> OwnedObjectPath {
        OwnedObjectPath::try_from(self.service.clone()).unwrap()
    }

    #[zbus(property)]
    fn flags(&self) -> Vec<String> {
        self.kind
            .flags
            .iter()
            .map(|&flag| flag.to_owned())
            .collect()
    }

    #[zbus(property)]
    fn notifying(&self) -> bool {
        self.world.lock().unwrap().scales[self.scale].notifying
    }

    #[zbus(property)]
    fn value(&self) -> Vec<u8> {
        self.world.lock().unwrap().scales[self.scale].value.clone()
    }
}

/// Returns the paths of a scale's services and their characteristics, other ones at each connection.
fn table(scale: usize, now: &Scale) -> Vec<(String, String, Vec<(String, Kind)>)> {
    let services = services(now.offers).into_iter().enumerate();
    services
        .map(|(number, (uuid, kinds))| {
            let first = usize::from(now.connections) * 64 + number * 16;
            let service = format!("{}/service{first:04x}", device_path(scale));
            let kinds = kinds.into_iter().enumerate().map(|(place, kind)| {
                let number = first + place * 3 + 1;
                (format!("{service}/char{number:04x}"), kind)
            });
            let kinds = kinds.collect();
            (service, uuid, kinds)
        })
        .collect()
}

fn look(world: &Shared, scale: usize) -> Scale {
    world.lock().unwrap().scales[scale].clone()
}

/// Shows the characteristics of a scale that was just connected.
async fn resolve(connection: &Connection, world: &Shared, scale: usize) {
    let server = connection.object_server();
    for (path, uuid, kinds) in table(scale, &look(world, scale)) {
        let service = Service {
            uuid,
            device: device_path(scale),
        };
        let _new = server.at(path.as_str(), service).await;
        for (place, kind) in kinds {
            let characteristic = Characteristic {
                world: world.clone(),
                scale,
                service: path.clone(),
                kind,
            };
            let _new = server.at(place, characteristic).await;
        }
    }
    world.lock().unwrap().scales[scale].resolved = true;
    if let Ok(device) = server.interface::<_, Device>(device_path(scale)).await {
        let shown = device.get().await;
        let _said = shown
            .services_resolved_changed(device.signal_emitter())
            .await;
    }
}

/// Ends a connection.
async fn part(connection: &Connection, world: &Shared, scale: usize) {
    let before = look(world, scale);
    {
        let mut world = world.lock().unwrap();
        let scale = &mut world.scales[scale];
        scale.connected = false;
        scale.resolved = false;
        scale.notifying = false;
        scale.written.clear();
    }
    let server = connection.object_server();
    if before.connected
        && let Ok(device) = server.interface::<_, Device>(device_path(scale)).await
    {
        let gone = device.get().await;
        let emitter = device.signal_emitter();
        let _said = gone.services_resolved_changed(emitter).await;
        let _said = gone.connected_changed(emitter).await;
    }
    for (path, _, kinds) in table(scale, &before) {
        for (place, _) in kinds {
            let _gone = server.remove::<Characteristic, _>(place).await;
        }
        let _gone = server.remove::<Service, _>(path).await;
    }
}

/// What a scale of its own sends: a mark, and tenths of a gram.
fn encode(gross_ug: i64) -> Vec<u8> {
    let tenths = i32::try_from((gross_ug + 50_000).div_euclid(100_000)).unwrap();
    let mut bytes = vec![1];
    bytes.extend(tenths.to_le_bytes());
    bytes
}

/// Lets a period pass: pours, shows what is heard, and lets the scales speak.
async fn pass(connection: &Connection, world: &Shared) {
    let (scales, discovering) = {
        let mut world = world.lock().unwrap();
        let poured = world.flow_ug.min(world.to_pour_ug);
        world.to_pour_ug -= poured;
        world.gross_ug += poured;
        (world.scales.len(), world.discovering && world.powered)
    };
    let server = connection.object_server();
    for scale in 0..scales {
        let now = look(world, scale);
        let device = Device {
            world: world.clone(),
            scale,
        };
        if discovering && now.awake && !now.connected {
            // Nothing happens where it is shown already.
            let _shown = server.at(device_path(scale), device).await;
        }
        let speaks = match now.offers {
            Offers::Own => now.notifying && now.is_started() && !now.mute,
            Offers::CalledOut => discovering && now.awake && !now.mute,
            Offers::WeightScale => false,
        };
        if speaks {
            {
                let mut world = world.lock().unwrap();
                world.scales[scale].value = encode(world.gross_ug);
            }
            say(connection, &now, scale).await;
        }
    }
}

/// Sends what a scale says.
async fn say(connection: &Connection, now: &Scale, scale: usize) {
    let server = connection.object_server();
    let weight = table(scale, now)
        .first()
        .and_then(|(_, _, kinds)| kinds.first().map(|(path, _)| path.clone()));
    match weight {
        Some(path) => {
            if let Ok(weight) = server.interface::<_, Characteristic>(path).await {
                for _ in 0..=usize::from(now.twice) {
                    let told = weight.get().await;
                    let _said = told.value_changed(weight.signal_emitter()).await;
                }
            }
        }
        None => {
            if let Ok(device) = server.interface::<_, Device>(device_path(scale)).await {
                let told = device.get().await;
                let _said = told
                    .manufacturer_data_changed(device.signal_emitter())
                    .await;
            }
        }
    }
}

/// The service at work.
struct Work {
    connection: Connection,
    passing: JoinHandle<()>,
}

/// The double, driven from a test.
pub(crate) struct Bluez {
    runtime: Runtime,
    world: Shared,
    address: String,
    work: Option<Work>,
}

impl Bluez {
    /// Starts it with a radio that is on.
    pub(crate) fn start(address: &str, scales: Vec<Scale>) -> Self {
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(1)
            .enable_all()
            .build()
            .unwrap();
        let world = World {
            powered: true,
            discovering: false,
            switched_on: 0,
            gross_ug: 0,
            to_pour_ug: 0,
            flow_ug: 0,
            scales,
        };
        let mut bluez = Self {
            runtime,
            world: Arc::new(Mutex::new(world)),
            address: address.to_owned(),
            work: None,
        };
        bluez.come_back();
        bluez
    }

    /// Ends the service, as a crash does.
    pub(crate) fn crash(&mut self) {
        let Some(work) = self.work.take() else {
            return;
        };
        work.passing.abort();
        let _closed = self.runtime.block_on(work.connection.close());
        let mut world = self.world.lock().unwrap();
        world.discovering = false;
        for scale in &mut world.scales {
            scale.connecting = false;
            scale.connected = false;
            scale.resolved = false;
            scale.notifying = false;
            scale.written.clear();
        }
    }

    /// Starts the service again; it knows no device until it hears one.
    pub(crate) fn come_back(&mut self) {
        let world = self.world.clone();
        let connection = self.runtime.block_on(async {
            connection::Builder::address(self.address.as_str())
                .serve_at("/", fdo::ObjectManager)
                .serve_at(RADIO, Radio(world))
                .name("org.bluez")
                .build()
                .await
                .unwrap()
        });
        let (passes, world) = (connection.clone(), self.world.clone());
        let passing = self.runtime.spawn(async move {
            let mut periods = tokio::time::interval(PERIOD);
            loop {
                periods.tick().await;
                pass(&passes, &world).await;
            }
        });
        self.work = Some(Work {
            connection,
            passing,
        });
    }

    /// Looks at the world, or changes it.
    pub(crate) fn with<T>(&self, look: impl FnOnce(&mut World) -> T) -> T {
        look(&mut self.world.lock().unwrap())
    }

    /// Looks at a scale, or changes it.
    pub(crate) fn scale<T>(&self, scale: usize, look: impl FnOnce(&mut Scale) -> T) -> T {
        self.with(|world| look(&mut world.scales[scale]))
    }

    /// Puts something on the pan.
    pub(crate) fn load(&self, ug: i64) {
        self.with(|world| world.gross_ug += ug);
    }

    /// Begins to pour so much, in so many periods.
    pub(crate) fn pour(&self, ug: i64, periods: i64) {
        self.with(|world| {
            world.to_pour_ug += ug;
            world.flow_ug = (ug / periods).max(1);
        });
    }

    fn on(&self) -> &Connection {
        let work = self.work.as_ref();
        &work.expect("the service runs").connection
    }

    /// The connection is lost, and the scale sleeps.
    pub(crate) fn lose(&self, scale: usize) {
        self.scale(scale, |scale| scale.awake = false);
        self.runtime.block_on(part(self.on(), &self.world, scale));
    }

    /// The service forgets a device; no event tells whoever listens to it.
    pub(crate) fn forget(&self, scale: usize) {
        self.scale(scale, |scale| {
            scale.connected = false;
            scale.resolved = false;
            scale.notifying = false;
            scale.written.clear();
        });
        self.runtime.block_on(async {
            let server = self.on().object_server();
            let _gone = server.remove::<Device, _>(device_path(scale)).await;
            for (path, _, kinds) in table(scale, &look(&self.world, scale)) {
                for (place, _) in kinds {
                    let _gone = server.remove::<Characteristic, _>(place).await;
                }
                let _gone = server.remove::<Service, _>(path).await;
            }
        });
    }

    /// The person switches the radio off or on.
    pub(crate) fn power(&self, on: bool) {
        self.runtime.block_on(async {
            if !on {
                for scale in 0..self.with(|world| world.scales.len()) {
                    part(self.on(), &self.world, scale).await;
                }
            }
            self.with(|world| {
                world.powered = on;
                world.discovering = false;
            });
            let radio = self.on().object_server();
            let radio = radio.interface::<_, Radio>(RADIO).await.unwrap();
            let shown = radio.get().await;
            let emitter = radio.signal_emitter();
            shown.powered_changed(emitter).await.unwrap();
            shown.discovering_changed(emitter).await.unwrap();
        });
    }

    /// The scale sends this, whatever is on its pan.
    pub(crate) fn report(&self, scale: usize, value: &[u8]) {
        self.scale(scale, |scale| scale.value = value.to_vec());
        let now = look(&self.world, scale);
        self.runtime.block_on(say(self.on(), &now, scale));
    }

    /// Returns whether somebody is connected to the scale.
    pub(crate) fn is_connected(&self, scale: usize) -> bool {
        self.scale(scale, |scale| scale.connected)
    }

    /// Returns whether somebody listens to the scale.
    pub(crate) fn is_listened_to(&self, scale: usize) -> bool {
        self.scale(scale, |scale| scale.notifying)
    }
}
