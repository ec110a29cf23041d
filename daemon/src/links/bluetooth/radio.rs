//! The radios of this machine, and what they hear. The thin edge: every call has its own limit.

use std::time::Duration;

use btleplug::api::{Central as _, CentralState, Manager as _, Peripheral as _, ScanFilter};
use btleplug::platform::{Adapter, Manager, Peripheral};
use tarehand_protocol::scale::profile::Uuid;

use super::fault::{Fault, within};
use super::gate::{self, Answer};
use super::limits::{CALL, FAREWELL, LOOK};
use super::named::{Address, Named};
use super::pick::Seen;
use super::trouble::Trouble;

/// The open Weight Scale Service: Bluetooth Assigned Numbers, 3.4.
pub(super) const WEIGHT_SCALE: Uuid = Uuid::assigned(0x181d);

/// A connection to the system's bus.
#[derive(Debug)]
pub(super) struct Bus {
    manager: Manager,
}

/// A radio that is switched on.
#[derive(Clone, Debug)]
pub(super) struct Radio {
    name: String,
    adapter: Adapter,
}

/// A device, and the radio that sees it.
#[derive(Clone, Debug)]
pub(super) struct Found {
    pub(super) seen: Seen,
    pub(super) peripheral: Peripheral,
    pub(super) radio: Radio,
}

/// What a look wants to know of each device.
#[derive(Clone, Copy, Debug)]
pub(super) enum Interest<'a> {
    /// Everything about all of them.
    All,
    /// Only whether this one is there.
    One(&'a Named),
}

/// Whether to go on looking.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Look {
    /// Enough was seen.
    Enough,
    /// Look on.
    On,
}

impl Bus {
    /// Connects to the system's bus.
    pub(super) async fn open() -> Result<Self, Trouble> {
        match gate::knock(CALL).await {
            Answer::Open => {}
            Answer::Nobody => return Err(Trouble::NoBus),
            Answer::Silent => return Err(Trouble::BusStuck),
        }
        match within(CALL, Manager::new()).await {
            Ok(manager) => Ok(Self { manager }),
            Err(Fault::NotPermitted) => Err(Trouble::NotPermitted),
            Err(_) => Err(Trouble::NoBus),
        }
    }

    /// Returns the radios that are switched on.
    ///
    /// None is ever switched on here; nor is one handed out that a scan would switch on.
    pub(super) async fn radios(&self, only: Option<&str>) -> Result<Vec<Radio>, Trouble> {
        let adapters = within(CALL, self.manager.adapters())
            .await
            .map_err(Fault::of_radio)?;
        if adapters.is_empty() {
            return Err(Trouble::NoRadio);
        }
        let mut radios = Vec::new();
        for adapter in adapters {
            // The state alone would call a service that is gone a radio that is off.
            let info = match within(CALL, adapter.adapter_info()).await {
                Ok(info) => info,
                Err(Fault::Forgotten) => continue,
                Err(fault) => return Err(fault.of_radio()),
            };
            let name = info.split(' ').next().unwrap_or_default().to_owned();
            if only.is_none_or(|only| only == name) {
                radios.push(Radio { name, adapter });
            }
        }
        if radios.is_empty() {
            return Err(match only {
                Some(only) => Trouble::NoSuchRadio(only.to_owned()),
                None => Trouble::NoRadio,
            });
        }
        let mut on = Vec::new();
        for radio in radios {
            if radio.is_on().await? {
                on.push(radio);
            }
        }
        if on.is_empty() {
            return Err(Trouble::RadioOff);
        }
        Ok(on)
    }
}

impl Radio {
    pub(super) const fn adapter(&self) -> &Adapter {
        &self.adapter
    }

    /// Returns whether it is switched on.
    pub(super) async fn is_on(&self) -> Result<bool, Trouble> {
        let state = within(CALL, self.adapter.adapter_state()).await;
        Ok(state.map_err(Fault::of_radio)? == CentralState::PoweredOn)
    }

    /// Returns whether it is there and on, and else why not.
    pub(super) async fn check(&self) -> Result<(), Trouble> {
        within(CALL, self.adapter.adapter_info())
            .await
            .map_err(Fault::of_radio)?;
        match self.is_on().await? {
            true => Ok(()),
            false => Err(Trouble::RadioOff),
        }
    }

