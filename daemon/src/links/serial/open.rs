//! Opening a port of this machine, and saying plainly why it cannot be opened.

use std::error::Error;
use std::fs;
use std::os::unix::fs::FileTypeExt;
use std::time::Duration;

use rustix::fs::{Mode, OFlags};

use super::access::{self, Holder, Owner};
use super::attached::{self, Attached};
use super::outlet::Stopped;
use super::port::{Port, SystemPort};
use super::settings::Settings;

/// Why a scale's port cannot be opened.
#[derive(Debug, thiserror::Error)]
pub enum OpenError {
    /// There is nothing.
    #[error("no scale at `{place}`")]
    Missing {
        /// The path, or the key of the device.
        place: String,
    },
    /// It may be one of several devices.
    #[error("`{place}` may be any of these: {}", candidates.join(", "))]
    Ambiguous {
        /// The key of the device.
        place: String,
        /// The paths it may be at.
        candidates: Vec<String>,
    },
    /// The scale is away, and something else is where it was.
    #[error("another device is at `{path}` now: {words}")]
    Another {
        /// Where the scale was.
        path: String,
        /// What is there.
        words: String,
    },
    /// Another program has it.
    #[error("`{path}` is in use by another program{}", by.as_ref().map(|by| format!(" ({by})")).unwrap_or_default())]
    InUse {
        /// Where it is.
        path: String,
        /// Which program, where the system tells.
        by: Option<Holder>,
    },
    /// This user may not open it.
    #[error("you may not open `{path}`")]
    NotPermitted {
        /// Where it is.
        path: String,
        /// Who may.
        owner: Owner,
    },
    /// It is something else.
    #[error("`{path}` is not a serial device")]
    NotSerial {
        /// Where it is.
        path: String,
    },
    /// The system refuses for another reason.
    #[error("cannot open `{path}`")]
    System {
        /// Where it is.
        path: String,
        /// What the system says.
        source: serialport::Error,
    },
    /// Nothing readable came at any speed that was tried.
    #[error("`{path}` is open, but nothing readable comes at any of the speeds tried: {}", tried.join(", "))]
    Unread {
        /// Where it is.
        path: String,
        /// The settings tried.
        tried: Vec<String>,
    },
}

impl OpenError {
    /// Returns what happened and, where the system gave a reason, that reason.
    pub(super) fn in_full(&self) -> String {
        match self.source() {
            Some(source) => format!("{self}: {source}"),
            None => self.to_string(),
        }
    }

    /// Returns what the person can do about it.
    #[must_use]
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Missing { .. } => {
                Some("plug the scale in and switch it on; it is found by itself".to_owned())
            }
            Self::Ambiguous { .. } => Some(
                "name the one you mean by its path, or plug it into the port it was on before"
                    .to_owned(),
            ),
            Self::Another { .. } => Some(
                "plug the scale in again; or choose this device from the list of scales if it is the one you mean"
                    .to_owned(),
            ),
            Self::InUse { .. } => {
                Some("close that program; the scale is then taken by itself".to_owned())
            }
            Self::NotPermitted { owner, .. } => Some(owner.hint()),
            Self::NotSerial { .. } => {
                Some("take the path of a serial device from the list of scales".to_owned())
            }
            Self::System { .. } => Some("unplug the scale and plug it in again".to_owned()),
            Self::Unread { .. } => Some(
                "see that the scale is on and sends by itself, or look up its speed in its menu"
                    .to_owned(),
            ),
        }
    }
}

/// Why there is no open port.
pub(super) enum Closed {
    /// The link is to end.
    Stopped,
    /// It cannot be opened.
    Error(OpenError),
}

impl From<Stopped> for Closed {
    fn from(_: Stopped) -> Self {
        Self::Stopped
    }
}

impl From<OpenError> for Closed {
    fn from(error: OpenError) -> Self {
        Self::Error(error)
    }
}

