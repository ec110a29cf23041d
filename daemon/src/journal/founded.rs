//! Whether what a batch of another log booked follows from its own journal.
//!
//! The ledger is what the journal means. In an export both are written down, and either may have been changed on the way:
//! so the transfers are worked out again from the entries, and nothing else is believed.

use std::fmt;

use tarehand_mixing::ledger;
use tarehand_mixing::session::{Book, Entry, Record};
use tarehand_mixing::tick::Tick;
use tarehand_protocol::Mass;

use super::row;
use crate::log::{Moving, NewEntry, NewTransfer, Seen, Vessel};

/// In exports of a log of schema 2 the jar of a batch that was not there is a cup of this name and its mark.
const JAR_AS_CUP: &str = "jar ";

/// What does not hold together in a batch of another log.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Unfounded {
    /// An entry is not one of ours.
    #[error("entry {place} (`{kind}`) cannot be read: {why}")]
    Unreadable {
        /// Its place.
        place: usize,
        /// What it is called.
        kind: String,
        /// What is wrong with it.
        why: String,
    },
    /// An entry is called something that it is not.
    #[error("entry {place} is called `{called}`, and says `{says}`")]
    Miscalled {
        /// Its place.
        place: usize,
        /// What it is called.
        called: String,
        /// What it says.
        says: &'static str,
    },
    /// An entry does more of a step that is nowhere.
    #[error("entry {place} (`{kind}`) speaks of a step that this batch does not have")]
    NoStep {
        /// Its place.
        place: usize,
        /// What it is called.
        kind: &'static str,
    },
    /// Something is booked, and nothing says of which procedure.
    #[error(
        "entry {place} (`{kind}`) books something, but the journal does not begin with its opening"
    )]
    NoOpening {
        /// Its place.
        place: usize,
        /// What it is called.
        kind: String,
    },
    /// What is booked with an entry is not what it moves.
    #[error("entry {place} (`{kind}`) moves {moves}, but its ledger says {booked}")]
    Booked {
        /// Its place.
        place: usize,
        /// What it is called.
        kind: String,
        /// What it moves.
        moves: String,
        /// What is booked.
        booked: String,
    },
    /// What stands in the register is not what the batch was opened with.
    #[error("{what} is {register}, but it was opened with {opened}")]
    Register {
        /// What.
        what: &'static str,
        /// As the register has it.
        register: String,
        /// As the opening has it.
        opened: String,
    },
}

/// Returns the batch, when all it has booked follows from its journal; of a jar it may still speak as schema 2 did.
///
/// # Errors
/// The first thing that does not follow.
pub fn founded(mut moving: Moving) -> Result<Moving, Unfounded> {
    let mut entries = std::mem::take(&mut moving.entries);
    let mut book: Option<Book> = None;
    for (place, entry) in entries.iter_mut().enumerate() {
        let record = read(place, entry)?;
        let moves = match &mut book {
            Some(book) => {
                fold(book, place, &record)?;
                moved(&moving, book, &record.entry)
            }
            None => {
                book = Book::rebuild(std::slice::from_ref(&record));
                if let Some(book) = &book {
                    registered(&moving, book)?;
                } else if !entry.transfers.is_empty() {
                    return Err(Unfounded::NoOpening {
                        place,
                        kind: entry.kind.clone(),
                    });
                }
                Vec::new()
            }
        };
        let booked = &entry.transfers;
        let all = moves.len() == booked.len();
        if !all
            || !moves
                .iter()
                .zip(booked)
                .all(|(moves, booked)| is(moves, booked))
        {
            return Err(Unfounded::Booked {
                place,
                kind: entry.kind.clone(),
                moves: Said(&moves).to_string(),
                booked: Said(booked).to_string(),
            });
        }
        entry.transfers = moves;
    }
    moving.entries = entries;
    Ok(moving)
}

/// Folds an entry that nobody has vouched for.
fn fold(book: &mut Book, place: usize, record: &Record) -> Result<(), Unfounded> {
    if !book.has_steps_of(&record.entry) {
        return Err(Unfounded::NoStep {
            place,
            kind: record.entry.kind(),
        });
    }
    book.fold(record);
    Ok(())
}

