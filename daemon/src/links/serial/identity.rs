//! Which device a scale is, wherever it is plugged in.
//!
//! A path such as `/dev/ttyUSB0` is only the order of plugging in. A USB device is known by vendor,
//! product and serial number; one without a serial number by the port it hangs on.

use super::attached::{Attached, Hardware, UsbDevice};

/// Which device a scale is, wherever it is plugged in.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Identity {
    /// A device on the USB.
    Usb {
        /// The vendor number.
        vendor: u16,
        /// The product number.
        product: u16,
        /// Which of all devices of that make.
        which: Which,
        /// Which of the serial ports of one device, where it has several.
        interface: Option<u8>,
    },
    /// Whatever is at this path.
    Path(String),
}

/// Which of several devices of one make.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Which {
    /// The one with this serial number.
    SerialNumber(String),
    /// The one on this USB port: bus, then the port of every hub on the way (`1-1.4`).
    PortChain(String),
}

/// What looking for a device found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Search<'a> {
    /// Exactly this one.
    Found(&'a Attached),
    /// It is not here.
    Missing,
    /// It may be one of these; a person must say.
    ///
    /// Two devices with the same serial number, or, for one without a serial number, a device of the
    /// same make on another port.
    Ambiguous(Vec<&'a Attached>),
}

impl Identity {
    /// Returns the identity of an attached port.
    #[must_use]
    pub fn of(port: &Attached) -> Self {
        match &port.hardware {
            Hardware::Usb(device) => {
                Self::of_usb(device).unwrap_or_else(|| Self::Path(port.path.clone()))
            }
            Hardware::Bluetooth | Hardware::Plain => Self::Path(port.path.clone()),
        }
    }

    fn of_usb(device: &UsbDevice) -> Option<Self> {
        let which = match (&device.serial_number, &device.port_chain) {
            (Some(number), _) if !number.trim().is_empty() => Which::SerialNumber(number.clone()),
            (_, Some(chain)) => Which::PortChain(chain.clone()),
            (_, None) => return None,
        };
        Some(Self::Usb {
            vendor: device.vendor,
            product: device.product,
            which,
            interface: device.interface,
        })
    }
}

/// Finds a device among the attached ports.
#[must_use]
pub fn find<'a>(identity: &Identity, ports: &'a [Attached]) -> Search<'a> {
    let same: Vec<&Attached> = ports
        .iter()
        .filter(|port| Identity::of(port) == *identity)
        .collect();
    match same.as_slice() {
        [port] => Search::Found(port),
        [] => {
            let alike: Vec<&Attached> = ports
                .iter()
                .filter(|port| is_alike(identity, port))
                .collect();
            if alike.is_empty() {
                Search::Missing
            } else {
                Search::Ambiguous(alike)
            }
        }
        _ => Search::Ambiguous(same),
    }
}

/// Tells whether a port could be a device that nothing but its place tells apart.
fn is_alike(identity: &Identity, port: &Attached) -> bool {
    match (identity, Identity::of(port)) {
        (
            Identity::Usb {
                vendor,
                product,
                which: Which::PortChain(_),
                interface,
            },
            Identity::Usb {
                vendor: other_vendor,
                product: other_product,
                which: Which::PortChain(_),
                interface: other_interface,
            },
        ) => (*vendor, *product, *interface) == (other_vendor, other_product, other_interface),
        (Identity::Usb { .. } | Identity::Path(_), _) => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn adapter(path: &str, serial_number: Option<&str>, port_chain: &str) -> Attached {
        Attached {
            path: path.to_owned(),
            hardware: Hardware::Usb(UsbDevice {
                vendor: 0x1209,
                product: 0x0001,
                serial_number: serial_number.map(str::to_owned),
                port_chain: Some(port_chain.to_owned()),
                interface: Some(0),
                words: None,
            }),
        }
    }

    fn plain(path: &str) -> Attached {
        Attached {
            path: path.to_owned(),
            hardware: Hardware::Plain,
        }
    }

    /// Looks for what `key` names; returns the paths found, or why not.
    fn look(key: &str, ports: &[Attached]) -> String {
        let identity: Identity = key.parse().unwrap();
        match find(&identity, ports) {
            Search::Found(port) => port.path.clone(),
            Search::Missing => "missing".to_owned(),
            Search::Ambiguous(ports) => {
                let paths: Vec<&str> = ports.iter().map(|port| port.path.as_str()).collect();
                format!("one of {}", paths.join(" "))
            }
        }
    }

    const NUMBERED: &str = "usb:1209:0001:sn=A7:if=0";
    const PLACED: &str = "usb:1209:0001:at=1-1.4:if=0";

    #[test]
    fn a_serial_number_is_found_on_any_port() {
        let ports = [
            plain("/dev/ttyS0"),
            adapter("/dev/ttyUSB3", Some("A7"), "2-1"),
            adapter("/dev/ttyUSB0", Some("B2"), "1-1.4"),
        ];
        assert_eq!(look(NUMBERED, &ports), "/dev/ttyUSB3");
    }

    #[test]
    fn a_device_without_a_number_is_known_by_its_port() {
        let ports = [
            adapter("/dev/ttyUSB0", None, "1-1.3"),
            adapter("/dev/ttyUSB1", None, "1-1.4"),
        ];
        assert_eq!(look(PLACED, &ports), "/dev/ttyUSB1");
    }

    #[test]
    fn a_device_without_a_number_on_another_port_is_asked_about() {
        assert_eq!(
            look(PLACED, &[adapter("/dev/ttyUSB0", None, "1-1.3")]),
            "one of /dev/ttyUSB0"
        );
    }

    #[test]
    fn two_devices_with_one_number_are_asked_about() {
        let ports = [
            adapter("/dev/ttyUSB0", Some("A7"), "1-1"),
            adapter("/dev/ttyUSB1", Some("A7"), "1-2"),
        ];
        assert_eq!(look(NUMBERED, &ports), "one of /dev/ttyUSB0 /dev/ttyUSB1");
    }

    #[test]
    fn another_number_is_another_device() {
        assert_eq!(
            look(NUMBERED, &[adapter("/dev/ttyUSB0", Some("B2"), "1-1.4")]),
            "missing"
        );
        assert_eq!(
            look(PLACED, &[adapter("/dev/ttyUSB0", Some("B2"), "1-1.4")]),
            "missing"
        );
    }

    #[test]
    fn a_blank_number_is_no_number() {
        assert_eq!(
            Identity::of(&adapter("/dev/ttyUSB0", Some(" "), "1-1.4")).key(),
            PLACED
        );
    }

    #[test]
    fn a_plain_port_is_its_path() {
        assert_eq!(
            look("path:/dev/ttyS0", &[plain("/dev/ttyS0")]),
            "/dev/ttyS0"
        );
        assert_eq!(look("path:/dev/ttyS1", &[plain("/dev/ttyS0")]), "missing");
    }
}
