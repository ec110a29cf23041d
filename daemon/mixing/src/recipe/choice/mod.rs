//! What a recipe leaves to choose: names in its steps that stand for one ingredient or another.
//!
//! | file | idea |
//! |---|---|
//! | `written` | `[choice.…]` as it lies there |
//! | `agree` | whether the options of a choice go together, and with the rest |
//! | `choose` | one option taken, and the steps that follow it |

mod agree;
mod choose;
mod written;

pub(super) use choose::{Refused, choose};
pub(super) use written::{WrittenChoice, read};

#[cfg(test)]
mod tests;
