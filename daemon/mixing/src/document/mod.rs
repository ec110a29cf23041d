//! TOML files as a person writes them: read whole, with all their problems at once.
//!
//! | file | idea |
//! |---|---|
//! | `sources` | the texts a check works on |
//! | `table`, `quantity` | known fields, and quantities in them |
//! | `problems` | everything there is to say about one file |

mod problems;
mod quantity;
mod sources;
mod table;

pub use sources::{Source, Sources};

pub(crate) use problems::Problems;
pub(crate) use quantity::quantity;
pub(crate) use table::{Fields, tables};
