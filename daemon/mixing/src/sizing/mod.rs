//! Sizes a recipe for one jar.

mod contents;
mod count;
mod listing;
mod needs;
mod size;

pub(crate) use contents::volume_of;
pub use contents::{Contents, contents};
pub(crate) use count::Count;
pub use count::count_text;
pub use listing::{Line, listing};
pub(crate) use needs::TakenApart;
pub use needs::{Need, needs};
pub use size::{Changed, Goal, SizeError, Sizing, size};
