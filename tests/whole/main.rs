//! Whole-program tests, one binary, a module per topic.
#![expect(
    clippy::unwrap_used,
    reason = "helpers of tests, where a failed step ends the test"
)]

mod bad_recipes;
mod double;
mod killed;
mod oracles;
mod support;