    /// Begins to listen to what calls out.
    pub(super) async fn start_scan(&self) -> Result<(), Trouble> {
        // Beginning would switch it on, so that is asked at the last moment.
        if !self.is_on().await? {
            return Err(Trouble::RadioOff);
        }
        match within(CALL, self.adapter.start_scan(ScanFilter::default())).await {
            // We listen already.
            Ok(()) | Err(Fault::Busy) => Ok(()),
            Err(fault) => Err(fault.of_radio()),
        }
    }

    /// Stops listening; a radio that is gone has stopped.
    pub(super) async fn stop_scan(&self) {
        let _stopped = within(FAREWELL, self.adapter.stop_scan()).await;
    }

    /// Returns what the service knows of the devices round this radio now.
    async fn devices(&self, interest: Interest<'_>) -> Result<Vec<Found>, Trouble> {
        let all = within(CALL, self.adapter.peripherals())
            .await
            .map_err(Fault::of_radio)?;
        let mut devices = Vec::new();
        for peripheral in all {
            let address = Address::from_bytes(peripheral.address().into_inner());
            if let Interest::One(Named::Address { address: one, .. }) = interest
                && *one != address
            {
                continue;
            }
            // One that was forgotten meanwhile is simply not there.
            let properties = match within(CALL, peripheral.properties()).await {
                Ok(properties) => properties.unwrap_or_default(),
                Err(Fault::Silent) => return Err(Trouble::Stuck),
                Err(_) => continue,
            };
            let connected = properties.rssi.is_none()
                && within(CALL, peripheral.is_connected())
                    .await
                    .unwrap_or_default();
            let mut services = properties.services.iter();
            devices.push(Found {
                seen: Seen {
                    adapter: self.name.clone(),
                    address,
                    name: properties.advertisement_name,
                    signal: properties.rssi,
                    connected,
                    weight_service: services.any(|uuid| uuid.as_u128() == WEIGHT_SCALE.bits()),
                },
                peripheral,
                radio: self.clone(),
            });
        }
        Ok(devices)
    }
}

/// Returns what all radios know of the devices round them now.
async fn devices(radios: &[Radio], interest: Interest<'_>) -> Result<Vec<Found>, Trouble> {
    let mut all = Vec::new();
    for radio in radios {
        all.extend(radio.devices(interest).await?);
    }
    Ok(all)
}

/// Looks around for at most so long, and returns what was seen last.
///
/// `judge` is shown what is known before the radios listen, then again and again.
pub(super) async fn look_around(
    radios: &[Radio],
    limit: Duration,
    interest: Interest<'_>,
    mut judge: impl FnMut(&[Found]) -> Look,
) -> Result<Vec<Found>, Trouble> {
    let known = devices(radios, interest).await?;
    // What is connected calls out no more: there is nothing to listen to.
    if judge(&known) == Look::Enough {
        return Ok(known);
    }
    let mut listening = Vec::new();
    let mut refused = None;
    for radio in radios {
        match radio.start_scan().await {
            Ok(()) => listening.push(radio),
            Err(trouble) => refused = Some(trouble),
        }
    }
    let outcome = match (listening.as_slice(), refused) {
        ([], Some(trouble)) => Err(trouble),
        (_, _) => watch(radios, limit, interest, judge).await,
    };
    for radio in listening {
        radio.stop_scan().await;
    }
    outcome
}

async fn watch(
    radios: &[Radio],
    limit: Duration,
    interest: Interest<'_>,
    mut judge: impl FnMut(&[Found]) -> Look,
) -> Result<Vec<Found>, Trouble> {
    let over = tokio::time::sleep(limit);
    tokio::pin!(over);
    loop {
        let last = tokio::select! {
            () = &mut over => Look::Enough,
            () = tokio::time::sleep(LOOK) => Look::On,
        };
        let found = devices(radios, interest).await?;
        if judge(&found) == Look::Enough || last == Look::Enough {
            return Ok(found);
        }
    }
}
