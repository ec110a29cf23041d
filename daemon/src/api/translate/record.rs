//! A batch from the log as the API shows it.

use tarehand_mixing::ledger::{self, Substance, Vessel};
use tarehand_mixing::session::{BatchState, Book, Entry, Record, Seen};
use tarehand_protocol::Mass;
use tarehand_protocol::api::{
    BatchEntry, BatchRecord, BatchSummary, ContentLine, OutcomeLine, ShareView,
};

use super::{choice_lines, entry_text, steps, words};
use crate::journal::Kept;
use crate::log::{self, BatchHead, Ending, LiveState, Reality};

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

/// Returns a batch in a line, without its journal.
#[must_use]
pub fn summary_of_head(head: BatchHead) -> BatchSummary {
    BatchSummary {
        mark: head.mark.as_str().to_owned(),
        recipe: head.recipe,
        state: words::batch_state(match head.state {
            log::BatchState::Live(LiveState::Idle) => BatchState::Idle,
            log::BatchState::Live(LiveState::Running) => BatchState::Running,
            log::BatchState::Live(LiveState::Held) => BatchState::Held,
            log::BatchState::Live(LiveState::Paused) => BatchState::Paused,
            log::BatchState::Ended(Ending::Complete) => BatchState::Complete,
            log::BatchState::Ended(Ending::Aborted) => BatchState::Aborted,
        }),
        rehearsal: head.reality == Reality::Rehearsal,
        opened: head.opened,
        closed: head.closed,
        planned_g: Mass::from_micrograms(head.planned_ug).grams(),
        in_jar_g: Mass::from_micrograms(head.in_jar_ug).grams(),
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
        room: room(kept),
        outcomes: outcomes(kept),
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

fn room(kept: &Kept) -> Option<String> {
    kept.records
        .iter()
        .rev()
        .find_map(|record| match &record.entry {
            Entry::RoomKnown { room } => Some(room.to_string()),
            _ => None,
        })
}

fn outcomes(kept: &Kept) -> Vec<OutcomeLine> {
    let lines = kept.records.iter().zip(&kept.moments);
    let line = |(record, at): (&Record, &String)| match &record.entry {
        Entry::CameOut { outcome } => Some(OutcomeLine {
            at: at.clone(),
            found: outcome.found.clone(),
            note: outcome.note.clone(),
            pictures: outcome.pictures.clone(),
            better_than: outcome.better_than.clone(),
        }),
        _ => None,
    };
    lines.filter_map(line).collect()
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
