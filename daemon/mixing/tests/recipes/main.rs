//! Recipes, shelves and sizing from the files under `fixtures/`.
#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot read its fixtures stops at once"
)]

mod bad;
mod concerns;
mod good;
mod names;
mod stock;
mod studio;
mod support;
mod wild;
