//! Scales that are USB devices of the weighing page (HID Point of Sale usage tables, page 0x8D).
//!
//! ```text
//! report descriptor ─ items ─ walk ─▶ Reports ─ with each input report ─▶ Reading
//! ```
//!
//! Where weight, unit, scaling and status lie in a report is found by their usages in the
//! device's own descriptor.

mod descriptor;
mod draft;
mod field;
mod item;
mod report;

pub use descriptor::NotAScale;
pub use report::Reports;
