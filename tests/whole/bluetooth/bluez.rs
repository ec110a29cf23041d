//! A double of the Bluetooth service, `org.bluez`, with a radio and scales in reach.
//!
//! The shape of the objects, the order of the signals and the names of the errors are those of BlueZ 5.66; where
//! it is odd, so is the double: what it knows it keeps, a device that hangs refuses a second try, and after each
//! connection the characteristics are other objects.

mod objects;
mod world;

use std::sync::{Arc, Mutex};
use std::time::Duration;

use tarehand_tests::window_pan::encode;
use tokio::runtime::Runtime;
use tokio::task::JoinHandle;
use zbus::{Connection, connection, fdo};

use self::objects::{Characteristic, Device, Offered, Radio, Service, look, part, table};
use self::world::{RADIO, Shared, World, device_path};

pub(crate) use self::world::{Connects, Offers, Scale, address};

/// Between two looks at the pan, on the wall's clock.
const PERIOD: Duration = Duration::from_millis(20);

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
        .and_then(|service| service.kinds.first().map(|(path, _)| path.clone()));
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
            for Offered { path, kinds, .. } in table(scale, &look(&self.world, scale)) {
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
