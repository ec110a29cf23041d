//! Labels for jars: what is in it, since when, until when, and with what care, at real size for a sheet of labels.
//!
//! | file | idea |
//! |---|---|
//! | `content` | what a label says, from a batch's record |
//! | `now` | what it says of a jar that was opened again |
//! | `keeps` | until when the mix is good, and what that rests on |
//! | `words` | the content in sections of text, in the order they are read and in the order they matter |
//! | `sheet`, `sheet_file` | a sheet of labels in millimetres, and its file |
//! | `font` | one font, measured exactly |
//! | `wrap` | a text in lines no wider than there is room |
//! | `code` | the QR code, and how much fits into it |
//! | `frame` | where the mark and the code stand |
//! | `layout` | where every line of text stands |
//! | `pages` | labels on pages |
//! | `remark` | what is not on a label as it should be |
//! | `svg`, `pdf` | the same layout, written |

mod code;
mod content;
mod font;
mod frame;
mod keeps;
mod layout;
mod now;
mod pages;
mod pdf;
mod remark;
mod sheet;
mod sheet_file;
mod svg;
mod words;
mod wrap;

pub use content::{Content, Measured, Part, Within};
pub use keeps::{Days, Keeps, ParseDaysError, keeps};
pub use layout::{CodeBox, Label, Line, SMALLEST_PT};
pub use now::{CameBy, InJar, Since};
pub use pages::{Labels, NoRoom, Placed, labels};
pub use pdf::pdf;
pub use remark::{Remark, least_code_mm, letter_named};
pub use sheet::{Place, Sheet, Size};
pub use sheet_file::USUAL;
pub use svg::svg;
pub use words::{About, Says};

#[cfg(test)]
mod tests;
