//! The serial devices attached to this machine, for a person to choose from.

use super::access::{self, Holder, Owner};
use super::attached::{self, Attached, Hardware};
use super::identity::Identity;

/// A serial port a person may choose.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Listed {
    /// Where it is, and what it hangs on.
    pub port: Attached,
    /// Which device it is, for the log.
    pub key: String,
    /// Whether it can be opened now, as far as can be told without opening it.
    pub access: Access,
}

/// Whether a port can be opened, as far as can be told without opening it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Access {
    /// Nobody seems to have it.
    Free,
    /// This very service has it.
    Ours,
    /// Another program has it.
    InUse(Holder),
    /// This user may not open it.
    NotPermitted(Owner),
}

impl Listed {
    /// Tells whether a scale may be on it.
    ///
    /// A port of the computer itself is listed by the system even where no socket belongs to it, so it
    /// is offered only to a person who asks for it by path.
    #[must_use]
    pub const fn may_be_scale(&self) -> bool {
        match self.port.hardware {
            Hardware::Usb(_) | Hardware::Bluetooth => true,
            Hardware::Plain => false,
        }
    }

    /// Returns what the person can do when it cannot be opened.
    #[must_use]
    pub fn hint(&self) -> Option<String> {
        match &self.access {
            Access::Free | Access::Ours => None,
            Access::InUse(holder) => Some(match holder.meddler() {
                Some(meddler) => meddler.hint(),
                None => format!("close the program that uses it ({holder})"),
            }),
            Access::NotPermitted(owner) => Some(owner.hint()),
        }
    }
}

/// Returns the serial devices attached now, those that may be scales first.
///
/// No device is opened for it: opening resets many home-made scales.
#[must_use]
pub fn list() -> Vec<Listed> {
    let mut listed: Vec<Listed> = attached::attached()
        .into_iter()
        .map(|port| Listed {
            key: Identity::of(&port).key(),
            access: access_to(&port.path),
            port,
        })
        .collect();
    listed.sort_by_key(|listed| !listed.may_be_scale());
    listed
}

/// Returns the key of the device at `path`, as [`Identity::key`] writes it, without opening it.
#[must_use]
pub fn key_of(path: &str) -> String {
    // A link such as those under /dev/serial/by-id leads to the path that the system lists.
    let real = std::fs::canonicalize(path).ok();
    let real = real.as_ref().and_then(|real| real.to_str()).unwrap_or(path);
    let known = attached::attached()
        .into_iter()
        .find(|port| port.path == real);
    known.map_or_else(
        || Identity::Path(path.to_owned()).key(),
        |port| Identity::of(&port).key(),
    )
}

/// Looks at who may open and who holds the node at `path`.
pub(super) fn access_to(path: &str) -> Access {
    if !access::is_permitted(path) {
        return Access::NotPermitted(access::owner(path));
    }
    match access::holder(path) {
        None => Access::Free,
        Some(holder) if holder.is_us() => Access::Ours,
        Some(holder) => Access::InUse(holder),
    }
}
