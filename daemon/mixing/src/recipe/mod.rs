//! Recipes: what a person writes, checked and turned into exact shares.
//!
//! [`check`] takes the texts of a folder ([`Sources`]) and returns either a [`Recipe`] or every
//! reason why it is none, each with its file, line and column.
//!
//! | file | idea |
//! |---|---|
//! | `raw`, `fields`, `amount`, `written` | a file: as it lies there, then with every field understood |
//! | `names`, `choice`, `stand_in`, `exchange` | what a name means, by choice and by what is to be had |
//! | `shares`, `convert`, `resolve` | amounts as micrograms and exact shares |
//! | `decant` | what may come before and after some of the mix leaves the jar |
//! | `build`, `model` | the checked recipe |
//! | `check`, `many`, `every` | one recipe, a folder's, and every way one can be chosen |
//! | `remarks` | warnings and notes on one that can be made |

mod amount;
mod build;
mod check;
mod choice;
mod convert;
mod decant;
mod every;
mod exchange;
mod fields;
mod many;
mod model;
mod names;
mod raw;
mod remarks;
mod resolve;
mod shares;
mod stand_in;
mod written;

pub use amount::{ParseAmountError, WrittenAmount};
pub use check::{Checked, Settings, check};
pub use every::{ask_each, check_every_option, left_to_choose};
pub use many::{CheckedMany, CheckedOne, check_many};
pub use model::Recipe;
pub use stand_in::Replaced;

pub(crate) use model::{DecantDose, Dose, RecipeStepKind, Tolerance};
pub(crate) use shares::percent;

use crate::document::Sources;
