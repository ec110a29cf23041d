//! What a call to the Bluetooth service came to.

use std::future::Future;
use std::time::Duration;

use super::trouble::Trouble;

/// Why a call failed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Fault {
    /// No answer within its limit, or the bus is gone.
    Silent,
    /// Nobody on the bus answers for Bluetooth.
    NoService,
    /// This user may not.
    NotPermitted,
    /// The service does not know the device any more.
    Forgotten,
    /// The radio is off.
    RadioOff,
    /// An earlier try still goes on.
    Busy,
    /// Another reason, in the service's words.
    Said(String),
}

/// Makes a call with a limit.
pub(super) async fn within<T>(
    limit: Duration,
    call: impl Future<Output = btleplug::Result<T>> + Send,
) -> Result<T, Fault> {
    match tokio::time::timeout(limit, call).await {
        Ok(Ok(answer)) => Ok(answer),
        Ok(Err(error)) => {
            tracing::debug!(?error, "the Bluetooth service refused");
            Err(Fault::of(&error))
        }
        Err(_) => Err(Fault::Silent),
    }
}

impl Fault {
    fn of(error: &btleplug::Error) -> Self {
        match error {
            btleplug::Error::DeviceNotFound => Self::Forgotten,
            btleplug::Error::PermissionDenied => Self::NotPermitted,
            error => Self::of_text(&format!("{error:?}"), &error.to_string()),
        }
    }

    /// The name of a bus error is not handed on but in its debugging text.
    fn of_text(named: &str, said: &str) -> Self {
        const NAMES: [(&str, Fault); 11] = [
            ("DBus.Error.ServiceUnknown", Fault::NoService),
            ("DBus.Error.NameHasNoOwner", Fault::NoService),
            // The service ended while it was asked.
            ("DBus.Error.NoReply", Fault::Silent),
            ("DBus.Error.Timeout", Fault::Silent),
            ("DBus.Error.Disconnected", Fault::Silent),
            ("DBus.Error.AccessDenied", Fault::NotPermitted),
            ("DBus.Error.UnknownObject", Fault::Forgotten),
            ("DBus.Error.UnknownMethod", Fault::Forgotten),
            ("bluez.Error.DoesNotExist", Fault::Forgotten),
            ("bluez.Error.NotReady", Fault::RadioOff),
            ("bluez.Error.InProgress", Fault::Busy),
        ];
        let known = NAMES.into_iter().find(|(name, _)| named.contains(name));
        match known {
            Some((_, fault)) => fault,
            None if said.contains("not provided by any .service files") => Self::NoService,
            None if said.contains("already in progress") => Self::Busy,
            None => Self::Said(said.to_owned()),
        }
    }

    /// Returns what it means for a call that is about no scale.
    pub(super) fn of_radio(self) -> Trouble {
        match self {
            Self::Silent => Trouble::Stuck,
            Self::NoService => Trouble::NoService,
            Self::NotPermitted => Trouble::NotPermitted,
            Self::Forgotten => Trouble::NoRadio,
            Self::RadioOff => Trouble::RadioOff,
            Self::Busy => Trouble::NoScan("it is busy".to_owned()),
            Self::Said(reason) => Trouble::NoScan(reason),
        }
    }

    /// Returns what it means for a call to a scale.
    pub(super) fn of_scale(self, device: &str) -> Trouble {
        let device = device.to_owned();
        match self {
            Self::Silent => Trouble::Stuck,
            Self::NoService => Trouble::NoService,
            Self::NotPermitted => Trouble::NotPermitted,
            Self::Forgotten => Trouble::Forgotten(device),
            Self::RadioOff => Trouble::RadioOff,
            Self::Busy => Trouble::NoAnswer(device),
            Self::Said(reason) => Trouble::Refused { device, reason },
        }
    }

    /// Returns what it means for a call that the scale itself must answer over the air.
    pub(super) fn of_air(self, device: &str) -> Trouble {
        match self {
            Self::Silent => Trouble::NoAnswer(device.to_owned()),
            fault => fault.of_scale(device),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test(start_paused = true)]
    async fn a_service_that_never_answers_is_said_to_be_stuck_after_a_limit_of_ours() {
        let never = std::future::pending::<btleplug::Result<()>>();
        let fault = within(super::super::limits::CALL, never).await;
        let trouble = fault.map_err(Fault::of_radio).expect_err("nobody answers");
        assert_eq!(trouble.to_string(), "the Bluetooth service does not answer");
        assert!(trouble.hint().contains("systemctl restart bluetooth"));
    }

    // Names and texts: met with bluetoothd 5.66 and dbus-daemon 1.14, or with a double of them.
    #[test]
    fn the_names_of_bus_errors_are_understood() {
        for (named, said, fault) in [
            (
                "Other(DbusError(D-Bus error: The name org.bluez was not provided by any .service files (org.freedesktop.DBus.Error.ServiceUnknown)))",
                "The name org.bluez was not provided by any .service files",
                Fault::NoService,
            ),
            (
                "Other(DbusError(D-Bus error: Operation already in progress (org.bluez.Error.InProgress)))",
                "Operation already in progress",
                Fault::Busy,
            ),
            (
                "Other(DbusError(D-Bus error: Timeout waiting for reply (org.freedesktop.DBus.Error.Timeout)))",
                "Timeout waiting for reply",
                Fault::Silent,
            ),
            (
                "Other(DbusError(D-Bus error: le-connection-abort-by-local (org.bluez.Error.Failed)))",
                "le-connection-abort-by-local",
                Fault::Said("le-connection-abort-by-local".to_owned()),
            ),
        ] {
            assert_eq!(Fault::of_text(named, said), fault);
        }
    }
}
