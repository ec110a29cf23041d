//! What keeps a radio scale from being heard, in plain words.

use tarehand_protocol::api::TroubleWord;

use super::limits::SCAN;
use super::named::Address;

/// What keeps a radio scale from being heard.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Trouble {
    /// The machine has no system bus, or not for us.
    #[error("the system's message bus cannot be reached")]
    NoBus,
    /// The bus is there and does not answer.
    #[error("the system's message bus does not answer")]
    BusStuck,
    /// Nobody on the bus answers for Bluetooth.
    #[error("no Bluetooth service runs on this machine")]
    NoService,
    /// It is there and does not answer.
    #[error("the Bluetooth service does not answer")]
    Stuck,
    /// This user may not talk to it.
    #[error("you may not use the Bluetooth service")]
    NotPermitted,
    /// There is no radio.
    #[error("this machine has no Bluetooth radio")]
    NoRadio,
    /// There is one, but not the one that was said.
    #[error("there is no Bluetooth radio `{0}` on this machine")]
    NoSuchRadio(String),
    /// The person switched it off.
    #[error("the Bluetooth radio is switched off")]
    RadioOff,
    /// It would not look around.
    #[error("the Bluetooth radio cannot look for scales: {0}")]
    NoScan(String),
    /// The scale was not heard.
    #[error("the scale `{0}` is not in reach, or asleep")]
    NotInReach(String),
    /// Several have the name.
    #[error("several scales are called `{name}`: {}", addresses.iter().map(ToString::to_string).collect::<Vec<_>>().join(", "))]
    Alike {
        /// The name.
        name: String,
        /// Their addresses.
        addresses: Vec<Address>,
    },
    /// The scale would not be connected to.
    #[error("the scale `{device}` refuses to be connected: {reason}")]
    Refused {
        /// The scale.
        device: String,
        /// What the system says.
        reason: String,
    },
    /// Connecting took longer than a scale that is here needs.
    #[error("the scale `{0}` does not answer")]
    NoAnswer(String),
    /// It does not offer what was said.
    #[error(
        "the scale `{device}` has no characteristic `{characteristic}` in a service `{service}`"
    )]
    NoCharacteristic {
        /// The scale.
        device: String,
        /// The service.
        service: String,
        /// The characteristic.
        characteristic: String,
    },
    /// It has no Weight Scale Service, and nobody told what else.
    #[error("the scale `{0}` does not speak the open Weight Scale Service")]
    NoWeightService(String),
    /// The characteristic neither notifies nor indicates.
    #[error(
        "the characteristic `{characteristic}` of the scale `{device}` tells nothing by itself"
    )]
    NotNotified {
        /// The scale.
        device: String,
        /// The characteristic.
        characteristic: String,
    },
    /// The connection ended.
    #[error("the connection to the scale `{0}` is lost")]
    Lost(String),
    /// The connection stands, and nothing comes.
    #[error("the scale `{0}` is connected, but says nothing")]
    Silent(String),
    /// The scale calls out no more.
    #[error("the scale `{0}` is heard no more")]
    Quiet(String),
    /// The system has forgotten the device.
    #[error("the Bluetooth service has forgotten the scale `{0}`")]
    Forgotten(String),
}

impl Trouble {
    /// Returns the word for it, which stays the same.
    #[must_use]
    pub const fn kind(&self) -> TroubleWord {
        match self {
            Self::NoBus | Self::BusStuck | Self::NoService | Self::Stuck => {
                TroubleWord::NoBluetooth
            }
            Self::NotPermitted => TroubleWord::NotPermitted,
            Self::NoRadio | Self::NoSuchRadio(_) => TroubleWord::NoRadio,
            Self::RadioOff => TroubleWord::RadioOff,
            Self::NoScan(_) => TroubleWord::NotOpened,
            Self::NotInReach(_) | Self::Forgotten(_) => TroubleWord::NotInReach,
            Self::Alike { .. } => TroubleWord::Ambiguous,
            Self::Refused { .. } | Self::NoAnswer(_) => TroubleWord::NotConnected,
            Self::NoCharacteristic { .. } | Self::NoWeightService(_) | Self::NotNotified { .. } => {
                TroubleWord::OtherService
            }
            Self::Lost(_) | Self::Quiet(_) => TroubleWord::ConnectionLost,
            Self::Silent(_) => TroubleWord::Silent,
        }
    }

