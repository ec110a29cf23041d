//! Who comes to the bench page from a browser, and how they are let in.
//!
//! The socket is the owner's. A browser has no place there, so the service opens a port when it is asked to: on this machine alone,
//! or to the room. Whoever comes that way says a short code once, which the owner has on the screen, and keeps a
//! secret from then on. The secret travels in a header and never by itself, so no other page can use it.
//!
//! | file | reason to exist |
//! |---|---|
//! | `role` | what a visitor may do; pure |
//! | `code` | short codes: few tries, not for long, once; pure |
//! | `visitors` | who was let in; pure |
//! | `host` | which names and origins a request may come by; pure |
//! | `kept` | the file that outlives the service |
//! | `secret` | chance from the system |
//! | `streams` | how many streams of events they may have open |
//! | `reception` | all of it together, shared by the handlers |
//! | `listening` | the open port |

mod code;
mod host;
mod kept;
mod listening;
mod reception;
mod role;
pub mod secret;
mod streams;
mod visitors;

pub use code::{Code, CodeRefusal};
pub use host::is_own_origin;
pub use kept::{KeptError, Opening, Place};
pub use listening::OpenError;
pub use reception::{EnterError, Guest, Reception};
pub use role::{Caller, Role};
pub use streams::{Full, OpenStream, Streams};
pub use visitors::Visitor;
