//! A scale's own description: a TOML file a person writes, or teaching makes.
//!
//! ```toml
//! name    = "bench scale at the window"
//! shape   = "status-head"      # or pattern = '(?<weight>[-\d.]+)', or patterns = [...]
//! reports = "stream"           # stream, on-change, finished
//! unit    = "g"                # where the line has none
//!
//! [serial]
//! speed  = 2400
//! data   = 7
//! parity = "odd"
//! ```
//!
//! Other keys: `field`, `mark` (point, comma), `decimals`, `weight` (gross, net), `overload`
//! (told, zero), `division`, `capacity`, `lag`; `[frame]` with `ends`, `start`, `starts`,
//! `length`, `after`; `[states]` with lists of words; `[check]` with `rule`, `from`, `written`;
//! `[poll]` with `send` and `every`; `[serial]` with `stop`; `[bluetooth]` with `name`, `service`,
//! `characteristic`, `start`, `to`, `every`, `manufacturer`, `service-data`. Bytes are written with `\r`, `\n`,
//! `\t`, `\\` and `\x02` in single quotes.
//!
//! A scale that sends bits rather than text has `[binary]` in place of a shape or a pattern:
//!
//! ```toml
//! name = "six bytes"
//!
//! [binary]
//! frames = "stream"            # stream, packets (a notification or report each), silence
//! length = 6                   # all bytes of a frame
//! start  = '\xff'              # what every frame begins with; also `ends`
//!
//! [binary.weight]              # places count from 0 at the frame's first byte
//! at     = 2
//! length = 3
//! order  = "little"            # which byte comes first: little (the least one), big
//! form   = "bcd"               # unsigned, signed, sign-magnitude, bcd, medical, float
//! minus  = { at = 1, mask = 0x20 }
//! decimals = { at = 1, mask = 0x07 }   # or factor = "0.005", or exponent = { at = 4 }
//! at_most  = "3 kg"            # what was never seen is not believed; also `at_least`
//!
//! [binary.unit]                # or `unit` above, where it is always the same
//! at = 5
//! g  = 0x01
//! kg = [0x02, 0x03]
//!
//! [binary.states]              # also stable, zero, under, fault, blank, gross, net
//! moving = { at = 1, mask = 0x40 }
//! over   = { at = 1, mask = 0x80, is = 0x80 }
//! ```
//!
//! `[[binary.constant]]` with `at` and `bytes` names other bytes that never change.
//! `[binary.check]` has `rule` (xor, sum, complement, or the name of a CRC such as
//! `CRC-16/MODBUS`), `at`, `order`, and the bytes it covers: `from` and, exclusive, `until`. Below
//! zero, `at` and `until` count from the end.
//!
//! A pattern must match the whole frame. Its named groups are `weight`, `ounces` (the weight
//! then is in pounds), `tare`, `unit`, `sign`, `decimals`, `state`, `stability` and `basis`; the
//! last three are looked up in `[states]`.
//!
//! In code: `settings` is what a profile says, `read` (with `fields`, `bluetooth`, `binary`) and `render` (with `render_binary`) are from and to
//! text, both by `notation`.

mod binary;
mod bluetooth;
mod fields;
mod notation;
mod read;
mod render;
mod render_binary;
mod settings;

use std::fmt;
use std::ops::Range;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::pattern::Pattern;

pub use bluetooth::{Bluetooth, Notified, ParseUuidError, Source, Start, Uuid};
pub use settings::{DataBits, Layout, Overload, Poll, Reports, Serial, Settings, StopBits};

/// A checked profile and the text it came from.
#[derive(Clone, Debug)]
pub struct Profile {
    source: String,
    settings: Settings,
    patterns: Vec<Pattern>,
}

/// Something wrong in a profile's text.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct Problem {
    /// Which bytes of the text it is about.
    pub range: Range<usize>,
    /// What is wrong.
    pub message: String,
    /// What would be right.
    pub help: Option<String>,
}

impl Profile {
    /// Reads a profile.
    ///
    /// # Errors
    /// All problems of the text, in its order.
    pub fn parse(text: &str) -> Result<Self, Vec<Problem>> {
        let (settings, patterns) = read::read(text)?;
        Ok(Self {
            source: text.to_owned(),
            settings,
            patterns,
        })
    }

    /// Makes the profile that says these settings.
    ///
    /// # Errors
    /// The problems of the text that [`Settings::render`] writes.
    pub fn from_settings(settings: &Settings) -> Result<Self, Vec<Problem>> {
        Self::parse(&settings.render())
    }

    /// Returns the text it was read from, comments included.
    #[must_use]
    pub fn source(&self) -> &str {
        &self.source
    }

    /// Returns what it says.
    #[must_use]
    pub const fn settings(&self) -> &Settings {
        &self.settings
    }

    pub(super) fn patterns(&self) -> &[Pattern] {
        &self.patterns
    }
}

/// Equal when they say the same, however it is written.
impl PartialEq for Profile {
    fn eq(&self, other: &Self) -> bool {
        self.settings == other.settings
    }
}

impl Eq for Profile {}

/// As its source text, for the journal.
impl Serialize for Profile {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.source)
    }
}

impl<'de> Deserialize<'de> for Profile {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::parse(&text).map_err(|problems| serde::de::Error::custom(Joined(&problems)))
    }
}

struct Joined<'a>(&'a [Problem]);

impl fmt::Display for Joined<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the profile is wrong")?;
        for problem in self.0 {
            write!(f, "; {problem}")?;
        }
        Ok(())
    }
}
