//! The rehearsal scale: a simulated scale and a simulated hand that ship with the product.
//!
//! A rehearsal runs everything a real batch runs: this link sends the bytes of a text-line scale,
//! so its readings come through the same decoder, settler and session. The person is simulated
//! too, told only by a [`Wish`] what is wanted and seeing only what a person sees.
//!
//! ```text
//! Wish ──▶ Hand ──Deed──▶ World: Stream ─▶ Table ─▶ what stands on the Pan ──▶ Indicator ──▶ text line ──▶ bytes
//! ```
//!
//! All of it but [`RehearsalLink`] is pure: no clock and no I/O, time comes in as a `Duration`.
//! Whatever is random comes from the plan's seed, so the same seed and wishes give the same run.
//!
//! | file | idea |
//! |---|---|
//! | `plan`, `outfit`, `script` | what a rehearsal is made of, what suits it, and what goes wrong in it |
//! | `wish`, `hand`, `addition` | what the person is told, does and remembers |
//! | `world`, `table`, `pour`, `stream` | the bench: vessels, one tilt of the bottle, what is still falling |
//! | `pan`, `text` | the load cell, its indicator, its line |
//! | `link` | the thin edge to the bench's clock |

mod addition;
mod hand;
mod link;
mod outfit;
mod pan;
mod plan;
mod pour;
mod script;
mod stream;
mod table;
mod text;
mod wish;
mod world;

#[cfg(test)]
mod tests;

pub use hand::{Deed, Hand};
pub use link::{RehearsalLink, Told};
pub use outfit::outfit;
pub use pan::{Pan, Shown};
pub use plan::{Habits, Liquid, PanSpec, PlanError, RehearsalPlan, Slip};
pub use script::{Fault, Trouble};
pub use stream::{FALL, Stream};
pub use text::{BANNER, render};
pub use wish::{Part, Vessel, Wish};
pub use world::{Happening, Truth, World};
