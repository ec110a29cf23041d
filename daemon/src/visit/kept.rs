//! What outlives the service: whether the page is open, and who was let in.

use std::io;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::visitors::Visitors;
use crate::whole_file::{self, Unread};

/// Who can reach the page.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Place {
    /// This machine alone.
    Here,
    /// The local network.
    Room,
}

/// Where the page is open.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Opening {
    /// Who can reach it.
    pub place: Place,
    /// At which port.
    pub port: u16,
}

/// What is kept.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Kept {
    #[serde(default)]
    pub(super) opening: Option<Opening>,
    /// The port of before, so that a closed page opens where it was known.
    #[serde(default)]
    pub(super) last_port: Option<u16>,
    #[serde(default)]
    pub(super) visitors: Visitors,
}

/// Why it cannot be kept or read.
#[derive(Debug, thiserror::Error)]
pub enum KeptError {
    /// It cannot be read or written.
    #[error("{}: {source}", path.display())]
    File {
        /// Which file.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// It was changed by something else.
    #[error("{} is not what the service wrote: {why}", path.display())]
    Strange {
        /// Which file.
        path: PathBuf,
        /// What is wrong.
        why: String,
    },
}

impl KeptError {
    /// Returns what the person can do about it.
    #[must_use]
    pub const fn hint(&self) -> &'static str {
        match self {
            Self::File { .. } => "see who owns that folder, and whether the disk is full",
            Self::Strange { .. } => {
                "put the file away; everybody who was let in says a new code then"
            }
        }
    }
}

impl Kept {
    /// Reads what was kept; nothing where there is no file.
    pub(super) fn read(path: &Path) -> Result<Self, KeptError> {
        whole_file::read_json(path).map_err(|unread| match unread {
            Unread::File(source) => file(path)(source),
            Unread::Strange(why) => KeptError::Strange {
                path: path.to_owned(),
                why,
            },
        })
    }

    /// Writes it whole or not at all, for its owner's eyes.
    pub(super) fn write(&self, path: &Path) -> Result<(), KeptError> {
        whole_file::write_json(path, self).map_err(file(path))
    }
}

fn file(path: &Path) -> impl FnOnce(io::Error) -> KeptError {
    move |source| KeptError::File {
        path: path.to_owned(),
        source,
    }
}

#[cfg(test)]
mod tests {
    use std::fs;
    use std::os::unix::fs::PermissionsExt as _;

    use super::*;
    use crate::visit::Role;

    #[test]
    fn what_is_kept_is_read_again_and_is_private() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("page.json");
        assert_eq!(Kept::read(&path).unwrap(), Kept::default());
        let mut kept = Kept {
            opening: Some(Opening {
                place: Place::Room,
                port: 4870,
            }),
            ..Kept::default()
        };
        let since = "2026-01-02T03:04:05Z".to_owned();
        kept.visitors
            .enter("tablet", Role::Operator, since, "secret".to_owned());
        kept.write(&path).unwrap();
        assert_eq!(Kept::read(&path).unwrap(), kept);
        let mode = path.metadata().unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o600);
    }

    #[test]
    fn a_file_that_was_changed_is_said_to_be() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("page.json");
        fs::write(&path, "{").unwrap();
        let error = Kept::read(&path).unwrap_err();
        assert!(
            error.to_string().contains("page.json is not what"),
            "{error}"
        );
    }
}
