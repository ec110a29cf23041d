//! Teaching scales that nobody described: random ones of bits, and lines of text.

#![expect(
    clippy::unwrap_used,
    reason = "a test's helpers fail by panicking, as its tests do"
)]
#![expect(
    clippy::cast_possible_truncation,
    reason = "random layouts cut numbers into bytes, as scales do"
)]

mod chance;
mod judge;
mod lines;
mod random;
mod script;
mod three_hundred;