    /// Returns what the person can do about it.
    #[must_use]
    pub fn hint(&self) -> String {
        let scan = SCAN.as_secs();
        match self {
            Self::NoBus => {
                "see that `dbus` runs on this machine (`systemctl status dbus`)".to_owned()
            }
            Self::BusStuck => {
                "if it stays so, restart the machine: everything that speaks over the bus is stuck with it".to_owned()
            }
            Self::NoService => {
                "start it with `systemctl start bluetooth`, or install the package `bluez`"
                    .to_owned()
            }
            Self::Stuck => {
                "if it stays so, start it anew with `systemctl restart bluetooth`".to_owned()
            }
            Self::NotPermitted => {
                "add yourself to group `bluetooth`, then log out and in again".to_owned()
            }
            Self::NoRadio => "plug a Bluetooth adapter in; it is found by itself".to_owned(),
            Self::NoSuchRadio(_) => {
                "leave the radio's name out, or see `tarehand scales`".to_owned()
            }
            Self::RadioOff => {
                "switch Bluetooth on; it is never switched on for you".to_owned()
            }
            Self::NoScan(_) => "switch Bluetooth off and on again".to_owned(),
            Self::NotInReach(_) => format!(
                "press a key of the scale to wake it, and bring it near; it is looked for again and again, {scan} s each time"
            ),
            Self::Alike { addresses, .. } => {
                let first = addresses.first().map(ToString::to_string);
                format!(
                    "name the one you mean by its address, as in --radio {}",
                    first.unwrap_or_default()
                )
            }
            Self::Refused { .. } => {
                "see that no phone or other program is connected to it; switch the scale off and on"
                    .to_owned()
            }
            Self::NoAnswer(_) | Self::Lost(_) | Self::Quiet(_) => {
                "press a key of the scale to wake it, and bring it near; it is connected again by itself"
                    .to_owned()
            }
            Self::NoCharacteristic { .. } | Self::NotNotified { .. } => {
                "correct `service` and `characteristic` in `[bluetooth]` of the scale's profile"
                    .to_owned()
            }
            Self::NoWeightService(_) => {
                "write a profile with a table `[bluetooth]` for it, and give it with --profile"
                    .to_owned()
            }
            Self::Silent(_) => {
                "put something on the pan; if it stays silent, its profile may lack the bytes that start it (`start` in `[bluetooth]`)"
                    .to_owned()
            }
            Self::Forgotten(_) => {
                "press a key of the scale to wake it; it is looked for again".to_owned()
            }
        }
    }

    /// Returns whether only a new connection to the bus can help.
    pub(super) const fn needs_new_bus(&self) -> bool {
        matches!(self, Self::NoBus | Self::BusStuck | Self::Stuck)
    }
}

/// Decides what of many tries is said: each change once.
///
/// While a service starts or a radio wakes, other troubles show for a moment; so a change is said when it
/// is met twice in a row, and only the first trouble is said at once.
#[derive(Debug, Default)]
pub(super) struct Told {
    said: Option<Trouble>,
    met: Option<Trouble>,
}

impl Told {
    /// Takes note that the scale is heard.
    pub(super) fn heard(&mut self) {
        *self = Self::default();
    }

    /// Takes note of a trouble; returns it where it is to be said.
    pub(super) fn meet(&mut self, trouble: Trouble) -> Option<Trouble> {
        let say = match &self.said {
            None => true,
            Some(said) => *said != trouble && self.met.as_ref() == Some(&trouble),
        };
        self.met = Some(trouble.clone());
        say.then(|| {
            self.said = Some(trouble.clone());
            trouble
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn far() -> Trouble {
        Trouble::NotInReach("pan".to_owned())
    }

    #[test]
    fn each_trouble_is_said_once_and_a_passing_one_not_at_all() {
        let mut told = Told::default();
        let met = [
            far(),
            far(),
            Trouble::NoRadio,
            Trouble::RadioOff,
            Trouble::RadioOff,
            Trouble::RadioOff,
        ];
        let said: Vec<Trouble> = met
            .into_iter()
            .filter_map(|trouble| told.meet(trouble))
            .collect();
        assert_eq!(said, [far(), Trouble::RadioOff]);
        told.heard();
        assert_eq!(told.meet(far()), Some(far()));
    }

    #[test]
    fn every_trouble_says_what_to_do() {
        let two = [1, 2].map(|last| Address::from_bytes([0xAA, 0xBB, 0xCC, 0, 0, last]));
        let alike = Trouble::Alike {
            name: "pan".to_owned(),
            addresses: two.to_vec(),
        };
        assert_eq!(
            alike.to_string(),
            "several scales are called `pan`: AA:BB:CC:00:00:01, AA:BB:CC:00:00:02"
        );
        assert_eq!(
            alike.hint(),
            "name the one you mean by its address, as in --radio AA:BB:CC:00:00:01"
        );
        assert!(Trouble::RadioOff.hint().contains("never switched on"));
        assert!(far().hint().contains("press a key"));
    }
}
