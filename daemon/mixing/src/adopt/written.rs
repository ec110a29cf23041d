//! What the recipe's file says of each step, as far as its amounts go.

use tarehand_protocol::Mass;
use toml_edit::{DocumentMut, TableLike};

use super::AdoptError;
use crate::recipe::WrittenAmount;
use crate::units::{Measure, Quantity};

/// What the recipe's file says.
#[derive(Debug)]
pub(super) struct Written {
    /// What it makes.
    pub makes: Option<Quantity>,
    /// The amount of every step that has one, in order.
    pub amounts: Vec<Option<WrittenAmount>>,
}

impl Written {
    /// Returns whether an amount is a share of the total.
    pub(super) fn has_shares(&self) -> bool {
        self.all()
            .any(|amount| matches!(amount, WrittenAmount::Parts(_) | WrittenAmount::Percent(_)))
    }

    fn all(&self) -> impl Iterator<Item = &WrittenAmount> {
        self.amounts.iter().flatten()
    }

    /// Returns the mass that a step's amount is written as, exact.
    pub(super) fn mass(&self, step: usize) -> Option<Quantity> {
        match self.amounts.get(step)? {
            Some(WrittenAmount::Quantity(quantity)) => match quantity.measure {
                Measure::Mass(_) => Some(*quantity),
                Measure::Volume(_) | Measure::Count(_) => None,
            },
            _ => None,
        }
    }

    /// Returns the number of a step's count.
    pub(super) fn count(&self, step: usize) -> Option<Quantity> {
        match self.amounts.get(step)? {
            Some(WrittenAmount::Quantity(quantity)) => match quantity.measure {
                Measure::Count(_) => Some(*quantity),
                Measure::Volume(_) | Measure::Mass(_) => None,
            },
            _ => None,
        }
    }
}

/// Reads what the file says; it must have as many steps as the batch.
pub(super) fn of(document: &DocumentMut, steps: usize) -> Result<Written, AdoptError> {
    let tables = document
        .get("step")
        .and_then(toml_edit::Item::as_array_of_tables)
        .filter(|tables| tables.len() == steps)
        .ok_or(AdoptError::OtherSteps)?;
    let makes = document
        .get("recipe")
        .and_then(toml_edit::Item::as_table_like)
        .and_then(|head| text(head, "makes"))
        .and_then(|makes| makes.parse::<Quantity>().ok())
        .filter(|makes| makes.mass().is_some_and(|mass| Mass::ZERO < mass));
    let amounts = tables
        .iter()
        .map(|table| text(table, "amount").and_then(|amount| amount.parse().ok()));
    Ok(Written {
        makes,
        amounts: amounts.collect(),
    })
}

fn text<'t>(table: &'t dyn TableLike, key: &str) -> Option<&'t str> {
    table.get(key).and_then(toml_edit::Item::as_str)
}
