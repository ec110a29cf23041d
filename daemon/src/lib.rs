//! The service: everything of Tarehand that touches the world.
//!
//! ```text
//! links ─▶ bench ─▶ log, then api
//! ```
//!
//! | module | what it holds |
//! |---|---|
//! | [`links`] | how bytes of a scale arrive: serial, USB, Bluetooth, a capture, a rehearsal |
//! | [`mod@bench`] | one task that owns a scale's readings, its session and its journal |
//! | [`log`] | one thread that owns the database: journal and ledger |
//! | [`journal`] | between the session's entries and the log's rows |
//! | [`contents`] | what is in a jar of each raw ingredient, out of which packs, through all jars before it |
//! | [`draws`] | what batches drew out of the packs of a shelf |
//! | [`mod@findable`] | what a batch can be found by beside its name |
//! | [`api`] | the HTTP API: it translates and decides nothing |
//! | [`page`] | what a browser is shown; its files are in `daemon/page` |
//! | [`visit`] | who comes from a browser, and how they are let in |
//! | [`notices`] | desktop notices for what needs the person |
//! | [`speech`] | a voice for faces that have none |
//! | [`service`] | one instance: lock, sockets, signals, watchdog |
//! | [`learnt`] | what is learnt from the log, and what the person said about that |
//! | [`folder`] | the recipe folder that faces without files of their own read and write |
//! | [`texts`] | which of the texts that a batch was made from can no longer be read |
//! | [`clock`], [`folders`], [`whole_file`] | the one clock; where things are kept; files written whole or not at all |

pub mod api;
pub mod bench;
pub mod clock;
pub mod contents;
pub mod draws;
pub mod findable;
pub mod folder;
pub mod folders;
pub mod journal;
pub mod learnt;
pub mod links;
pub mod log;
pub mod notices;
pub mod page;
pub mod service;
pub mod speech;
pub mod texts;
pub mod visit;
pub mod whole_file;

pub use service::{ServeArgs, serve};
