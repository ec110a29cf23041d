//! The objects of the Bluetooth service on the bus, as far as a scale needs them.

use std::collections::HashMap;

use tarehand_tests::window_pan;
use zbus::object_server::SignalEmitter;
use zbus::{Connection, OwnedObjectPath, OwnedVariant, fdo, interface};

use super::world::{COMPANY, Connects, Offers, RADIO, Scale, Shared, address, device_path};

#[derive(Debug, zbus::DBusError)]
#[zbus(prefix = "org.bluez.Error")]
enum Refusal {
    #[zbus(error)]
    ZBus(zbus::Error),
    Failed(String),
    NotReady(String),
    InProgress(String),
}

pub(super) struct Radio(pub(super) Shared);

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

pub(super) struct Device {
    pub(super) world: Shared,
    pub(super) scale: usize,
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
        // Who connected it may be gone: the connection is the device's, and stays as it is.
        if self.with(|scale| scale.connected) {
            return Ok(());
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

pub(super) struct Service {
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
pub(super) struct Kind {
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
            window_pan::SERVICE.to_owned(),
            vec![
                kind(window_pan::WEIGHT.to_owned(), &["notify"], &[]),
                kind(window_pan::COMMAND.to_owned(), &["write"], &[]),
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

pub(super) struct Characteristic {
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

/// A service of a connected scale: where it is on the bus, and its characteristics.
pub(super) struct Offered {
    pub(super) path: String,
    pub(super) uuid: String,
    pub(super) kinds: Vec<(String, Kind)>,
}

/// Returns the paths of a scale's services and their characteristics, other ones at each connection.
pub(super) fn table(scale: usize, now: &Scale) -> Vec<Offered> {
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
            Offered {
                path: service,
                uuid,
                kinds,
            }
        })
        .collect()
}

pub(super) fn look(world: &Shared, scale: usize) -> Scale {
    world.lock().unwrap().scales[scale].clone()
}

/// Shows the characteristics of a scale that was just connected.
async fn resolve(connection: &Connection, world: &Shared, scale: usize) {
    let server = connection.object_server();
    for Offered { path, uuid, kinds } in table(scale, &look(world, scale)) {
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
pub(super) async fn part(connection: &Connection, world: &Shared, scale: usize) {
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
    for Offered { path, kinds, .. } in table(scale, &before) {
        for (place, _) in kinds {
            let _gone = server.remove::<Characteristic, _>(place).await;
        }
        let _gone = server.remove::<Service, _>(path).await;
    }
}
