//! The weight over time of a batch, with its steps.

use tarehand_mixing::plot::{Plot, StepMark};
use tarehand_mixing::session::Entry;
use tarehand_mixing::tick::Tick;
use tarehand_protocol::Mass;

use crate::journal::Kept;
use crate::log::Sample;

/// Returns what is drawn of a batch.
#[must_use]
pub fn plot(kept: &Kept, trace: &[Sample]) -> Plot {
    let book = &kept.book;
    let mark = |record: &tarehand_mixing::session::Record| match &record.entry {
        Entry::Began { task } => book.task(*task).map(|task| StepMark {
            at: record.at,
            number: task.id.0 + 1,
            name: super::action::title(book, task),
        }),
        _ => None,
    };
    let weight = |sample: &Sample| {
        let at = Tick::from_micros(u64::try_from(sample.tick_us).unwrap_or(0));
        (at, Mass::from_micrograms(sample.gross_ug))
    };
    Plot {
        title: format!("{}, {}", book.procedure().recipe, kept.mark),
        weights: trace.iter().map(weight).collect(),
        steps: kept.records.iter().filter_map(mark).collect(),
    }
}
