//! The recipe folder: files of a person that faces without files of their own, such as the page, read and write.
//!
//! The owner names it once (`tarehand page --recipes DIR`); no visitor can. Only what is named like a recipe is read or
//! written, and only in that folder itself.
//!
//! | file | reason to exist |
//! |---|---|
//! | `stem` | names that stay inside the folder; pure |
//! | `chosen` | which folder it is; kept over a restart |
//! | `files` | what lies there, and putting a text in the place of another |

mod chosen;
mod files;
mod stem;

pub use chosen::{Chosen, FolderError, RecipeFolder};
pub use files::{Kind, Paper, Papers, Replaces, Unread, mark};
pub use stem::{Stem, StemError};
