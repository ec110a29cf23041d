//! Batches as they are moved between logs.

use std::collections::BTreeMap;
use std::num::NonZeroU64;

use tarehand_mixing::session::Entry;
use tarehand_protocol::api::{KeptBatch, KeptEntry, KeptTransfer, KeptVessel};

use crate::findable;
use crate::log::{
    Batch, BatchId, BatchState, Ending, Log, LogError, Mark, Moving, NewBatch, NewEntry,
    NewTransfer, ParseMarkError, Reality, Sample, Seen, Vessel,
};

/// Returns a batch as the log keeps it.
///
/// # Errors
/// When the log cannot be read.
pub async fn kept_batch(log: &Log, batch: Batch) -> Result<KeptBatch, LogError> {
    let head = batch.head;
    let mut transfers: BTreeMap<i64, Vec<KeptTransfer>> = BTreeMap::new();
    let mut marks = BTreeMap::from([(head.id, head.mark.as_str().to_owned())]);
    for transfer in log.transfers(head.id).await? {
        if transfer.batch != head.id {
            continue;
        }
        for vessel in [&transfer.booked.from, &transfer.booked.to] {
            if let Vessel::Jar(id) = vessel
                && !marks.contains_key(id)
            {
                let mark = log.batch(*id).await?.head.mark;
                marks.insert(*id, mark.as_str().to_owned());
            }
        }
        let kept = kept_transfer(transfer.booked, &marks);
        transfers.entry(transfer.entry).or_default().push(kept);
    }
    let entries = log.entries(head.id).await?;
    let trace = log.trace(head.id).await?;
    Ok(KeptBatch {
        mark: head.mark.as_str().to_owned(),
        bench: head.bench,
        recipe: head.recipe,
        rehearsal: head.reality == Reality::Rehearsal,
        state: head.state.as_str().to_owned(),
        planned_ug: head.planned_ug,
        opened: head.opened,
        closed: head.closed,
        procedure: batch.procedure,
        recipe_text: batch.recipe_text,
        shelf_text: batch.shelf_text,
        profile_text: batch.profile_text,
        entries: entries
            .into_iter()
            .map(|entry| KeptEntry {
                tick_us: entry.tick_us,
                at: entry.at,
                kind: entry.kind,
                body: entry.body,
                transfers: transfers.remove(&entry.seq).unwrap_or_default(),
            })
            .collect(),
        trace: trace
            .iter()
            .map(|sample| (sample.tick_us, sample.gross_ug))
            .collect(),
    })
}

fn kept_transfer(booked: NewTransfer, marks: &BTreeMap<BatchId, String>) -> KeptTransfer {
    let vessel = |vessel| match vessel {
        Vessel::Shelf(key) => KeptVessel::Shelf(key),
        Vessel::Jar(id) => KeptVessel::Jar(marks.get(&id).cloned().unwrap_or_default()),
        Vessel::JarOf(mark) => KeptVessel::Jar(mark),
        Vessel::Cup(name) => KeptVessel::Cup(name),
        Vessel::Waste => KeptVessel::Waste,
        Vessel::Unknown => KeptVessel::Unknown,
    };
    KeptTransfer {
        from: vessel(booked.from),
        to: vessel(booked.to),
        substance: booked.substance,
        mass_ug: booked.mass_ug.get(),
        seen: booked.seen == Seen::Seen,
    }
}

/// Returns a batch that is to be taken in, or why it is none.
///
/// # Errors
/// A mark, a state or an entry that this version does not know.
pub fn moving(kept: KeptBatch) -> Result<Moving, String> {
    let mark = parsed(&kept.mark)?;
    let state = BatchState::from_word(&kept.state)
        .ok_or_else(|| format!("`{}` is no state of a batch", kept.state))?;
    let mut entries = Vec::with_capacity(kept.entries.len());
    let begins_with_it = kept
        .entries
        .first()
        .is_some_and(|first| first.kind == "opened");
    let mut things = String::new();
    for (place, entry) in kept.entries.into_iter().enumerate() {
        let read: Entry = serde_json::from_str(&entry.body)
            .map_err(|error| format!("entry {place} cannot be read: {error}"))?;
        if let Entry::Opened { procedure, .. } = &read {
            things = findable::things(procedure, &kept.shelf_text);
        }
        let transfers = entry.transfers.into_iter().map(new_transfer);
        entries.push(NewEntry {
            tick_us: entry.tick_us,
            at: entry.at,
            kind: entry.kind,
            body: entry.body,
            transfers: transfers.collect::<Result<_, _>>()?,
            words: read.words(),
        });
    }
    // No bench of this service makes it: what was not over has been left there.
    let (state, closed) = match (state, kept.closed) {
        (BatchState::Ended(_), closed) => (state, closed),
        (BatchState::Live(_), _) => (
            BatchState::Ended(Ending::Aborted),
            Some(
                entries
                    .last()
                    .map_or_else(|| kept.opened.clone(), |last| last.at.clone()),
            ),
        ),
    };
    Ok(Moving {
        mark,
        state,
        closed,
        new: NewBatch {
            bench: kept.bench,
            recipe: kept.recipe,
            reality: if kept.rehearsal {
                Reality::Rehearsal
            } else {
                Reality::Real
            },
            planned_ug: kept.planned_ug,
            opened: kept.opened,
            procedure: if begins_with_it {
                NewBatch::IN_JOURNAL.to_owned()
            } else {
                kept.procedure
            },
            recipe_text: kept.recipe_text,
            shelf_text: kept.shelf_text,
            profile_text: kept.profile_text,
            things,
        },
        entries,
        trace: kept
            .trace
            .into_iter()
            .map(|(tick_us, gross_ug)| Sample { tick_us, gross_ug })
            .collect(),
    })
}

fn parsed(mark: &str) -> Result<Mark, String> {
    mark.parse()
        .map_err(|error: ParseMarkError| error.to_string())
}

fn new_transfer(kept: KeptTransfer) -> Result<NewTransfer, String> {
    let vessel = |vessel| -> Result<Vessel, String> {
        Ok(match vessel {
            KeptVessel::Shelf(key) => Vessel::Shelf(key),
            KeptVessel::Jar(mark) => Vessel::JarOf(parsed(&mark)?.as_str().to_owned()),
            KeptVessel::Cup(name) => Vessel::Cup(name),
            KeptVessel::Waste => Vessel::Waste,
            KeptVessel::Unknown => Vessel::Unknown,
        })
    };
    Ok(NewTransfer {
        from: vessel(kept.from)?,
        to: vessel(kept.to)?,
        substance: kept.substance,
        mass_ug: NonZeroU64::new(kept.mass_ug)
            .ok_or_else(|| "a transfer moves nothing".to_owned())?,
        seen: if kept.seen { Seen::Seen } else { Seen::Unseen },
    })
}
