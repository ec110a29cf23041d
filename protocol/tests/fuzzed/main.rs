//! What a fuzzer found and what it kept is tried again, without a fuzzer.

mod kept;
mod properties;
