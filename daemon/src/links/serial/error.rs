//! Why a port cannot be opened, in plain words.

use std::error::Error;

use tarehand_protocol::api::TroubleWord;

use super::access::{Holder, Owner};
use super::meddlers::Meddler;
use crate::links::outlet::Stopped;

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
    #[error("`{path}` is in use {}", by_whom(by.as_ref()))]
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
    /// Returns the word for it, which stays the same.
    pub(super) const fn kind(&self) -> TroubleWord {
        match self {
            Self::Missing { .. } => TroubleWord::Missing,
            Self::Ambiguous { .. } => TroubleWord::Ambiguous,
            Self::Another { .. } => TroubleWord::AnotherDevice,
            Self::InUse { .. } => TroubleWord::InUse,
            Self::NotPermitted { .. } => TroubleWord::NotPermitted,
            Self::NotSerial { .. } => TroubleWord::NotAScale,
            Self::System { .. } => TroubleWord::NotOpened,
            Self::Unread { .. } => TroubleWord::NothingReadable,
        }
    }

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
            Self::InUse { by: Some(by), .. } if by.is_us() => {
                Some("each scale has one place: take another device here".to_owned())
            }
            Self::InUse { by: Some(by), .. } if by.meddler().is_some() => {
                by.meddler().map(Meddler::hint)
            }
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

fn by_whom(holder: Option<&Holder>) -> String {
    match holder {
        Some(holder) if holder.is_us() => "by this service already".to_owned(),
        Some(holder) => format!("by another program ({holder})"),
        None => "by another program".to_owned(),
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

#[cfg(test)]
mod tests {
    use super::*;

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

    #[track_caller]
    fn check_in_use(process: u32, expected: &str) {
        let error = OpenError::InUse {
            path: "/dev/ttyUSB0".to_owned(),
            by: Some(Holder {
                process,
                name: Some("terminal".to_owned()),
            }),
        };
        assert_eq!(error.to_string(), expected);
    }

    #[test]
    fn who_has_a_busy_port_is_named() {
        let other = std::process::id() + 1;
        check_in_use(
            other,
            &format!("`/dev/ttyUSB0` is in use by another program (`terminal`, process {other})"),
        );
        check_in_use(
            std::process::id(),
            "`/dev/ttyUSB0` is in use by this service already",
        );
    }

    #[test]
    fn a_service_of_the_system_that_has_a_port_is_told_to_leave_and_not_closed() {
        let by = Holder {
            process: std::process::id() + 1,
            name: Some("ModemManager".to_owned()),
        };
        let path = "/dev/ttyUSB0".to_owned();
        let hint = OpenError::InUse { path, by: Some(by) }.hint();
        assert_eq!(hint, Some(Meddler::Modems.hint()));
    }

    #[test]
    fn the_systems_reason_is_added_in_full() {
        let error = OpenError::System {
            path: "/dev/ttyUSB0".to_owned(),
            source: serialport::Error::new(serialport::ErrorKind::Unknown, "I/O error"),
        };
        assert_eq!(error.in_full(), "cannot open `/dev/ttyUSB0`: I/O error");
    }
}
