//! Sizes a recipe for one jar.
//!
//! | file | idea |
//! |---|---|
//! | `size` | from a recipe and a goal to a procedure in grams |
//! | `count` | drops and spoons as a person says them |
//! | `contents` | what a batch takes up in its jar |
//! | `needs` | what it draws from the shelf, premixes taken apart |

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
