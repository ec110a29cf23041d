//! Scales that are USB devices of the weighing page, through the kernel's `hidraw`.
//!
//! | file | idea |
//! |---|---|
//! | `attached` | which devices hang on this machine, and what their descriptors say |
//! | `access` | why a device cannot be opened, and the rule that mends it |
//! | `feature` | what a scale says of itself when it is asked: division and capacity |
//! | `link` | open, read whole reports, look again when it is gone |

mod access;
mod attached;
mod feature;
mod link;

pub use access::{RULE_FILE, hint, is_permitted, rule};
pub use attached::{Attached, Kind, Machine};
pub use link::{HidLink, Wanted, is_hid};
