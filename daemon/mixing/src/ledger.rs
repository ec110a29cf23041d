//! Transfers of mass between vessels: what the journal means for shelf, jar and waste.
//!
//! Nothing is overwritten: a correction is a further transfer. Over all vessels the transfers of a
//! batch sum to zero, and what the jar received is what the scale's settled differences say.

use serde::{Deserialize, Serialize};
use tarehand_protocol::Mass;

use crate::procedure::{Addition, Amount, Origin, StepKind};
use crate::session::{Book, Cause, Entry, Seen, TaskId};

/// Where mass can be.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Vessel {
    /// The pack on the shelf, by the ingredient's key.
    Shelf(String),
    /// The jar of this batch; of an amendment, the finished jar that it amends.
    Jar,
    /// A cup or another small vessel, by its name.
    Cup(String),
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
            ..
        } => {
            let Some((source, key)) = poured(book, *task) else {
                return Vec::new();
            };
            one(source, Substance::Ingredient(key), *after - *before, *seen)
        }
        Entry::PouredOut {
            task,
            before,
            after,
            from_cup,
            seen,
            ..
        } => {
            let Some((source, key)) = poured(book, *task) else {
                return Vec::new();
            };
            let cup = cup_of(&key);
            let rest = *before - *after - *from_cup;
            let substance = Substance::Ingredient(key);
            let cup = one(cup, substance.clone(), *from_cup, *seen);
            [cup, one(source, substance, rest, *seen)].concat()
        }
        Entry::Filled {
            task,
            before,
            after,
            seen,
        } => {
            let Some((from, key)) = poured(book, *task) else {
                return Vec::new();
            };
            let to = cup_of(&key);
            vec![Transfer {
                from,
                to,
                substance: Substance::Ingredient(key),
                mass: *after - *before,
                seen: *seen,
            }]
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
        Entry::Decanted {
            task,
            before,
            after,
            seen,
        } => match book.task(*task).map(|task| book.step(task)) {
            Some(StepKind::Decant { into, .. }) => {
                one(let_out(into), Substance::Mixture, *after - *before, *seen)
            }
            _ => Vec::new(),
        },
        Entry::Moved { to, mass, seen } => {
            one(to.vessel(), Substance::Mixture, Mass::ZERO - *mass, *seen)
        }
        Entry::WasOther {
            from,
            to,
            mass,
            new,
        } => {
            let of = |id: &TaskId| {
                let new = new.as_ref().filter(|(extra, _)| extra.task == *id);
                match new {
                    Some((_, step)) => source_of(book, &step.kind),
                    None => poured(book, *id),
                }
            };
            let moved = |(source, key): (Vessel, String), mass| {
                one(source, Substance::Ingredient(key), mass, Seen::Watched)
            };
            // What was booked goes back to where it was, and what it really was comes out of its own.
            let back = of(from).map(|source| moved(source, Mass::ZERO - *mass));
            let out = of(to).map(|source| moved(source, *mass));
            match (back, out) {
                (Some(back), Some(out)) => [back, out].concat(),
                _ => Vec::new(),
            }
        }
        Entry::Opened { .. }
        | Entry::RanOut { .. }
        | Entry::ScaleKnown { .. }
        | Entry::JarPlaced { .. }
        | Entry::WeighChosen { .. }
        | Entry::WeighFits { .. }
        | Entry::FineKnown { .. }
        | Entry::FineLost
        | Entry::FineBack
        | Entry::FineCleared
        | Entry::FineZeroMoved { .. }
        | Entry::JarCompared { .. }
        | Entry::JarSetAside { .. }
        | Entry::JarReturned { .. }
        | Entry::BottlePlaced { .. }
        | Entry::BottleLifted { .. }
        | Entry::BottleBack { .. }
        | Entry::LaidOn { .. }
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
        | Entry::JarMistaken
        | Entry::ZeroMoved { .. }
        | Entry::ScaleLost
        | Entry::ScaleBack
        | Entry::Trail { .. }
        | Entry::ThinningKnown { .. }
        | Entry::FlowTimed { .. }
        | Entry::Remarked { .. }
        | Entry::RoomKnown { .. }
        | Entry::CameOut { .. }
        | Entry::Completed
        | Entry::Aborted => Vec::new(),
    }
}

/// Returns out of which vessel a task pours, and the key of what it pours.
fn poured(book: &Book, task: TaskId) -> Option<(Vessel, String)> {
    source_of(book, book.step(book.task(task)?))
}

/// All of a cup comes out of that cup; everything else out of the jar it was mixed in, or its pack.
fn source_of(book: &Book, step: &StepKind) -> Option<(Vessel, String)> {
    let ingredient = step.ingredient()?;
    let key = ingredient.key.clone();
    let whole = match step {
        StepKind::Add(Addition {
            amount: Amount::Whole { vessel },
            ..
        }) if ingredient.origin != Origin::Shelf && jar_of(book, &key).is_none() => {
            Some(vessel.clone())
        }
        _ => None,
    };
    let vessel = whole.map_or_else(|| source(book, &key), Vessel::Cup);
    Some((vessel, key))
}

/// Returns the batch, by its mark, out of whose jar an ingredient is poured.
fn jar_of<'b>(book: &'b Book, key: &str) -> Option<&'b String> {
    let procedure = book.procedure();
    let made = procedure.of_set.as_ref().map(|place| &place.made);
    let opened = procedure.amends.as_ref().map(|amends| &amends.out_of);
    [opened, made]
        .into_iter()
        .flatten()
        .find_map(|jars| jars.get(key))
}

/// Where what is poured away is decanted to.
pub const POURED_AWAY: &str = "waste";

/// Returns the vessel that mix is let out into.
fn let_out(into: &str) -> Vessel {
    match into {
        POURED_AWAY => Vessel::Waste,
        cup => Vessel::Cup(cup.to_owned()),
    }
}

/// Returns the small cup in which a portion of an ingredient is weighed.
fn cup_of(key: &str) -> Vessel {
    Vessel::Cup(format!("a cup of {key}"))
}

/// Returns the vessel that an ingredient is poured from: the jar that it was mixed in, else its pack.
fn source(book: &Book, key: &str) -> Vessel {
    match jar_of(book, key) {
        Some(mark) => Vessel::JarOf(mark.clone()),
        None => Vessel::Shelf(key.to_owned()),
    }
}

/// A difference of the jar against one other vessel, in whichever direction it went.
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