/// The machine a link runs on: what is attached, and how to open it.
///
/// The real one is [`System`]; tests script another.
pub(super) trait Host: Send {
    /// Returns the ports that are attached now.
    fn attached(&self) -> Vec<Attached>;

    /// Opens the port at `path` for us alone.
    ///
    /// # Errors
    ///
    /// [`OpenError`] says why not.
    fn open(&self, path: &str, settings: Settings) -> Result<Box<dyn Port>, OpenError>;
}

/// This machine.
#[derive(Clone, Copy, Debug)]
pub(super) struct System;

impl Host for System {
    fn attached(&self) -> Vec<Attached> {
        attached::attached()
    }

    fn open(&self, path: &str, settings: Settings) -> Result<Box<dyn Port>, OpenError> {
        const WRITE_WAIT: Duration = Duration::from_millis(100);
        let port = serialport::new(path, settings.speed)
            .data_bits(settings.data_bits)
            .parity(settings.parity)
            .stop_bits(settings.stop_bits)
            .timeout(WRITE_WAIT)
            .open()
            .map_err(|source| why(path, source))?;
        Ok(Box::new(SystemPort::new(port)))
    }
}

fn why(path: &str, source: serialport::Error) -> OpenError {
    use serialport::ErrorKind;
    use std::io;
    let path = path.to_owned();
    match source.kind {
        // Both the exclusive mode of a terminal and its lock report this kind.
        ErrorKind::NoDevice => OpenError::InUse {
            by: access::holder(&path),
            path,
        },
        ErrorKind::Io(io::ErrorKind::NotFound) => OpenError::Missing { place: path },
        ErrorKind::Io(io::ErrorKind::PermissionDenied) => OpenError::NotPermitted {
            owner: access::owner(&path),
            path,
        },
        ErrorKind::Io(_) | ErrorKind::InvalidInput | ErrorKind::Unknown => {
            if is_terminal(&path) {
                OpenError::System { path, source }
            } else {
                OpenError::NotSerial { path }
            }
        }
    }
}

/// Tells whether a node is a terminal; called only when opening failed, as this opens it too.
fn is_terminal(path: &str) -> bool {
    let is_device = fs::metadata(path).is_ok_and(|node| node.file_type().is_char_device());
    if !is_device {
        return false;
    }
    let flags = OFlags::RDWR | OFlags::NOCTTY | OFlags::NONBLOCK | OFlags::CLOEXEC;
    match rustix::fs::open(path, flags, Mode::empty()) {
        Ok(node) => rustix::termios::isatty(node),
        // What cannot even be opened is left to the system's own words.
        Err(_) => true,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(path: &str, expected: &str) {
        match System.open(path, Settings::default()) {
            Ok(_) => panic!("`{path}` opened"),
            Err(error) => {
                assert_eq!(error.to_string(), expected);
                assert!(error.hint().is_some());
            }
        }
    }

    #[test]
    fn what_cannot_be_opened_is_said_in_plain_words() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("notes");
        let link = folder.path().join("scale");
        fs::write(&file, "").unwrap();
        std::os::unix::fs::symlink(folder.path().join("nothing"), &link).unwrap();
        let text = |path: &std::path::Path| path.to_str().unwrap().to_owned();

        check(&text(&link), &format!("no scale at `{}`", link.display()));
        check(
            &text(&file),
            &format!("`{}` is not a serial device", file.display()),
        );
        check(
            &text(folder.path()),
            &format!("`{}` is not a serial device", folder.path().display()),
        );
        check("/dev/null", "`/dev/null` is not a serial device");
    }

    #[test]
    fn a_missing_permission_names_the_group() {
        let error = OpenError::NotPermitted {
            path: "/dev/ttyUSB0".to_owned(),
            owner: Owner::Group("dialout".to_owned()),
        };
        assert_eq!(error.to_string(), "you may not open `/dev/ttyUSB0`");
        assert_eq!(
            error.hint().as_deref(),
            Some(
                "add yourself to group `dialout` (`sudo usermod -aG dialout $USER`), then log out and in again"
            )
        );
    }
}
