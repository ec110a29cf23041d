//! Who may open a device node, and who holds it, without opening it.
//!
//! Opening a serial port raises its control lines, which resets many home-made scales. So a list of
//! devices never opens one: it looks at the node's group and mode, at the system's table of file locks
//! and at the open files of those processes this user may see.

use std::fs;
use std::os::unix::fs::MetadataExt;
use std::path::Path;

use super::meddlers::Meddler;

/// A program that holds a device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Holder {
    /// Its process number.
    pub process: u32,
    /// Its name, where the system tells.
    pub name: Option<String>,
}

impl Holder {
    /// Returns which service of the system it is, if it is one that reaches for adapters.
    #[must_use]
    pub fn meddler(&self) -> Option<Meddler> {
        self.name.as_deref().and_then(Meddler::named)
    }

    /// Tells whether it is this very program.
    #[must_use]
    pub fn is_us(&self) -> bool {
        self.process == std::process::id()
    }
}

impl std::fmt::Display for Holder {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match &self.name {
            Some(name) => write!(f, "`{name}`, process {}", self.process),
            None => write!(f, "process {}", self.process),
        }
    }
}

/// Whom a device node belongs to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Owner {
    /// Members of this group may open it; a group without a name is its number.
    Group(String),
    /// Only the system's administrator may.
    Administrator,
}

impl Owner {
    /// Returns what a person can do to be allowed.
    #[must_use]
    pub fn hint(&self) -> String {
        match self {
            Self::Group(group) => format!(
                "add yourself to group `{group}` (`sudo usermod -aG {group} $USER`), then log out and in again"
            ),
            Self::Administrator => {
                "only the administrator may open it: a udev rule must give it to a group you are in"
                    .to_owned()
            }
        }
    }
}

/// Returns whom the node at `path` belongs to.
pub(super) fn owner(path: &str) -> Owner {
    let groups = fs::read_to_string("/etc/group").unwrap_or_default();
    match fs::metadata(path) {
        Ok(node) => owner_by(node.gid(), node.mode(), &groups),
        Err(_) => Owner::Administrator,
    }
}

/// Returns whom a node belongs to by its group's number, its mode, and the text of the group file.
fn owner_by(group: u32, mode: u32, groups: &str) -> Owner {
    const GROUP_MAY_READ_AND_WRITE: u32 = 0o060;
    const ADMINISTRATORS: u32 = 0;
    if group == ADMINISTRATORS || mode & GROUP_MAY_READ_AND_WRITE != GROUP_MAY_READ_AND_WRITE {
        return Owner::Administrator;
    }
    Owner::Group(group_name(groups, group).unwrap_or_else(|| group.to_string()))
}

/// Finds the name of a group in the text of the group file (group(5): `name:password:number:members`).
fn group_name(groups: &str, number: u32) -> Option<String> {
    groups.lines().find_map(|line| {
        let mut fields = line.split(':');
        let name = fields.next()?;
        (fields.nth(1)?.parse() == Ok(number)).then(|| name.to_owned())
    })
}

/// Tells whether this user may open the node at `path`.
pub(super) fn is_permitted(path: &str) -> bool {
    use rustix::fs::Access;
    rustix::fs::access(path, Access::READ_OK | Access::WRITE_OK) != Err(rustix::io::Errno::ACCESS)
}

/// Returns the program that holds the device at `path`, as far as this user may see.
pub(super) fn holder(path: &str) -> Option<Holder> {
    let process = lock_holder(path).or_else(|| open_holder(path))?;
    let name = fs::read_to_string(format!("/proc/{process}/comm"));
    Some(Holder {
        process,
        name: name.ok().map(|name| name.trim().to_owned()),
    })
}

fn lock_holder(path: &str) -> Option<u32> {
    let node = fs::metadata(path).ok()?;
    let locks = fs::read_to_string("/proc/locks").ok()?;
    holder_of_lock(
        &locks,
        rustix::fs::major(node.dev()),
        rustix::fs::minor(node.dev()),
        node.ino(),
    )
}

