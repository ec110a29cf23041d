//! A batch from the log as the API shows it.

use tarehand_mixing::ledger::{self, Substance, Vessel};
use tarehand_mixing::session::{Book, Record, Seen};
use tarehand_protocol::Mass;
use tarehand_protocol::api::{BatchEntry, BatchRecord, BatchSummary, ContentLine, ShareView};

use super::{choice_lines, entry_text, steps, words};
use crate::journal::Kept;

/// Returns a batch in a line.
#[must_use]
pub fn summary(kept: &Kept) -> BatchSummary {
    BatchSummary {
        mark: kept.mark.clone(),
        recipe: kept.book.procedure().recipe.clone(),
        state: words::batch_state(kept.book.state()),
        rehearsal: kept.rehearsal,
        opened: kept.opened.clone(),
        closed: kept.closed.clone(),
        planned_g: kept.book.procedure().planned.grams(),
        in_jar_g: kept.book.in_jar().grams(),
    }
}

/// Returns a batch whole.
#[must_use]
pub fn record(kept: &Kept) -> BatchRecord {
    let situation = kept.book.situation();
    let inside = situation.in_jar();
    let shares = situation.components.iter().map(|component| ShareView {
        ingredient: component.name.clone(),
        planned: component.share.to_f64(),
        result: component
            .in_jar
            .checked_div(&inside)
            .map_or(0.0, |share| share.to_f64()),
    });
    BatchRecord {
        summary: summary(kept),
        tare_g: kept.book.tare().grams(),
        choices: choice_lines(kept.book.procedure()),
        contents: contents(&kept.book, &kept.records),
        // Only the log knows of other batches.
        poured_into: Vec::new(),
        shares: shares.collect(),
        steps: steps(&kept.book),
        entries: kept
            .records
            .iter()
            .zip(&kept.moments)
            .zip(0..)
            .map(|((record, at), seq)| BatchEntry {
                seq,
                at: at.clone(),
                kind: record.entry.kind().to_owned(),
                text: entry_text(&kept.book, &record.entry),
            })
            .collect(),
    }
}

fn contents(book: &Book, records: &[Record]) -> Vec<ContentLine> {
    let transfers: Vec<_> = records
        .iter()
        .flat_map(|record| ledger::transfers(book, &record.entry))
        .collect();
    let unseen = |key: &str| -> Mass {
        let of_it = transfers.iter().filter(|transfer| {
            transfer.seen == Seen::Unseen
                && transfer.substance == Substance::Ingredient(key.to_owned())
        });
        of_it
            .map(|transfer| {
                if transfer.to == Vessel::Jar {
                    transfer.mass
                } else {
                    -transfer.mass
                }
            })
            .sum()
    };
    book.contents()
        .into_iter()
        .map(|(ingredient, poured)| ContentLine {
            ingredient: ingredient.key.clone(),
            name: ingredient.name.clone(),
            planned_g: book.planned_for(&ingredient.key).map(Mass::grams),
            poured_g: poured.grams(),
            unseen_g: unseen(&ingredient.key).grams(),
        })
        .collect()
}
