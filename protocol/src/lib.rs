//! What two parties of Tarehand must agree on.
//!
//! Exact masses ([`Mass`]) and what a scale said ([`Reading`]); how bytes of a scale become
//! readings ([`scale`]); and the messages of the service's API ([`api`]).
//!
//! This crate does no I/O and knows no clock.

pub mod api;
pub mod decimal;
pub mod mass;
pub mod reading;
pub mod scale;

pub use decimal::Decimal;
pub use mass::{Mass, MassUnit};
pub use reading::{Basis, Motion, NoWeight, Reading, Sent, Weighed};
