//! A scale on Bluetooth LE.
//!
//! # What a newcomer should know
//!
//! A scale that is awake calls out its name and what it offers. Whoever connects to it finds *services*
//! with *characteristics*, and subscribes to the one that tells the weight; from then on the scale sends
//! a *notification* or *indication* of a few bytes for each weight. Some scales put the weight into what they call out.
//!
//! The system's Bluetooth service does all that for us, over the system's message bus. It never says that it is
//! gone, it remembers what is far away, repeats what is old, and waits for a minute where a person would give up.
//! [`RadioLink`] hides this from the bench:
//!
//! ```text
//!   open bus ─▶ find radio ─▶ scan ─▶ connect ─▶ prepare ─▶ listen
//!      ▲            ▲                    │           │         │
//!      │ dead       │                    └───────────┴─────────┴─▶ let go
//!      └────────────┴──────────────────── wait ◀────────────────────┘
//! ```
//!
//! | file | reason to exist |
//! |---|---|
//! | `named`, `pick` | which scale a person means, and which of those in reach that is; pure |
//! | `plan` | what is to be heard of it |
//! | `course` | the picture above: what to do next, given what happened; pure |
//! | `freshness` | stale values, doubles, silence; pure |
//! | `trouble`, `fault` | what is wrong, in plain words, from what the service says |
//! | `gate` | whether the bus answers at all, before the library connects to it |
//! | `limits` | how long everything may take |
//! | `radio`, `scale`, `feature` | the calls to the service, each with a limit |
//! | `session`, `link`, `outlet` | doing what the course says, on a thread of its own |
//! | `list` | the scales a person can choose from |
//!
//! # What it promises
//!
//! - A radio that is switched off is never switched on.
//! - Every end is noticed within a few seconds, also those of which no event tells.
//! - What was kept from before a gap never passes for a weight now.
//! - After each trouble the scale is let go of, and found and discovered anew.
//! - Each change is said once, with what to do about it.
//!
//! # What it cannot know
//!
//! A scale sleeps to save its battery; asleep and out of reach look alike. When another program reads the
//! same characteristic, the answer looks like a notification; it is as fresh as one.

mod course;
mod fault;
mod feature;
mod freshness;
mod gate;
mod limits;
mod link;
mod list;
mod named;
mod outlet;
mod pick;
mod plan;
mod radio;
mod scale;
mod session;
mod trouble;

pub use feature::FINEST;
pub use freshness::Piece;
pub use link::RadioLink;
pub use list::list;
pub use named::{Address, Named, ParseNamedError};
pub use pick::Seen;
pub use plan::Plan;
pub use trouble::Trouble;
