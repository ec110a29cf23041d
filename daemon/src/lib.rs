//! The service: everything of Tarehand that touches the world.
//!
//! ```text
//! links ─▶ bench ─▶ log, then api
//! ```
//!
//! | module | what it holds |
//! |---|---|
//! | [`links`] | how bytes of a scale arrive: serial, rehearsal |
//! | [`mod@bench`] | one task that owns a scale's readings, its session and its journal |
//! | [`log`] | one thread that owns the database: journal and ledger |
//! | [`journal`] | between the session's entries and the log's rows |
//! | [`api`] | the HTTP API: it translates and decides nothing |
//! | [`notices`] | desktop notices for what needs the person |
//! | [`service`] | one instance: lock, sockets, signals, watchdog |
//! | [`clock`], [`folders`] | the one clock; where things are kept |

pub mod api;
pub mod bench;
pub mod clock;
pub mod folders;
pub mod journal;
pub mod links;
pub mod log;
pub mod notices;
pub mod service;

pub use service::{ServeArgs, serve};
