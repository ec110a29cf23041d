//! One scale that is connected: its characteristics, what it says of itself, its notifications.

use std::pin::Pin;
use std::time::Duration;

use btleplug::api::{
    Central as _, CentralEvent, CharPropFlags, Characteristic, Peripheral as _, ValueNotification,
    WriteType,
};
use btleplug::platform::Peripheral;
use futures_util::Stream;
use tarehand_protocol::Mass;
use tarehand_protocol::scale::profile::{Notified, Start, Uuid};

use super::fault::{Fault, within};
use super::feature;
use super::limits::{CALL, CONNECT, PREPARE};
use super::radio::{Found, WEIGHT_SCALE};
use super::trouble::Trouble;

/// Weight Scale Feature: Bluetooth Assigned Numbers, 3.8.
const FEATURE: Uuid = Uuid::assigned(0x2a9e);
/// Battery Service and Battery Level: the same, 3.4 and 3.8.
const BATTERY: (Uuid, Uuid) = (Uuid::assigned(0x180f), Uuid::assigned(0x2a19));

type Values = Pin<Box<dyn Stream<Item = ValueNotification> + Send>>;
pub(super) type Events = Pin<Box<dyn Stream<Item = CentralEvent> + Send>>;

/// What a scale says of itself.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct About {
    pub(super) division: Option<Mass>,
    pub(super) battery_percent: Option<u8>,
}

/// What is listened to.
///
/// Both streams never end by themselves, and must be dropped inside the runtime they were made in.
pub(super) struct Ears {
    pub(super) values: Values,
    pub(super) events: Events,
    pub(super) characteristic: Uuid,
    pub(super) about: About,
}

/// How a scale is called in words.
pub(super) fn words(found: &Found) -> String {
    match &found.seen.name {
        Some(name) => format!("{name}, {}", found.seen.address),
        None => found.seen.address.to_string(),
    }
}

/// Connects to a scale that was found.
pub(super) async fn connect(found: &Found) -> Result<(), Trouble> {
    within(CONNECT, found.peripheral.connect())
        .await
        .map_err(|fault| fault.of_air(&words(found)))
}

/// Disconnects, whatever became of connecting.
pub(super) async fn disconnect(found: &Found, limit: Duration) -> Result<(), Trouble> {
    match within(limit, found.peripheral.disconnect()).await {
        // Nothing is connected then.
        Ok(()) | Err(Fault::Forgotten | Fault::Said(_) | Fault::RadioOff) => Ok(()),
        Err(fault) => Err(fault.of_scale(&words(found))),
    }
}

/// Returns whether the connection stands, and else why not.
pub(super) async fn is_connected(found: &Found) -> Result<(), Trouble> {
    let device = words(found);
    match within(CALL, found.peripheral.is_connected()).await {
        Ok(true) => Ok(()),
        Ok(false) => Err(Trouble::Lost(device)),
        Err(fault) => Err(fault.of_scale(&device)),
    }
}

/// Finds the characteristics anew, listens, and makes the scale speak.
///
/// Nothing of an earlier connection holds: its characteristics may be other objects now, and its stream hears nothing.
pub(super) async fn prepare(found: &Found, wanted: &Notified) -> Result<Ears, Trouble> {
    let device = words(found);
    let scale = &found.peripheral;
    let air = |fault: Fault| fault.of_air(&device);
    within(PREPARE, scale.discover_services())
        .await
        .map_err(air)?;
    let characteristic = characteristic(scale, wanted.service, wanted.characteristic)
        .ok_or_else(|| missing(&device, wanted))?;
    if !characteristic
        .properties
        .intersects(CharPropFlags::NOTIFY | CharPropFlags::INDICATE)
    {
        return Err(Trouble::NotNotified {
            device,
            characteristic: wanted.characteristic.to_string(),
        });
    }
    // Both before subscribing, so that nothing is missed.
    let values = within(PREPARE, scale.notifications()).await.map_err(air)?;
    let events = within(PREPARE, found.radio.adapter().events())
        .await
        .map_err(air)?;
    within(PREPARE, scale.subscribe(&characteristic))
        .await
        .map_err(air)?;
    if let Some(start) = &wanted.start {
        write_start(found, wanted, start).await?;
    }
    Ok(Ears {
        values,
        events,
        characteristic: wanted.characteristic,
        about: about(scale).await,
    })
}

/// Writes what makes the scale speak.
pub(super) async fn write_start(
    found: &Found,
    wanted: &Notified,
    start: &Start,
) -> Result<(), Trouble> {
    let device = words(found);
    let to = Notified {
        characteristic: start.to,
        ..wanted.clone()
    };
    let characteristic = characteristic(&found.peripheral, to.service, to.characteristic)
        .ok_or_else(|| missing(&device, &to))?;
    // With an answer where it gives one: only then is it known to have arrived.
    let manner = if characteristic.properties.contains(CharPropFlags::WRITE) {
        WriteType::WithResponse
    } else {
        WriteType::WithoutResponse
    };
    let write = found.peripheral.write(&characteristic, &start.send, manner);
    within(PREPARE, write)
        .await
        .map_err(|fault| fault.of_air(&device))
}

fn missing(device: &str, wanted: &Notified) -> Trouble {
    if wanted.service == WEIGHT_SCALE {
        return Trouble::NoWeightService(device.to_owned());
    }
    Trouble::NoCharacteristic {
        device: device.to_owned(),
        service: wanted.service.to_string(),
        characteristic: wanted.characteristic.to_string(),
    }
}

fn characteristic(scale: &Peripheral, service: Uuid, wanted: Uuid) -> Option<Characteristic> {
    let services = scale.services();
    let mut services = services.iter();
    let service = services.find(|found| found.uuid.as_u128() == service.bits())?;
    let mut all = service.characteristics.iter();
    all.find(|found| found.uuid.as_u128() == wanted.bits())
        .cloned()
}

/// Asks for what a scale may say of itself; one that does not answer is read all the same.
async fn about(scale: &Peripheral) -> About {
    let read = async |service: Uuid, wanted: Uuid| {
        let characteristic = characteristic(scale, service, wanted)?;
        within(CALL, scale.read(&characteristic)).await.ok()
    };
    let feature = read(WEIGHT_SCALE, FEATURE).await;
    let battery = read(BATTERY.0, BATTERY.1).await;
    About {
        division: feature.and_then(|bytes| feature::division(&bytes)),
        battery_percent: battery
            .and_then(|bytes| bytes.first().copied())
            .filter(|&percent| percent <= 100),
    }
}
