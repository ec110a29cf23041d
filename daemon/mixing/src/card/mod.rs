//! A recipe or a batch as a card to hand on: what goes in, in which order, with what care.
//!
//! A [`Card`] is a plain value; where it comes from and how it is written are kept apart.
//!
//! | file | idea |
//! |---|---|
//! | `value` | the card itself |
//! | `set_card` | the card of a set |
//! | `of_recipe`, `of_batch`, `of_set` | from a sized recipe, from a batch's journal, from a planned set |
//! | `steps` | steps in words |
//! | `parts` | the ratio in parts |
//! | `stand_ins` | what may replace what |
//! | `country`, `kitchen` | spoons and ounces of a country |
//! | `words`, `set_words` | numbers and sentences that every form shares |
//! | `form`, `text`, `markdown`, `json_ld` | the forms |

mod country;
mod form;
mod json_ld;
mod kitchen;
mod markdown;
mod of_batch;
mod of_recipe;
mod of_set;
mod parts;
mod set_card;
mod set_words;
mod stand_ins;
mod steps;
mod text;
mod value;
mod words;

pub use country::Country;
pub use form::Form;
pub use json_ld::{json_ld, set_json_ld};
pub use markdown::{markdown, set_markdown};
pub(crate) use of_batch::amount_of;
pub use of_batch::of_batch;
pub use of_recipe::of_recipe;
pub use of_set::of_set;
pub use set_card::{JarCard, PremixCard, SetCard, WorkLine};
pub use text::{set_text, text};
pub(crate) use value::tidy;
pub use value::{Card, CardStep, Caution, Counted, Line, Made, Portion};
pub use words::time;
pub(crate) use words::{grams, percent, trail};

#[cfg(test)]
mod set_tests;
#[cfg(test)]
mod tests;