/// Finds the process that locks a file in the text of the lock table.
///
/// proc_locks(5): `1: FLOCK ADVISORY WRITE 5437 08:01:2359475 0 EOF`, where the file is the device numbers
/// of its file system in hexadecimal and its inode in decimal.
fn holder_of_lock(locks: &str, major: u32, minor: u32, inode: u64) -> Option<u32> {
    let file = format!("{major:02x}:{minor:02x}:{inode}");
    locks.lines().find_map(|line| {
        let fields: Vec<&str> = line.split_whitespace().collect();
        match fields.as_slice() {
            // A waiting lock has an arrow in front, and holds nothing.
            [_, "FLOCK", _, _, process, place, ..] if *place == file => process.parse().ok(),
            _ => None,
        }
    })
}

fn open_holder(path: &str) -> Option<u32> {
    let node = fs::canonicalize(path).ok()?;
    fs::read_dir("/proc").ok()?.flatten().find_map(|entry| {
        let process = entry.file_name().to_str()?.parse().ok()?;
        holds(&entry.path(), &node).then_some(process)
    })
}

/// Tells whether a process has a file open; a process of another user seems to have none.
fn holds(process: &Path, node: &Path) -> bool {
    let Ok(files) = fs::read_dir(process.join("fd")) else {
        return false;
    };
    files
        .flatten()
        .any(|file| fs::read_link(file.path()).is_ok_and(|target| target == node))
}

#[cfg(test)]
mod tests {
    use super::*;

    // The form of group(5).
    #[test]
    fn the_group_of_a_node_is_named() {
        let groups = "root:x:0:\ndialout:x:20:kim,sam\nplugdev:x:46:\n";
        let group = |name: &str| Owner::Group(name.to_owned());
        assert_eq!(owner_by(20, 0o20_660, groups), group("dialout"));
        assert_eq!(owner_by(46, 0o20_664, groups), group("plugdev"));
        assert_eq!(owner_by(986, 0o20_660, groups), group("986"));
    }

    #[test]
    fn a_group_that_could_not_open_the_node_either_is_not_offered() {
        let groups = "root:x:0:\ndialout:x:20:kim,sam\n";
        assert_eq!(owner_by(20, 0o20_600, groups), Owner::Administrator);
        assert_eq!(owner_by(20, 0o20_640, groups), Owner::Administrator);
        assert_eq!(owner_by(0, 0o20_660, groups), Owner::Administrator);
    }

    // The example of the manual page proc_locks(5), with one line of our own.
    #[test]
    fn the_holder_of_a_lock_is_read_from_the_lock_table() {
        let locks = "1: POSIX  ADVISORY  READ  5433 08:01:7864448 128 128\n\
                     2: FLOCK  ADVISORY  WRITE 2001 08:01:7864554 0 EOF\n\
                     3: FLOCK  ADVISORY  WRITE 1568 00:2f:32388 0 EOF\n\
                     3: -> FLOCK  ADVISORY  WRITE 1570 00:2f:32389 0 EOF\n";
        assert_eq!(holder_of_lock(locks, 0x00, 0x2f, 32388), Some(1568));
        assert_eq!(holder_of_lock(locks, 0x00, 0x2f, 32389), None);
        assert_eq!(holder_of_lock(locks, 0x08, 0x01, 7_864_448), None);
    }

    #[test]
    fn an_open_file_of_our_own_is_seen_without_a_lock() {
        let file = tempfile::NamedTempFile::new().unwrap();
        let path = file.path().to_str().unwrap();
        assert_eq!(
            holder(path).map(|holder| holder.process),
            Some(std::process::id())
        );
        let path = file.into_temp_path();
        assert_eq!(holder(path.to_str().unwrap()), None);
    }
}
