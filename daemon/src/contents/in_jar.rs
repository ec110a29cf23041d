//! What a label asks of a jar: what was poured into it, by which batches, and what became of it since it was made.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use tarehand_mixing::composition::{Holding, Moved, Movement, Packs, Place};
use tarehand_mixing::label::{CameBy, InJar, Since};
use tarehand_mixing::procedure::Procedure;
use tarehand_mixing::shelf::Shelf;

use super::{Contents, Kept, Opened, followed};
use crate::journal;
use crate::log::Vessel;

impl Contents {
    /// Returns what the jar of a batch holds as it was poured: premixes are not taken apart.
    #[must_use]
    pub fn as_poured(&self, mark: &str) -> Holding {
        // Without a recipe or a shelf that says what a premix is made of it stays as it is.
        let whole = |(mark, batch): (&String, &Opened)| {
            let opened = Opened {
                recipe: batch.recipe.clone(),
                day: batch.day,
                procedure: Procedure {
                    premixes: Vec::new(),
                    ..batch.procedure.clone()
                },
                shelf_text: Arc::from(""),
            };
            (mark.clone(), opened)
        };
        let batches = self.batches.iter().map(whole).collect();
        let bare = Kept {
            shelf: Shelf::default(),
            drawn: BTreeMap::new(),
        };
        let shelves = BTreeMap::from([(Arc::from(""), bare)]);
        let holdings = followed(&self.flows, &batches, &shelves, &mut Packs::default());
        holdings.in_vessel(&Place::Jar(mark.to_owned()))
    }

    /// Returns what a label needs to know of a jar that is not simply what its own batch made; `None` where it is.
    #[must_use]
    pub fn in_jar<'c>(&'c self, mark: &str, poured: &'c Holding) -> Option<InJar<'c>> {
        let since = self.since(mark);
        let came_by = self.came_by(mark);
        if since == Since::Untouched && came_by.iter().all(|batch| *batch == mark) {
            return None;
        }
        let came_by = came_by.into_iter().filter_map(|mark| {
            let batch = self.batches.get(mark)?;
            Some(CameBy {
                day: batch.day,
                procedure: &batch.procedure,
                shelf: &self.shelves.get(&batch.shelf_text)?.shelf,
            })
        });
        Some(InJar {
            poured,
            since,
            came_by: came_by.collect(),
        })
    }

    /// Returns what became of the jar since its own batch made it.
    fn since(&self, mark: &str) -> Since {
        let jar = Vessel::JarOf(mark.to_owned());
        let mut since = Since::Untouched;
        for flow in &self.flows {
            if flow.batch.as_str() == mark && flow.kind != "moved" {
                continue;
            }
            if flow.booked.to == jar {
                return Since::AddedTo;
            }
            if flow.booked.from == jar {
                since = Since::TakenFrom;
            }
        }
        since
    }

    /// Returns the batches by which anything came into the jar, through whichever vessels: its own first, then in the order of
    /// time.
    ///
    /// A jar that was emptied still names those that came before: what may be in it is rather said once too often.
    pub(super) fn came_by(&self, mark: &str) -> Vec<&str> {
        let mut into: BTreeMap<Place, BTreeSet<&str>> = BTreeMap::new();
        for flow in &self.flows {
            let Movement { from, to, what, .. } = journal::movement(flow, mark);
            // Of the shelf only a mix that was put there is made by a batch.
            let made = match &to {
                Place::Jar(_) | Place::Cup(_) => true,
                Place::Shelf(_) => what == Moved::Mixture,
                Place::Waste | Place::Unknown => false,
            };
            if made {
                let carried = into.get(&from).cloned().unwrap_or_default();
                let batches = into.entry(to).or_default();
                batches.extend(carried);
                batches.insert(flow.batch.as_str());
            }
        }
        let mut left = into
            .remove(&Place::Jar(mark.to_owned()))
            .unwrap_or_default();
        let own = left.take(mark);
        let mut in_order: Vec<&str> = own.into_iter().collect();
        for flow in &self.flows {
            in_order.extend(left.take(flow.batch.as_str()));
        }
        in_order
    }
}
