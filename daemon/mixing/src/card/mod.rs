//! A recipe or a batch as a card to hand on: what goes in, in which order, with what care.
//!
//! A [`Card`] is a plain value; where it comes from and how it is written are kept apart.
//!
//! | file | idea |
//! |---|---|
//! | `value` | the card itself |
//! | `of_recipe`, `of_batch` | from a sized recipe, from a batch's journal |
//! | `steps` | steps in words |
//! | `parts` | the ratio in parts |
//! | `country`, `kitchen` | spoons and ounces of a country |
//! | `words` | numbers and sentences that every form shares |
//! | `form`, `text`, `markdown`, `json_ld` | the forms |

mod country;
mod form;
mod json_ld;
mod kitchen;
mod markdown;
mod of_batch;
mod of_recipe;
mod parts;
mod steps;
mod text;
mod value;
mod words;

pub use country::Country;
pub use form::Form;
pub use json_ld::json_ld;
pub use markdown::markdown;
pub use of_batch::of_batch;
pub use of_recipe::of_recipe;
pub use text::text;
pub use value::{Card, CardStep, Caution, Counted, Line, Made, Portion};

#[cfg(test)]
mod tests;
