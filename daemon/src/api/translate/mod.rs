//! From domain types to the messages of the API, by hand, so that neither drags the other.
//!
//! One file for each kind of message. What they share: `action` says what a step is, `words` has grams, states and cues.

mod action;
mod card;
mod compare;
mod concern;
mod contents;
mod drawn;
mod entry;
mod happened;
mod jars;
mod kept;
mod label;
mod plan;
mod plot;
mod question;
mod reading;
mod recipe;
mod record;
mod remark;
mod rescue;
mod shelf;
mod sized;
mod taps;
mod thinning;
mod view;
mod words;

pub use card::{adopted_recipe, shared_card, shared_set};
pub(in crate::api) use compare::{compared, trails};
pub use concern::{concern_lines, unlike_its_record};
pub(in crate::api) use contents::{amendments, jar_now};
pub(in crate::api) use drawn::drawn;
pub use entry::entry_text;
pub use happened::entry_said;
pub use jars::{doing_among, jar_lines, question_about_jars};
pub use kept::{kept_batch, moving};
pub use label::label_said;
pub use plan::plan_answer;
pub use plot::plot;
pub use question::question_view;
pub use reading::{no_weight_line, reading_line, rejected_line};
pub use recipe::{changed_lines, choice_line, choice_lines, diagnostic_line, measures_said};
pub use record::{record, summary_of_head};
pub use remark::remark_line;
pub use rescue::{option_text, rescue_answer};
pub use shelf::shelf_stock;
pub use sized::sized_procedure;
pub(crate) use taps::taps_heard;
pub use view::{bottle, doing, steps};
pub use words::{batch_state, cue_line, cue_text, verdict_word};

#[cfg(test)]
mod tests;
