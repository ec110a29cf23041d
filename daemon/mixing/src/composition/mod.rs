//! What is in every jar, cup and waste of each raw ingredient, from the ledger's transfers in the order of time.
//!
//! What is poured out of a jar is what the jar held at that moment, in its proportions; what was taken back goes back
//! as it came. All of it is whole micrograms: what does not come out even goes to the parts that lost most by it, so
//! that over all vessels every raw ingredient sums to nothing, exactly.
//!
//! | file | idea |
//! |---|---|
//! | `holding` | what one vessel holds, and how a part of it is taken |
//! | `movement` | a transfer as all vessels see it |
//! | `flow` | one movement after another |
//! | `source` | what comes from the shelf: out of which pack, and of what it is made |

mod flow;
mod holding;
mod movement;
mod source;
#[cfg(test)]
mod tests;

pub use flow::Holdings;
pub use holding::Holding;
pub use movement::{Moved, Movement, Place, mixture};
pub use source::{PackFacts, Packs, Part, Sources};
