//! Teaching scales that nobody described: random ones of bits, and lines of text.

mod chance;
mod lines;
mod random;
mod script;
mod three_hundred;
