//! Sizes a recipe for one jar.

mod contents;
mod count;
mod listing;
mod needs;
mod size;

pub use contents::{Contents, contents};
pub use count::count_text;
pub use listing::{Line, listing};
pub use needs::{Need, needs};
pub use size::{Goal, SizeError, Sizing, size};
