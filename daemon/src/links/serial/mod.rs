//! A scale on a serial port.
//!
//! # What a newcomer should know
//!
//! A serial line is a wire on which bytes arrive one after another, with no marks of their own for where
//! a message begins. Speed, parity and the rest ([`Settings`]) must be those of the scale, or other
//! bytes arrive. Today the wire is nearly always a USB adapter, which may be pulled out at any time and
//! comes back under another name.
//!
//! [`SerialLink`] hides all this from the bench. It runs on a thread of its own and does one thing:
//!
//! ```text
//!        ┌─────────── wait 0.2 to 1 s ◀──────────┐
//!        ▼                                       │
//!      find ──▶ open ──▶ try settings ──▶ read ──┘  gone
//!    by identity  alone    if asked      until gone
//! ```
//!
//! | file | reason to exist |
//! |---|---|
//! | `link` | what a person wants, and the thread that provides it |
//! | `seat` | the loop above |
//! | `reader` | reading an open port; what a hang-up, a stall or a signal looks like; the poll command |
//! | `identity`, `key` | which device it is, wherever it is plugged in, and how the log writes that; pure |
//! | `attached` | what is plugged in now |
//! | `open`, `error` | opening, and plain words for why not |
//! | `access` | who may open a node and who holds it, without opening it |
//! | `meddlers` | services of the system that reach for adapters, and how they are told to leave |
//! | `presence` | when to look again, and what of it to say; pure |
//! | `settings`, `settings_search`, `by_text` | how the bits are read, finding that out by trying, and the judge of text |
//! | `list` | the devices a person can choose from |
//! | `port`, `time`, `outlet` | the three seams to the world: an open port, the clock, the bench |
//!
//! # What it promises
//!
//! - Bytes arrive in order, each chunk with the bench time at which it was read.
//! - Old bytes never pass for new ones. What waits in the system when the port is opened is thrown away.
//!   So is what piled up while nobody read for half a second, and the bench is told
//!   ([`LinkEvent::Skipped`](super::LinkEvent::Skipped)).
//! - Each change is said once: that it opened, that it is gone and why, with what to do about it.
//! - The port is closed before it is looked for again, else the system gives the scale another name.
//! - It ends within a tenth of a second or so of being told to.
//!
//! # What it cannot know
//!
//! Opening a port raises its control lines, and many a home-made scale resets on that: every
//! [`LinkEvent::Opened`](super::LinkEvent::Opened) may mean a lost tare. Bytes that were in the wire when it was pulled out are lost.
//! A pseudo-terminal, as tests use it, keeps no parity, so that is never read back and compared.

mod access;
mod attached;
mod by_text;
mod error;
mod identity;
mod key;
mod link;
mod list;
mod meddlers;
mod open;
mod port;
mod presence;
mod reader;
mod seat;
mod settings;
mod settings_search;
mod time;

#[cfg(test)]
mod tests;

pub use access::{Holder, Owner};
pub use attached::{Attached, Hardware, UsbDevice};
pub use error::OpenError;
pub use identity::{Identity, Search, Which, find};
pub use key::ParseIdentityError;
pub use link::{Line, SerialLink, Wanted};
pub use list::{Access, Listed, key_of, list};
pub use meddlers::{Meddler, meddlers};
pub use settings::{DataBits, Parity, ParseSettingsError, Settings, StopBits};
pub use settings_search::{Guess, Judge, SettingsSearch};
