//! How the bytes of a scale become readings.
//!
//! ```text
//! bytes ─ framing ─▶ frame ─ parity, check ─▶ body ─ shape or pattern ─▶ numbers ─ unit, tare ─▶ Reading
//! ```
//!
//! That is the way of text. Frames of bits ([`binary`]), indications of Bluetooth's Weight Scale
//! Service ([`weight_service`]) and reports of USB scales ([`hid`]) have shorter ones of their own.
//!
//! A [`Decoder`] is the tolerant reader or the reader a [`Profile`] describes. A reading needs a
//! recognised shape, a known unit and a whole frame; everything else is rejected with its bytes
//! and a reason ([`Rejected`]), and nothing is ever guessed. [`Doctor`] and [`line_settings`] look at
//! what was rejected and say what may be wrong.
//!
//! | file | idea |
//! |---|---|
//! | `frame`, `parity`, `check` | where a frame begins and ends, and whether it is whole |
//! | `shapes`, `pattern`, `text` | lines of text: documented shapes, a person's expression, the reader of both |
//! | `figures`, `sense`, `words`, `zero` | what a shape found, and how it is to be taken |
//! | `binary`, `weight_service`, `hid` | frames of bits and the two open standards |
//! | `exact`, `octets` | numbers of bits, and text by eight bytes at a time |
//! | `decoder`, `decoded`, `why` | bytes in, readings or reasons out |
//! | `doctor`, `line_settings` | what may be wrong with a line |
//! | `profile` | a scale's own description |
//! | `capture`, `teach` | what a scale sent, kept; and what is learnt from it |

pub mod binary;
pub mod capture;
mod check;
mod decoded;
mod decoder;
mod doctor;
mod exact;
mod figures;
mod frame;
pub mod hid;
pub mod line_settings;
mod octets;
mod parity;
mod pattern;
pub mod profile;
mod sense;
mod shapes;
pub mod teach;
mod text;
pub mod weight_service;
mod why;
mod words;
mod zero;

pub use check::{Check, Rule, Written};
pub use decoded::{Decoded, Raw, Rejected};
pub use decoder::Decoder;
pub use doctor::{Doctor, Finding};
pub use exact::Factor;
pub use frame::Framing;
pub use parity::Parity;
pub use profile::{Problem, Profile, Settings};
pub use sense::{Kind, Mark, States};
pub use shapes::Shape;
pub use why::Why;
