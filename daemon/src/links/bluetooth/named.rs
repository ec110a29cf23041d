//! Which radio scale a person means.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// The address of a radio device.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Address([u8; 6]);

impl Address {
    /// Makes an address from its bytes, in the order they are written.
    #[must_use]
    pub const fn from_bytes(bytes: [u8; 6]) -> Self {
        Self(bytes)
    }

    /// Returns the string under which the log keeps what is known of this device; its form never changes.
    #[must_use]
    pub fn key(self) -> String {
        format!("{KEY}{self}")
    }

    /// Returns the address that a key of the log names; `None` for keys of other devices.
    #[must_use]
    pub fn of_key(key: &str) -> Option<Self> {
        parse_address(key.strip_prefix(KEY)?)
    }
}

/// Before the address in a key of the log.
const KEY: &str = "bluetooth:";

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [a, b, c, d, e, g] = self.0;
        write!(f, "{a:02X}:{b:02X}:{c:02X}:{d:02X}:{e:02X}:{g:02X}")
    }
}

/// What a person calls a radio scale by.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Named {
    /// Its address, and the radio of this machine it is to be heard with where that was said.
    Address {
        /// The address.
        address: Address,
        /// `hci1`; any radio where none is said.
        adapter: Option<String>,
    },
    /// What it calls itself.
    Name(String),
}

/// Why a text names no radio scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the radio scale has no name")]
pub struct ParseNamedError;

impl Named {
    /// Returns the key of the log, where the address is known.
    #[must_use]
    pub fn key(&self) -> Option<String> {
        match self {
            Self::Address { address, .. } => Some(address.key()),
            Self::Name(_) => None,
        }
    }
}

impl FromStr for Named {
    type Err = ParseNamedError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let text = text.trim();
        if text.is_empty() || text.contains('\0') {
            return Err(ParseNamedError);
        }
        let (adapter, rest) = match text.split_once('/') {
            Some((adapter, rest)) => (Some(adapter.to_owned()), rest),
            None => (None, text),
        };
        Ok(match parse_address(rest) {
            Some(address) => Self::Address { address, adapter },
            None => Self::Name(text.to_owned()),
        })
    }
}

fn parse_address(text: &str) -> Option<Address> {
    let mut bytes = [0; 6];
    let mut parts = text.split(':');
    for byte in &mut bytes {
        let part = parts.next().filter(|part| part.len() == 2)?;
        *byte = u8::from_str_radix(part, 16).ok()?;
    }
    parts.next().is_none().then_some(Address(bytes))
}

impl fmt::Display for Named {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Address {
                address,
                adapter: Some(adapter),
            } => write!(f, "{adapter}/{address}"),
            Self::Address {
                address,
                adapter: None,
            } => write!(f, "{address}"),
            Self::Name(name) => f.write_str(name),
        }
    }
}

impl Serialize for Named {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Named {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str, written: &str, key: Option<&str>) {
        let named: Named = text.parse().unwrap();
        assert_eq!(named.to_string(), written);
        assert_eq!(named.key().as_deref(), key);
        assert_eq!(written.parse(), Ok(named));
    }

    // The form of a key is kept in people's logs: it must never change.
    #[test]
    fn a_scale_is_named_by_address_by_radio_and_address_or_by_its_name() {
        let key = Some("bluetooth:AA:BB:CC:00:11:22");
        check("aa:bb:cc:00:11:22", "AA:BB:CC:00:11:22", key);
        check("hci1/AA:BB:CC:00:11:22", "hci1/AA:BB:CC:00:11:22", key);
        check(" bench pan ", "bench pan", None);
        check("pan/2", "pan/2", None);
        check("AA:BB:CC:00:11", "AA:BB:CC:00:11", None);
        assert_eq!(" ".parse::<Named>(), Err(ParseNamedError));
    }

    #[test]
    fn a_key_of_the_log_tells_its_address() {
        let address = Address::from_bytes([0xAA, 0xBB, 0xCC, 0, 0x11, 0x22]);
        assert_eq!(Address::of_key(&address.key()), Some(address));
        assert_eq!(Address::of_key("path:/dev/ttyUSB0"), None);
    }
}
