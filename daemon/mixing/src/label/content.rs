//! What a label says, from a batch's record.

use std::time::Duration;

use tarehand_protocol::Mass;

use super::keeps::{self, Days, Keeps};
use crate::card::{self, Card, Line, Made, Portion};
use crate::provenance::{Provenance, Run};
use crate::ratio::Ratio;
use crate::session::{Book, Entry, Record};
use crate::shelf::{Date, Shelf};

/// What a label says.
#[derive(Clone, Debug, PartialEq)]
pub struct Content {
    /// The mark of the batch.
    pub mark: String,
    /// The name of the mix.
    pub name: String,
    /// The day it was made, UTC.
    pub day: Option<Date>,
    /// Whether anything is really in it.
    pub run: Run,
    /// What is in the jar: as it was made, or [now](Self::now).
    pub in_jar: Mass,
    /// What is inside the ratio, in the order of the recipe.
    pub parts: Vec<Part>,
    /// What lies outside the ratio: thinner, what was added by eye.
    pub beside: Vec<Part>,
    /// What the premixes hold, those inside premixes too.
    pub premixes: Vec<Within>,
    /// The choices the recipe left, as they were made: `finish: glossy`.
    pub chosen: Vec<String>,
    /// The trail.
    pub trail: Option<Measured>,
    /// How long it can be worked with, where it hardens.
    pub pot_life: Option<Duration>,
    /// Until when it is good.
    pub keeps: Keeps,
    /// The cautions of everything in it, each once.
    pub cautions: Vec<String>,
}

/// One thing in the jar.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its key.
    pub key: String,
    /// Its name.
    pub name: String,
    /// How much was poured.
    pub mass: Mass,
    /// Its share of what is inside the ratio, or of its premix.
    pub share: Option<Ratio>,
}

/// What a premix holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Within {
    /// The premix.
    pub name: String,
    /// What it is made of, in the grams that are in this jar.
    pub parts: Vec<Part>,
}

/// A trail in seconds; 0 = leaves none.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Measured {
    /// As it was measured last.
    Found(f64),
    /// As the recipe wants it; nobody measured.
    Wanted(f64),
}

impl Content {
    /// Reads what a label says from a batch's journal, and until when it is good from the setting and the shelf as it was then.
    #[must_use]
    pub fn of_batch(
        from: Provenance<'_>,
        book: &Book,
        records: &[Record],
        days: Option<Days>,
        shelf: &Shelf,
    ) -> Self {
        let found = records.iter().rev().find_map(|record| match record.entry {
            Entry::Trail { seconds, .. } => Some(Measured::Found(seconds)),
            _ => None,
        });
        let card = card::of_batch(from, book, records);
        let mut content = Self::of_card(&card, found, book.in_jar());
        content.keeps = keeps::keeps(&content, days, shelf);
        content
    }

    fn of_card(card: &Card, found: Option<Measured>, in_jar: Mass) -> Self {
        let (mark, day, run) = match &card.made {
            Made::Batch { mark, day, run, .. } => (mark.clone(), day.parse().ok(), *run),
            Made::Recipe | Made::Composition => (card.key.clone(), None, Run::Real),
        };
        let premixes = card.premixes.iter().map(|premix| Within {
            name: premix.name.clone(),
            parts: premix.inside().filter_map(part).collect(),
        });
        Self {
            mark,
            name: card.name.clone(),
            day,
            run,
            in_jar,
            parts: card.inside().filter_map(part).collect(),
            beside: card.outside().filter_map(part).collect(),
            premixes: premixes.collect(),
            chosen: card
                .choices
                .iter()
                .map(|choice| format!("{}: {}", choice.name, choice.chosen))
                .collect(),
            trail: found.or(card.trail_s.map(Measured::Wanted)),
            pot_life: card.pot_life,
            keeps: Keeps::Unsaid,
            cautions: card
                .cautions
                .iter()
                .map(|caution| caution.text.clone())
                .collect(),
        }
    }

    /// Returns everything in it, what the premixes hold too.
    pub fn everything(&self) -> impl Iterator<Item = &Part> {
        let premixes = self.premixes.iter().flat_map(|premix| &premix.parts);
        self.parts.iter().chain(&self.beside).chain(premixes)
    }
}

/// What nobody poured is not in it.
fn part(line: &Line) -> Option<Part> {
    let mass = line.portion.mass().filter(|mass| Mass::ZERO < *mass)?;
    Some(Part {
        key: line.key.clone(),
        name: line.name.clone(),
        mass,
        share: match &line.portion {
            Portion::Share { share, .. } => Some(share.clone()),
            _ => None,
        },
    })
}
