//! The HID devices that are attached now, and which of them are scales.

use std::fs;
use std::path::{Path, PathBuf};

use tarehand_protocol::scale::hid::{NotAScale, Reports};

/// The longest descriptor the kernel hands out (`HID_MAX_DESCRIPTOR_SIZE`).
const LONGEST_DESCRIPTOR: usize = 4096;

/// Where the kernel shows its devices.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Machine {
    /// One folder a device: `/sys/class/hidraw`.
    pub class: PathBuf,
    /// The nodes: `/dev`.
    pub nodes: PathBuf,
}

impl Default for Machine {
    fn default() -> Self {
        Self {
            class: PathBuf::from("/sys/class/hidraw"),
            nodes: PathBuf::from("/dev"),
        }
    }
}

/// A HID device that is attached now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Attached {
    /// Where it is now, for example `/dev/hidraw0`.
    pub path: PathBuf,
    /// Which device it is, for the log: the same wherever it is plugged in, where it has a serial number.
    pub key: String,
    /// What it calls itself.
    pub name: String,
    /// Its vendor and product numbers.
    pub numbers: (u16, u16),
    /// Its report descriptor.
    pub descriptor: Vec<u8>,
    /// What it is.
    pub kind: Kind,
}

/// What a HID device is, by its report descriptor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A scale.
    Scale,
    /// A keyboard; some that are sold as scales only type the weight.
    Keyboard,
    /// A scale whose reports cannot be read.
    Unreadable,
    /// Something else.
    Other,
}

impl Machine {
    /// Returns the devices that are attached now, in the order of their paths.
    ///
    /// A machine that shows none has none.
    #[must_use]
    pub fn attached(&self) -> Vec<Attached> {
        let Ok(folders) = fs::read_dir(&self.class) else {
            return Vec::new();
        };
        let mut found: Vec<Attached> = folders
            .flatten()
            .filter_map(|folder| self.device(&folder.path()))
            .collect();
        found.sort_by(|one, other| one.path.cmp(&other.path));
        found
    }

    fn device(&self, folder: &Path) -> Option<Attached> {
        let node = folder.file_name()?;
        let mut descriptor = fs::read(folder.join("device/report_descriptor")).ok()?;
        descriptor.truncate(LONGEST_DESCRIPTOR);
        let words = fs::read_to_string(folder.join("device/uevent")).unwrap_or_default();
        let word = |name: &str| {
            let mut lines = words.lines();
            lines.find_map(|line| line.strip_prefix(name)?.strip_prefix('='))
        };
        let numbers = numbers(word("HID_ID").unwrap_or_default())?;
        let place = match (word("HID_UNIQ"), word("HID_PHYS")) {
            (Some(serial), _) if !serial.is_empty() => serial,
            // Two alike without serial numbers are told apart by the socket they are in.
            (_, Some(phys)) => phys,
            (_, None) => "",
        };
        let (vendor, product) = numbers;
        Some(Attached {
            path: self.nodes.join(node),
            key: format!("hid:{vendor:04x}:{product:04x}:{place}"),
            name: word("HID_NAME")
                .unwrap_or("a device without a name")
                .to_owned(),
            numbers,
            kind: kind(&descriptor),
            descriptor,
        })
    }
}

/// Reads `0003:00001209:00000001`: bus, vendor, product.
fn numbers(id: &str) -> Option<(u16, u16)> {
    let mut parts = id.split(':').skip(1);
    let mut next = || {
        let number = u32::from_str_radix(parts.next()?, 16).ok()?;
        u16::try_from(number).ok()
    };
    Some((next()?, next()?))
}

fn kind(descriptor: &[u8]) -> Kind {
    match Reports::find(descriptor) {
        Ok(_) => Kind::Scale,
        Err(NotAScale::Keyboard) => Kind::Keyboard,
        Err(NotAScale::Other) => Kind::Other,
        Err(_) => Kind::Unreadable,
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// A weighing device by the standard's usages: id 3, status, unit, scaling, weight.
    pub(in crate::links::hid) const SCALE: &[u8] = &[
        0x05, 0x8d, 0x09, 0x20, 0xa1, 0x01, 0x85, 0x03, 0x09, 0x32, 0xa1, 0x02, 0x15, 0x00, 0x25,
        0x08, 0x75, 0x08, 0x95, 0x01, 0x09, 0x70, 0x81, 0x02, 0x25, 0x0c, 0x09, 0x50, 0x81, 0x02,
        0x15, 0x80, 0x25, 0x7f, 0x09, 0x41, 0x81, 0x02, 0x15, 0x00, 0x27, 0xff, 0xff, 0x00, 0x00,
        0x75, 0x10, 0x09, 0x40, 0x81, 0x02, 0xc0, 0xc0,
    ];
    const KEYBOARD: &[u8] = &[
        0x05, 0x01, 0x09, 0x06, 0xa1, 0x01, 0x05, 0x07, 0x19, 0xe0, 0x29, 0xe7, 0x15, 0x00, 0x25,
        0x01, 0x75, 0x01, 0x95, 0x08, 0x81, 0x02, 0xc0,
    ];

    /// A machine made of files.
    pub(in crate::links::hid) fn machine(folder: &Path) -> Machine {
        Machine {
            class: folder.join("class"),
            nodes: folder.join("dev"),
        }
    }

    pub(in crate::links::hid) fn plug(
        machine: &Machine,
        node: &str,
        uevent: &str,
        descriptor: &[u8],
    ) {
        let device = machine.class.join(node).join("device");
        fs::create_dir_all(&device).unwrap();
        fs::create_dir_all(&machine.nodes).unwrap();
        fs::write(device.join("uevent"), uevent).unwrap();
        fs::write(device.join("report_descriptor"), descriptor).unwrap();
    }

    #[test]
    fn scales_and_keyboards_are_told_apart_by_their_descriptors() {
        let folder = tempfile::tempdir().unwrap();
        let machine = machine(folder.path());
        assert_eq!(machine.attached(), [], "a machine without any");
        let scale = "HID_ID=0003:00001209:00000001\nHID_NAME=Trial Scale\nHID_UNIQ=0042\n";
        plug(&machine, "hidraw1", scale, SCALE);
        let typing =
            "HID_ID=0003:0000046D:0000C31C\nHID_NAME=Typing scale\nHID_PHYS=usb-1/input0\n";
        plug(&machine, "hidraw0", typing, KEYBOARD);
        plug(&machine, "hidraw2", "HID_ID=nonsense\n", &[0xff; 9]);
        let attached = machine.attached();
        let told: Vec<(&str, Kind)> = attached
            .iter()
            .map(|device| (device.key.as_str(), device.kind))
            .collect();
        let expect = [
            ("hid:046d:c31c:usb-1/input0", Kind::Keyboard),
            ("hid:1209:0001:0042", Kind::Scale),
        ];
        assert_eq!(told, expect);
        assert_eq!(attached[1].name, "Trial Scale");
    }
}
