//! What a scale says of itself when it is asked: its feature reports.
//!
//! Only a call of the kernel that is no reading and no writing asks for one (`HIDIOCGFEATURE`, Linux `hidraw.rst`), and
//! the library makes it. A device that answers nothing is read all the same.

use std::ffi::CString;
use std::path::Path;

use hidapi::HidApi;
use tarehand_protocol::Mass;
use tarehand_protocol::scale::hid::Reports;

use super::attached::Attached;

/// More than any feature report of the weighing page has, its id included.
const LONGEST: usize = 64;

/// Asks the device at a path for the feature report of an id; zero where its reports have none.
pub(super) type Ask = fn(&Path, u8) -> Option<Vec<u8>>;

/// What a scale says of itself.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct About {
    pub(super) division: Option<Mass>,
    pub(super) capacity: Option<Mass>,
}

/// Asks a scale for what its descriptor says that it can tell.
pub(super) fn about(device: &Attached, ask: Ask) -> About {
    let Ok(reports) = Reports::find(&device.descriptor) else {
        return About::default();
    };
    let told = |id: Option<u8>| ask(&device.path, id?);
    About {
        division: told(reports.division_id()).and_then(|report| reports.division(&report)),
        capacity: told(reports.capacity_id()).and_then(|report| reports.capacity(&report)),
    }
}

/// Asks the kernel.
pub(super) fn ask(path: &Path, id: u8) -> Option<Vec<u8>> {
    // The library takes a path that is text for granted.
    let text = path.to_str()?;
    let path = CString::new(text).ok()?;
    let api = HidApi::new().ok()?;
    let device = api.open_path(&path).ok()?;
    let mut report = vec![0; LONGEST];
    if let Some(first) = report.first_mut() {
        *first = id;
    }
    let count = device
        .get_feature_report(&mut report)
        .inspect_err(|error| tracing::debug!(%error, id, "the scale does not tell of itself"))
        .ok()?;
    report.truncate(count);
    // A report without an id begins behind the place of one.
    let from = usize::from(id == 0);
    report.get(from..).map(<[u8]>::to_vec)
}

#[cfg(test)]
mod tests {
    use super::super::attached::Kind;
    use super::*;

    /// Report 3 is the data; 1 has the unit and the scaling of a step, 4 those of the limit and the limit (HID Point of
    /// Sale usage tables, attribute and data limit reports).
    const DESCRIPTOR: &[u8] = &[
        0x05, 0x8d, 0x09, 0x20, 0xa1, 0x01, 0x15, 0x00, 0x75, 0x08, 0x95, 0x01, //
        0x85, 0x03, 0x09, 0x32, 0xa1, 0x02, 0x09, 0x70, 0x81, 0x02, 0x09, 0x50, 0x81, 0x02, //
        0x15, 0x80, 0x09, 0x41, 0x81, 0x02, 0x15, 0x00, 0x75, 0x10, 0x09, 0x40, 0x81, 0x02,
        0xc0, //
        0x85, 0x01, 0x09, 0x30, 0xa1, 0x02, 0x75, 0x08, 0x09, 0x50, 0xb1, 0x02, //
        0x15, 0x80, 0x09, 0x41, 0xb1, 0x02, 0x15, 0x00, 0xc0, //
        0x85, 0x04, 0x09, 0x34, 0xa1, 0x02, 0x09, 0x50, 0xb1, 0x02, //
        0x15, 0x80, 0x09, 0x41, 0xb1, 0x02, 0x15, 0x00, 0x75, 0x10, 0x09, 0x40, 0xb1, 0x02, 0xc0,
        0xc0,
    ];

    fn device() -> Attached {
        Attached {
            path: "/dev/null".into(),
            key: String::new(),
            name: String::new(),
            numbers: (0, 0),
            descriptor: DESCRIPTOR.to_vec(),
            kind: Kind::Scale,
        }
    }

    // Unit 2 is the gram, the scaling -1: a step of 0.1 g; 3000 g in grams, 0x0bb8.
    #[test]
    fn a_scale_that_is_asked_tells_its_division_and_its_capacity() {
        let said: Ask = |_, id| match id {
            1 => Some(vec![1, 2, 0xff]),
            4 => Some(vec![4, 2, 0, 0xb8, 0x0b]),
            _ => None,
        };
        let expect = About {
            division: "0.1 g".parse().ok(),
            capacity: "3000 g".parse().ok(),
        };
        assert_eq!(about(&device(), said), expect);
    }

    #[test]
    fn a_device_that_does_not_answer_tells_nothing() {
        assert_eq!(about(&device(), |_, _| None), About::default());
        // No HID device: the call is refused.
        assert_eq!(about(&device(), ask), About::default());
        assert_eq!(ask(Path::new("/nothing/here"), 1), None);
    }
}
