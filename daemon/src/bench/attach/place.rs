//! Where a scale is found.

use std::fmt;
use std::path::PathBuf;

use serde::{Deserialize, Serialize};

use crate::links::bluetooth::Named;
use crate::links::serial;

/// Where a scale is found.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Place {
    /// At the serial port of this path.
    Port(String),
    /// By radio.
    Radio(Named),
    /// A USB device of the weighing page, by its path or key.
    Usb(String),
    /// A capture that is played back.
    Capture(PathBuf),
}

impl Place {
    /// Returns the key under which the log keeps what was told about the scale there, as far as it is known by now.
    #[must_use]
    pub fn key(&self) -> Option<String> {
        match self {
            Self::Port(path) => Some(serial::key_of(path)),
            Self::Radio(named) => named.key(),
            // The device is known when it is opened.
            Self::Usb(_) | Self::Capture(_) => None,
        }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Port(path) => f.write_str(path),
            Self::Radio(named) => named.fmt(f),
            Self::Usb(said) => f.write_str(said),
            Self::Capture(path) => path.display().fmt(f),
        }
    }
}
