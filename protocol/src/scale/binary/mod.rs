//! Frames that are bits rather than text.
//!
//! ```text
//! bytes ─ sync ─▶ frame ─ marks, check ─▶ states, number, scaling, unit ─▶ Reading
//! packet ───────────▲
//! ```
//!
//! A [`Binary`] layout is a part of a profile. What it does not know of a scale it does not read:
//! a unit, a digit or a weight that it has no word for is rejected with its bytes.

mod bits;
mod check;
mod layout;
mod marks;
mod number;
mod reader;
mod sync;

pub use bits::Bits;
pub use check::{Check, Crc, Place, Sum};
pub use layout::{Binary, Constant, Frames, Scaling, State, UnitField};
pub(super) use number::signed;
pub use number::{Form, Number, Order};
pub(super) use reader::Reader;
