//! Sizes a recipe for one jar.

mod contents;
mod count;
mod needs;
mod size;

pub(crate) use contents::volume_of;
pub use contents::{Contents, contents};
pub use count::{Count, count_text};
pub(crate) use needs::TakenApart;
pub use needs::{Need, needs};
pub use size::{Changed, Goal, SizeError, Sizing, size};
