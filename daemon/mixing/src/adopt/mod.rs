//! A new version of a recipe from what was judged in a batch of it.
//!
//! Amounts that a person judged during the run (by eye, in a range, by thinning, by count) become the
//! grams that were really poured, in proportion to what went in of the rest. Everything else stays as it
//! is written, comments too, unless its meaning hangs on the total, which has grown.
//!
//! | file | idea |
//! |---|---|
//! | `outcome` | what a batch says of each step of its recipe |
//! | `inline` | steps on one line each become tables, where there is room for comments |
//! | `written` | what the recipe's file says of each step |
//! | `plan` | which amounts become which grams |
//! | `rewrite` | the file's text with those grams in it |

mod inline;
mod outcome;
mod plan;
mod rewrite;
mod written;

use crate::provenance::Provenance;
use crate::session::{BatchState, Book, Record};

/// A new version of a recipe.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Adopted {
    /// The text of its file.
    pub text: String,
    /// What was judged and stays as it was written, and why; one sentence each.
    pub notes: Vec<String>,
}

/// Why no new version can be made.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum AdoptError {
    /// The batch is not complete.
    #[error("the batch is not complete")]
    NotComplete,
    /// Nothing in it was judged by the person.
    #[error("nothing was judged in this batch: the recipe is as definite as it can be")]
    NothingJudged,
    /// What was judged cannot be taken over.
    #[error("nothing that was judged can be taken over: {}", .0.join("; "))]
    NothingToTake(Vec<String>),
    /// There is nothing to set the judged amounts against.
    #[error("nothing inside the ratio was poured, so there is nothing to set the rest against")]
    NothingInside,
    /// The batch was made with a choice, which its recipe leaves open.
    #[error("the batch was made with {}, and its recipe leaves that open", .0.join(" and "))]
    Chosen(Vec<String>),
    /// The record's text of the recipe is no TOML.
    #[error("the recipe that the record keeps cannot be read: {0}")]
    Unreadable(String),
    /// The record's text does not have the steps of the batch.
    #[error("the recipe that the record keeps has other steps than the batch")]
    OtherSteps,
}

impl AdoptError {
    /// Returns what to do next.
    #[must_use]
    pub const fn hint(&self) -> &'static str {
        match self {
            Self::NotComplete => "finish the batch first; one that was given up cannot be adopted",
            Self::NothingJudged | Self::NothingToTake(_) | Self::NothingInside => {
                "only ranges, `some`, drops and thinning are judged; see `tarehand log show`"
            }
            Self::Chosen(_) => {
                "what was judged holds for what was chosen alone: write the ingredients into the steps of a recipe of its own"
            }
            Self::Unreadable(_) | Self::OtherSteps => {
                "each step must be one table, under its own [[step]] or in one array; see what was poured with `tarehand log show`"
            }
        }
    }
}

/// Returns the new version of a recipe from a batch of it.
///
/// Sized to what was really in the jar, it gives the amounts that were judged, and the rest in the
/// recipe's own ratio.
///
/// # Errors
/// When the batch is not complete, nothing in it was judged, or the text is not that of its recipe.
pub fn adopt(
    recipe: &str,
    origin: Provenance<'_>,
    book: &Book,
    records: &[Record],
) -> Result<Adopted, AdoptError> {
    if book.state() != BatchState::Complete {
        return Err(AdoptError::NotComplete);
    }
    let outcome = outcome::of(book, records);
    let mut document = rewrite::parse(recipe)?;
    // A choice that only a premix leaves is made anew whenever the recipe is.
    if document.contains_key("choice") {
        let choices = book.procedure().choices.iter();
        let chosen = choices.map(|choice| format!("{}={}", choice.name, choice.chosen));
        return Err(AdoptError::Chosen(chosen.collect()));
    }
    let written = written::of(&document, outcome.steps.len())?;
    let plan = plan::of(&outcome, &written)?;
    rewrite::write(&mut document, &plan, origin);
    Ok(Adopted {
        text: rewrite::finish(&document, origin),
        notes: plan.notes,
    })
}

#[cfg(test)]
mod tests;
