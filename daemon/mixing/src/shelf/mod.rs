//! The shelf: the ingredients at hand and what is known about them.
//!
//! | file | idea |
//! |---|---|
//! | `data`, `form`, `price`, `date` | what is known of one ingredient |
//! | `pack`, `stock`, `stretch`, `low` | packs, what is left of each, and below what it is little |
//! | `dry_test` | what became of a film of one lot |
//! | `stand_in` | what may replace an ingredient |
//! | `parse`, `kept`, `film_fields` | reading the file |
//! | `edit` | changing it as its owner would |
//! | `warning` | what is worth a second look |

mod data;
mod date;
mod dry_test;
mod edit;
mod film_fields;
mod form;
mod kept;
mod low;
mod pack;
mod parse;
mod price;
mod stand_in;
pub mod stock;
mod stretch;
mod warning;

use std::collections::BTreeMap;

pub(crate) use data::one_count;
pub use data::{Missing, ShelfItem, weight};
pub use date::{Date, Moment, ParseDateError, ParseMomentError};
pub use dry_test::{DryResult, DryTest};
pub use edit::{Edit, EditError};
pub use form::Form;
pub use low::Low;
pub use pack::{Known, Pack, known_since, oldest_first};
pub use price::{ParsePriceError, Price, Rate};
pub use stand_in::StandIn;
pub(crate) use stand_in::ratio as stand_in_ratio;
pub use stock::{Draw, Left};
pub use stretch::{Shortened, Stretch, shortened};
pub use warning::{Warning, WarningKind, warnings};

use crate::diagnostic::Diagnostic;
use crate::document::Source;
use crate::units::Measures;

/// The ingredients at hand, by key.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Shelf {
    items: BTreeMap<String, ShelfItem>,
}

impl Shelf {
    /// Reads a shelf file; what can be read is kept, and every problem is said.
    ///
    /// The measures are asked only where a stock is given in fluid ounces.
    #[must_use]
    pub fn parse(source: &Source, measures: &Measures) -> (Self, Vec<Diagnostic>) {
        let (items, problems) = parse::parse(source, measures);
        (Self { items }, problems)
    }

    /// Returns what is known about an ingredient.
    #[must_use]
    pub fn get(&self, key: &str) -> Option<&ShelfItem> {
        self.items.get(key)
    }

    /// Returns everything on the shelf, sorted by key.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &ShelfItem)> {
        self.items.iter().map(|(key, item)| (key.as_str(), item))
    }

    /// Returns the shelf with what is left of every pack: what it held when that was known last, less what batches
    /// drew since.
    ///
    /// A stock that no pack stands behind has no moment it was known at, and stays as it is written.
    #[must_use]
    pub fn less(mut self, drawn: &BTreeMap<String, Vec<Draw>>) -> Self {
        for (key, item) in &mut self.items {
            if let Some(drawn) = drawn.get(key)
                && !item.packs.is_empty()
            {
                item.stock = Some(stock::left(&item.packs, drawn).total());
            }
        }
        self
    }

    /// Returns whether what batches draw counts for anything on it.
    #[must_use]
    pub fn has_packs(&self) -> bool {
        self.items.values().any(|item| !item.packs.is_empty())
    }

    /// Returns whether nothing is on it.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.items.is_empty()
    }
}