/// Returns what an entry moves, as the batch's own bench booked it.
fn moved(moving: &Moving, book: &Book, entry: &Entry) -> Vec<NewTransfer> {
    let amends = book.procedure().amends.as_ref();
    let fills = amends.map_or(moving.mark.as_str(), |amends| &amends.mark);
    let jar = Vessel::JarOf(fills.to_owned());
    let transfers = ledger::transfers(book, entry).into_iter();
    transfers
        .filter_map(|transfer| row(&jar, transfer))
        .collect()
}

fn read(place: usize, entry: &NewEntry) -> Result<Record, Unfounded> {
    let read: Entry = serde_json::from_str(&entry.body).map_err(|error| Unfounded::Unreadable {
        place,
        kind: entry.kind.clone(),
        why: error.to_string(),
    })?;
    if read.kind() != entry.kind {
        return Err(Unfounded::Miscalled {
            place,
            called: entry.kind.clone(),
            says: read.kind(),
        });
    }
    Ok(Record {
        at: Tick::from_micros(u64::try_from(entry.tick_us).unwrap_or(0)),
        entry: read,
    })
}

/// Looks at what is told of a batch in lists, where its journal is not read.
fn registered(moving: &Moving, book: &Book) -> Result<(), Unfounded> {
    let (new, opened) = (&moving.new, book.procedure());
    if new.recipe != opened.recipe {
        return Err(Unfounded::Register {
            what: "its recipe",
            register: format!("`{}`", new.recipe),
            opened: format!("`{}`", opened.recipe),
        });
    }
    let planned = opened.planned.max(Mass::ZERO);
    if new.planned_ug != planned.micrograms() {
        return Err(Unfounded::Register {
            what: "what was planned",
            register: Mass::from_micrograms(new.planned_ug).to_string(),
            opened: planned.to_string(),
        });
    }
    Ok(())
}

/// Returns whether a booked transfer is what an entry moves.
fn is(moved: &NewTransfer, booked: &NewTransfer) -> bool {
    let vessel = |moved: &Vessel, booked: &Vessel| match (moved, booked) {
        (Vessel::JarOf(mark), Vessel::Cup(name)) => {
            name.strip_prefix(JAR_AS_CUP) == Some(mark.as_str())
        }
        _ => moved == booked,
    };
    vessel(&moved.from, &booked.from)
        && vessel(&moved.to, &booked.to)
        && moved.substance == booked.substance
        && moved.mass_ug == booked.mass_ug
        && moved.seen == booked.seen
}

/// Transfers in words.
struct Said<'t>(&'t [NewTransfer]);

impl fmt::Display for Said<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.0.is_empty() {
            return f.write_str("nothing");
        }
        for (nth, transfer) in self.0.iter().enumerate() {
            if 0 < nth {
                f.write_str(" and ")?;
            }
            let mass = i64::try_from(transfer.mass_ug.get()).unwrap_or(i64::MAX);
            let mass = Mass::from_micrograms(mass);
            let (from, to) = (Place(&transfer.from), Place(&transfer.to));
            write!(f, "{mass} of {} from {from} to {to}", transfer.substance)?;
            if transfer.seen == Seen::Unseen {
                f.write_str(", unseen")?;
            }
        }
        Ok(())
    }
}

/// A vessel in words.
struct Place<'v>(&'v Vessel);

impl fmt::Display for Place<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            Vessel::Shelf(key) => write!(f, "the shelf's `{key}`"),
            Vessel::JarOf(mark) => write!(f, "the jar of {mark}"),
            Vessel::Jar(id) => write!(f, "the jar of batch {id}"),
            Vessel::Cup(name) => write!(f, "the cup `{name}`"),
            Vessel::Waste => f.write_str("waste"),
            Vessel::Unknown => f.write_str("nobody knows where"),
        }
    }
}

#[cfg(test)]
mod tests;
