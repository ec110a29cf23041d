//! The text of an identity, as the log keeps it.

use std::fmt;
use std::str::FromStr;

use super::identity::{Identity, Which};

impl Identity {
    /// Returns the string under which the log keeps what is known of this device.
    ///
    /// [`Identity::from_str`] reads it back. Its form never changes: `usb:VVVV:PPPP:sn=NUMBER:if=N`,
    /// `usb:VVVV:PPPP:at=BUS-PORT.PORT:if=N` or `path:PATH`; in NUMBER all but letters, digits, `.`, `_` and `-` is `%XX`.
    #[must_use]
    pub fn key(&self) -> String {
        match self {
            Self::Usb {
                vendor,
                product,
                which,
                interface,
            } => {
                let which = match which {
                    Which::SerialNumber(number) => format!("sn={}", escape(number)),
                    Which::PortChain(chain) => format!("at={}", escape(chain)),
                };
                let interface = match interface {
                    Some(number) => format!(":if={number}"),
                    None => String::new(),
                };
                format!("usb:{vendor:04x}:{product:04x}:{which}{interface}")
            }
            Self::Path(path) => format!("path:{path}"),
        }
    }
}

impl fmt::Display for Identity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.key())
    }
}

/// Why a text is no key of a device.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{found}` is no key of a serial device: take one from the list of devices")]
pub struct ParseIdentityError {
    found: String,
}

impl FromStr for Identity {
    type Err = ParseIdentityError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        parse(text).ok_or_else(|| ParseIdentityError {
            found: text.to_owned(),
        })
    }
}

fn parse(text: &str) -> Option<Identity> {
    if let Some(path) = text.strip_prefix("path:") {
        return (!path.is_empty()).then(|| Identity::Path(path.to_owned()));
    }
    let mut parts = text.strip_prefix("usb:")?.split(':');
    let mut number = || u16::from_str_radix(parts.next()?, 16).ok();
    let (vendor, product) = (number()?, number()?);
    let which = match parts.next()?.split_once('=')? {
        ("sn", number) => Which::SerialNumber(unescape(number)?),
        ("at", chain) => Which::PortChain(unescape(chain)?),
        _ => return None,
    };
    let interface = match parts.next() {
        Some(part) => Some(part.strip_prefix("if=")?.parse().ok()?),
        None => None,
    };
    parts.next().is_none().then_some(Identity::Usb {
        vendor,
        product,
        which,
        interface,
    })
}

/// Keeps letters, digits, `.`, `_` and `-`; every other byte becomes `%XX`.
fn escape(text: &str) -> String {
    text.bytes().fold(String::new(), |mut escaped, byte| {
        if byte.is_ascii_alphanumeric() || matches!(byte, b'.' | b'_' | b'-') {
            escaped.push(char::from(byte));
        } else {
            escaped.push_str(&format!("%{byte:02X}"));
        }
        escaped
    })
}

fn unescape(text: &str) -> Option<String> {
    let mut bytes = Vec::new();
    let mut rest = text;
    while let Some((plain, escaped)) = rest.split_once('%') {
        bytes.extend_from_slice(plain.as_bytes());
        bytes.push(u8::from_str_radix(escaped.get(..2)?, 16).ok()?);
        rest = escaped.get(2..)?;
    }
    bytes.extend_from_slice(rest.as_bytes());
    String::from_utf8(bytes)
        .ok()
        .filter(|text| !text.is_empty())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    // The form of a key is kept in people's logs: it must never change.
    #[test]
    fn odd_letters_of_a_number_are_escaped_in_the_key() {
        let identity = Identity::Usb {
            vendor: 0x1209,
            product: 0x0001,
            which: Which::SerialNumber("a:7 %é".to_owned()),
            interface: Some(0),
        };
        assert_eq!(identity.key(), "usb:1209:0001:sn=a%3A7%20%25%C3%A9:if=0");
    }

    #[test]
    fn texts_that_are_no_keys_are_refused() {
        for wrong in [
            "",
            "usb",
            "usb:1209",
            "usb:1209:1:xx=1",
            "usb:1209:1:sn=",
            "usb:1209:1:sn=%4",
            "usb:1209:1:sn=1:if=x",
            "usb:1209:1:sn=1:if=1:2",
            "path:",
        ] {
            assert!(wrong.parse::<Identity>().is_err(), "{wrong}");
        }
    }

    proptest! {
        #[test]
        fn a_key_reads_back_as_the_same_identity(vendor: u16, product: u16, number in "\\PC{1,20}", interface: Option<u8>) {
            let identity = Identity::Usb { vendor, product, which: Which::SerialNumber(number), interface };
            prop_assert_eq!(identity.key().parse(), Ok(identity));
        }
    }
}
