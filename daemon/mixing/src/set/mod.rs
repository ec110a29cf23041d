//! Sets: the jars of one pour, what they are poured on, and how much of each that takes.
//!
//! [`check`] takes the text of a set and the texts of the recipes beside it and returns either a [`Set`] or every
//! reason why it is none. What has to be mixed for it is [`plan`](crate::plan)'s work.
//!
//! | file | idea |
//! |---|---|
//! | `fields`, `shares`, `cover`, `surface` | what is written of shares, yields and surfaces |
//! | `jar`, `choose` | one jar of it, and what it chooses |
//! | `check`, `model` | the whole, checked |

mod check;
mod choose;
mod cover;
mod fields;
mod jar;
mod model;
mod shares;
mod surface;

pub use check::{CheckedSet, check, is_recipe, is_set, left_to_choose};
pub use cover::{Cover, CoverBasis};
pub use model::{Basis, Portion, Set, SetJar};
pub use surface::{Outline, Surface};

#[cfg(test)]
mod tests;
