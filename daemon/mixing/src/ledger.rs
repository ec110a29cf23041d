//! Transfers of mass between vessels: what the journal means for shelf, jar and waste.
//!
//! Nothing is overwritten: a correction is a further transfer. Over all vessels the transfers of a
//! batch sum to zero, and what the jar received is what the scale's settled differences say.

use serde::{Deserialize, Serialize};
use tarehand_protocol::Mass;

use crate::session::{Book, Cause, Entry, Seen, TaskId};

/// Where mass can be.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Vessel {
    /// The pack on the shelf, by the ingredient's key.
    Shelf(String),
    /// The jar of this batch.
    Jar,
    /// The jar of another batch, by its mark: a premix that was made in the same run.
    JarOf(String),
    /// Lost: taken out, spilled, on a stick.
    Waste,
    /// Nobody knows.
    Unknown,
}

/// What is moved.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Substance {
    /// An ingredient, by its key.
    Ingredient(String),
    /// The mixture in the jar, of whatever composition it has then.
    Mixture,
    /// Something that is not part of the mix.
    Foreign,
}

/// One transfer of mass.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Transfer {
    /// From where.
    pub from: Vessel,
    /// To where.
    pub to: Vessel,
    /// What.
    pub substance: Substance,
    /// How much; never below zero.
    pub mass: Mass,
    /// Whether it was watched.
    pub seen: Seen,
}

/// Returns what an entry moves. `book` may be from before or after the entry.
#[must_use]
pub fn transfers(book: &Book, entry: &Entry) -> Vec<Transfer> {
    match entry {
        Entry::Poured {
            task,
            before,
            after,
            seen,
        } => {
            let Some(key) = book
                .task(*task)
                .and_then(|task| book.pours(task))
                .map(|ingredient| ingredient.key.clone())
            else {
                return Vec::new();
            };
            one(
                source(book, &key),
                Substance::Ingredient(key),
                *after - *before,
                *seen,
            )
        }
        Entry::Changed {
            before,
            after,
            cause,
        } => match cause {
            Cause::Residue | Cause::TakenOut => one(
                Vessel::Waste,
                Substance::Mixture,
                *after - *before,
                Seen::Watched,
            ),
            Cause::Foreign => one(
                Vessel::Unknown,
                Substance::Foreign,
                *after - *before,
                Seen::Watched,
            ),
        },
        Entry::WasOther {
            from,
            to,
            mass,
            new,
        } => {
            let key = |id: &TaskId| {
                let new = new.as_ref().filter(|(extra, _)| extra.task == *id);
                let ingredient = match new {
                    Some((_, step)) => step.kind.ingredient(),
                    None => book.task(*id).and_then(|task| book.pours(task)),
                };
                ingredient.map(|ingredient| ingredient.key.clone())
            };
            let moved = |key: String, mass| {
                one(
                    source(book, &key),
                    Substance::Ingredient(key),
                    mass,
                    Seen::Watched,
                )
            };
            // What was booked goes back to its pack, and what it really was comes out of its own.
            let back = key(from).map(|key| moved(key, Mass::ZERO - *mass));
            let out = key(to).map(|key| moved(key, *mass));
            match (back, out) {
                (Some(back), Some(out)) => [back, out].concat(),
                _ => Vec::new(),
            }
        }
        Entry::Opened { .. }
        | Entry::RanOut { .. }
        | Entry::ScaleKnown { .. }
        | Entry::JarPlaced { .. }
        | Entry::Began { .. }
        | Entry::Judged { .. }
        | Entry::Asked { .. }
        | Entry::Answered { .. }
        | Entry::Rescued { .. }
        | Entry::Undone
        | Entry::WentBack { .. }
        | Entry::Paused
        | Entry::Resumed
        | Entry::LoadGone { .. }
        | Entry::JarBack { .. }
        | Entry::EmptyMoved { .. }
        | Entry::JarMistaken
        | Entry::ZeroMoved { .. }
        | Entry::ScaleLost
        | Entry::ScaleBack
        | Entry::Trail { .. }
        | Entry::ThinningKnown { .. }
        | Entry::FlowTimed { .. }
        | Entry::Remarked { .. }
        | Entry::Completed
        | Entry::Aborted => Vec::new(),
    }
}

/// A difference of the jar against one other vessel, in whichever direction it went.
/// Returns the vessel that an ingredient is poured from: the jar that it was mixed in, else its pack.
fn source(book: &Book, key: &str) -> Vessel {
    let place = book.procedure().of_set.as_ref();
    match place.and_then(|place| place.made.get(key)) {
        Some(mark) => Vessel::JarOf(mark.clone()),
        None => Vessel::Shelf(key.to_owned()),
    }
}

fn one(other: Vessel, substance: Substance, into_jar: Mass, seen: Seen) -> Vec<Transfer> {
    let (from, to) = if into_jar < Mass::ZERO {
        (Vessel::Jar, other)
    } else {
        (other, Vessel::Jar)
    };
    if into_jar.is_zero() {
        Vec::new()
    } else {
        vec![Transfer {
            from,
            to,
            substance,
            mass: into_jar.abs(),
            seen,
        }]
    }
}
