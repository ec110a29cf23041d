//! What is in a jar now, of each raw ingredient and out of which packs: through every jar that was poured into it.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use tarehand_mixing::composition::{Holding, Holdings, Packs, Place, Sources, mixture};
use tarehand_mixing::document::Source;
use tarehand_mixing::procedure::Procedure;
use tarehand_mixing::shelf::{Date, Draw, Shelf};
use tarehand_mixing::units::Measures;

use crate::draws;
use crate::journal::{self, ReadError};
use crate::log::{BatchId, Flow, Log, LogError, Mark, Vessel};

mod in_jar;
mod later;

/// What is known of a jar through all that was poured into it.
#[derive(Debug)]
pub struct Contents {
    /// What every vessel of its descent holds.
    pub holdings: Holdings,
    /// The packs that anything came from.
    pub packs: Packs,
    /// Every transfer of its descent, in the order of time.
    pub flows: Vec<Flow>,
    /// The batches of its descent, by mark.
    pub batches: BTreeMap<String, Opened>,
    shelves: BTreeMap<Arc<str>, Kept>,
}

/// A batch of the descent, as it was when it was opened.
#[derive(Debug)]
pub struct Opened {
    /// The recipe's name.
    pub recipe: String,
    /// The day, UTC; none where the log's text is no moment.
    pub day: Option<Date>,
    /// What was to be done.
    pub procedure: Procedure,
    /// The text of the shelf that was at hand.
    shelf_text: Arc<str>,
}

/// A shelf as batches kept it, and what all batches drew of it.
#[derive(Debug)]
struct Kept {
    shelf: Shelf,
    drawn: BTreeMap<String, Vec<Draw>>,
}

impl Contents {
    /// Reads what led to a batch's jar, and works out what is in it.
    ///
    /// # Errors
    /// When the log cannot be read, or a procedure in it is of a newer version.
    pub async fn read(log: &Log, id: BatchId) -> Result<Self, ReadError> {
        let flows = log.lineage(id).await?;
        let mut batches = BTreeMap::new();
        let mut shelves: BTreeMap<Arc<str>, Kept> = BTreeMap::new();
        let keys = drawn_keys(&flows);
        let own: BTreeSet<&str> = flows.iter().map(|flow| flow.batch.as_str()).collect();
        let mut marks: Vec<Mark> = flows.iter().map(|flow| flow.batch.clone()).collect();
        marks.sort();
        marks.dedup();
        for batch in log.opened(marks).await? {
            let mark = batch.mark.as_str().to_owned();
            if !shelves.contains_key(&batch.shelf_text) {
                let kept = kept(&batch.shelf_text, &keys, &own, log).await?;
                shelves.insert(Arc::clone(&batch.shelf_text), kept);
            }
            let procedure = serde_json::from_str(&batch.procedure).map_err(|source| {
                let mark = mark.clone();
                ReadError::Entry {
                    mark,
                    seq: 0,
                    source,
                }
            })?;
            let opened = Opened {
                recipe: batch.recipe,
                day: batch
                    .opened
                    .split('T')
                    .next()
                    .and_then(|day| day.parse().ok()),
                procedure,
                shelf_text: batch.shelf_text,
            };
            batches.insert(mark, opened);
        }
        let mut packs = Packs::default();
        let holdings = followed(&flows, &batches, &shelves, &mut packs);
        Ok(Self {
            holdings,
            packs,
            flows,
            batches,
            shelves,
        })
    }

    /// Returns what the jar of a batch holds.
    #[must_use]
    pub fn of_jar(&self, mark: &str) -> Holding {
        self.holdings.in_vessel(&Place::Jar(mark.to_owned()))
    }

    /// Returns what came into the jar of a batch straight from the shelf, and the packs it came from.
    #[must_use]
    pub fn straight_from_shelf(&self, mark: &str) -> (Holding, Packs) {
        let jar = Vessel::JarOf(mark.to_owned());
        let straight = |flow: &&Flow| match (&flow.booked.from, &flow.booked.to) {
            (Vessel::Shelf(_), to) => *to == jar,
            // A mix that is put on the shelf is no pour taken back.
            (from, Vessel::Shelf(_)) => *from == jar && flow.booked.substance != mixture(),
            _ => false,
        };
        let flows: Vec<Flow> = self.flows.iter().filter(straight).cloned().collect();
        let mut packs = Packs::default();
        let holdings = followed(&flows, &self.batches, &self.shelves, &mut packs);
        (holdings.in_vessel(&Place::Jar(mark.to_owned())), packs)
    }

