//! The serial ports that are attached now.

/// A serial port that is attached now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Attached {
    /// Where it is now, for example `/dev/ttyUSB0`.
    pub path: String,
    /// What it hangs on.
    pub hardware: Hardware,
}

impl Attached {
    /// Returns what it calls itself, or what it is.
    #[must_use]
    pub fn words(&self) -> &str {
        match &self.hardware {
            Hardware::Usb(device) => device
                .words
                .as_deref()
                .unwrap_or("USB serial device without a name"),
            Hardware::Bluetooth => "serial link over Bluetooth",
            Hardware::Plain => "serial port of the computer itself",
        }
    }
}

/// What a serial port hangs on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Hardware {
    /// A USB device: an adapter cable, a board, a scale with a USB socket.
    Usb(UsbDevice),
    /// A serial link over Bluetooth.
    Bluetooth,
    /// A port of the computer itself.
    ///
    /// The system lists those of its chip set whether or not there is a socket for them.
    Plain,
}

/// What a USB device says of itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UsbDevice {
    /// The vendor number.
    pub vendor: u16,
    /// The product number.
    pub product: u16,
    /// The serial number, where it has one.
    pub serial_number: Option<String>,
    /// The port it hangs on: bus, then the port of every hub on the way (`1-1.4`).
    pub port_chain: Option<String>,
    /// Which of the device's interfaces this port is.
    pub interface: Option<u8>,
    /// What it calls itself, ready to read.
    pub words: Option<String>,
}

/// Returns the serial ports that are attached now, in the order of their paths.
///
/// A system that cannot list them has none: a path can still be opened by name.
pub(super) fn attached() -> Vec<Attached> {
    // The listing below panics where there is no /sys (a bare container).
    if cfg!(target_os = "linux") && !std::path::Path::new("/sys/class/tty").is_dir() {
        return Vec::new();
    }
    let mut ports: Vec<Attached> = match serialport::available_ports() {
        Ok(ports) => ports
            .into_iter()
            .filter(|port| is_callout(&port.port_name))
            .map(Attached::from)
            .collect(),
        Err(error) => {
            tracing::debug!(%error, "the system does not list its serial ports");
            Vec::new()
        }
    };
    ports.sort_by(|left, right| left.path.cmp(&right.path));
    ports
}

/// Tells whether this is the one of a pair of paths that does not wait for a caller.
///
/// Some systems list every port twice, as `/dev/cu.NAME` and as `/dev/tty.NAME`, and opening the second
/// waits for a carrier that a scale never raises.
fn is_callout(path: &str) -> bool {
    !path.starts_with("/dev/tty.")
}

impl From<serialport::SerialPortInfo> for Attached {
    fn from(port: serialport::SerialPortInfo) -> Self {
        let hardware = match port.port_type {
            serialport::SerialPortType::UsbPort(usb) => Hardware::Usb(UsbDevice {
                vendor: usb.vid,
                product: usb.pid,
                words: words(usb.manufacturer, usb.product),
                serial_number: usb.serial_number,
                port_chain: usb.location.map(|location| location.to_string()),
                interface: usb.interface,
            }),
            serialport::SerialPortType::BluetoothPort => Hardware::Bluetooth,
            serialport::SerialPortType::PciPort | serialport::SerialPortType::Unknown => {
                Hardware::Plain
            }
        };
        Self {
            path: port.port_name,
            hardware,
        }
    }
}

/// Joins what a device says of its maker and itself, without saying the maker twice.
fn words(manufacturer: Option<String>, product: Option<String>) -> Option<String> {
    let given = |text: Option<String>| {
        text.map(|text| text.trim().to_owned())
            .filter(|text| !text.is_empty())
    };
    match (given(manufacturer), given(product)) {
        (Some(manufacturer), Some(product)) if product.starts_with(&manufacturer) => Some(product),
        (Some(manufacturer), Some(product)) => Some(format!("{manufacturer} {product}")),
        (one, other) => one.or(other),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(manufacturer: &str, product: &str, expected: Option<&str>) {
        let words = words(Some(manufacturer.to_owned()), Some(product.to_owned()));
        assert_eq!(words.as_deref(), expected);
    }

    #[test]
    fn a_device_is_called_what_it_calls_itself() {
        check(
            "Corner Shop",
            "Bench scale",
            Some("Corner Shop Bench scale"),
        );
        check(
            "Corner Shop",
            "Corner Shop scale",
            Some("Corner Shop scale"),
        );
        check("", "Bench scale", Some("Bench scale"));
        check(" ", "", None);
    }

    #[test]
    fn listing_the_ports_of_this_machine_does_not_fail() {
        let ports = attached();
        assert!(ports.is_sorted_by(|left, right| left.path < right.path));
    }
}
