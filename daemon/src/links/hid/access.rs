//! Why a device cannot be opened, and the rule that mends it.

use rustix::fs::{Access, access};

use super::attached::Attached;

/// Where the rule belongs. Below 73, where the seat's access is given.
pub const RULE_FILE: &str = "/etc/udev/rules.d/70-tarehand.rules";

/// Returns the line of a udev rule that lets whoever sits at the machine open this device, and no other.
#[must_use]
pub fn rule(device: &Attached) -> String {
    let (vendor, product) = device.numbers;
    format!(
        "SUBSYSTEM==\"hidraw\", ATTRS{{idVendor}}==\"{vendor:04x}\", ATTRS{{idProduct}}==\"{product:04x}\", TAG+=\"uaccess\""
    )
}

/// Returns whether this user may read the device, without opening it.
#[must_use]
pub fn is_permitted(device: &Attached) -> bool {
    access(&device.path, Access::READ_OK) != Err(rustix::io::Errno::ACCESS)
}

/// Says what to do when a device may not be opened.
#[must_use]
pub fn hint(device: &Attached) -> String {
    format!(
        "put this line into {RULE_FILE} and plug the scale in again: {}",
        rule(device)
    )
}