    /// Returns what the jar of a batch holds with what was left of another jar seen as a pack of its own; `None` where none of
    /// that stood on the shelf.
    ///
    /// Its lot on the shelf is the mark of that jar, but what is poured of it is by the lots that it was mixed of.
    #[must_use]
    pub fn with_leftover_as_pack(&self, mark: &str, of: &str) -> Option<(Holding, Packs)> {
        let jar = Vessel::JarOf(of.to_owned());
        let put_there = |flow: &&Flow| {
            let booked = &flow.booked;
            let onto_shelf = matches!(booked.to, Vessel::Shelf(_));
            onto_shelf && booked.from == jar && booked.substance == mixture()
        };
        let flows = self.flows.iter().filter(|flow| !put_there(flow));
        let flows: Vec<Flow> = flows.cloned().collect();
        if flows.len() == self.flows.len() {
            return None;
        }
        let mut packs = Packs::default();
        let holdings = followed(&flows, &self.batches, &self.shelves, &mut packs);
        Some((holdings.in_vessel(&Place::Jar(mark.to_owned())), packs))
    }

    /// Returns the name of an ingredient for people, as any of the batches knew it; its key where none did.
    #[must_use]
    pub fn name<'n>(&'n self, key: &'n str) -> &'n str {
        let named = self.batches.values().find_map(|batch| {
            let poured = batch.procedure.steps.iter();
            let poured = poured.filter_map(|step| step.kind.ingredient());
            let premixes = batch.procedure.premixes.iter();
            let inside = premixes.flat_map(|premix| premix.parts.iter().map(|(part, _)| part));
            let mut known = poured.chain(inside);
            known.find(|ingredient| ingredient.key == key)
        });
        named.map_or(key, |ingredient| &ingredient.name)
    }
}

/// Returns the keys of everything that came from the shelf, or went back there.
fn drawn_keys(flows: &[Flow]) -> BTreeSet<String> {
    let ends = flows
        .iter()
        .flat_map(|flow| [&flow.booked.from, &flow.booked.to]);
    let keys = ends.filter_map(|vessel| match vessel {
        Vessel::Shelf(key) => Some(key.clone()),
        _ => None,
    });
    keys.collect()
}

async fn kept(
    shelf_text: &str,
    keys: &BTreeSet<String>,
    own: &BTreeSet<&str>,
    log: &Log,
) -> Result<Kept, LogError> {
    // What is wrong with the shelf was said when the batch was opened.
    let source = Source::new("shelf.toml", shelf_text);
    let (shelf, _) = Shelf::parse(&source, &Measures::default());
    let mut drawn = BTreeMap::new();
    for key in keys {
        if let Some(item) = shelf.get(key)
            && !item.packs.is_empty()
        {
            let draws = draws::up_to_last_of(own, key, &item.packs, log).await?;
            drawn.insert(key.clone(), draws);
        }
    }
    Ok(Kept { shelf, drawn })
}

/// Takes every transfer in. Transfers of one batch that follow each other share what is known of its packs.
fn followed(
    flows: &[Flow],
    batches: &BTreeMap<String, Opened>,
    shelves: &BTreeMap<Arc<str>, Kept>,
    packs: &mut Packs,
) -> Holdings {
    let mut holdings = Holdings::default();
    for run in flows.chunk_by(|one, next| one.batch == next.batch) {
        let Some(mark) = run.first().map(|flow| flow.batch.as_str()) else {
            continue;
        };
        let Some(batch) = batches.get(mark) else {
            continue;
        };
        let Some(kept) = shelves.get(&batch.shelf_text) else {
            continue;
        };
        let amends = batch.procedure.amends.as_ref();
        let fills = amends.map_or(mark, |amends| &amends.mark);
        let mut sources = Sources::new(mark, &batch.procedure, &kept.shelf, &kept.drawn, packs);
        for flow in run {
            holdings.take_in(&journal::movement(flow, fills), &mut sources);
        }
    }
    holdings
}

#[cfg(test)]
mod tests;
