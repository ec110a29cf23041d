//! Which readings every mass of a journal is the difference of: what its uncertainty follows from.

use tarehand_protocol::Mass;

use super::book::Book;
use super::entry::{Cause, Entry, Record, TaskId};

/// All that was weighed for a batch.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Weighings {
    /// The division of the scale that each reading was read on, where it is known; readings go by their place.
    pub divisions: Vec<Option<Mass>>,
    /// What was weighed, in order.
    pub list: Vec<Weighing>,
}

/// One mass as the difference of two readings.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Weighing {
    /// The key of the ingredient that came into the jar; `None` where mix left it.
    pub key: Option<String>,
    /// How much more was in the jar by it.
    pub mass: Mass,
    /// The reading before, by its place.
    pub from: usize,
    /// The reading after.
    pub to: usize,
    task: Option<TaskId>,
}

/// The last reading of the jar, and of the bottle that is weighed.
#[derive(Default)]
struct Last {
    jar: Option<usize>,
    bottle: Option<usize>,
}

impl Weighings {
    /// Returns what was weighed, from the journal and what it came to.
    #[must_use]
    pub fn of(book: &Book, records: &[Record]) -> Self {
        let (mut found, mut last) = (Self::default(), Last::default());
        for record in records {
            found.take_in(book, &mut last, &record.entry);
        }
        found
    }

    fn take_in(&mut self, book: &Book, last: &mut Last, entry: &Entry) {
        let main = book.scale().division;
        match entry {
            Entry::Poured {
                task,
                before,
                after,
                ..
            } => {
                let between = self.read(&mut last.jar, main);
                self.add(book, Some(*task), *after - *before, between);
            }
            Entry::PouredOut {
                task,
                before,
                after,
                ..
            } => {
                let scale = book.task(*task).map(|task| book.scale_of(task));
                let division = scale.and_then(|scale| scale.division);
                let between = self.read(&mut last.bottle, division);
                self.add(book, Some(*task), *before - *after, between);
            }
            Entry::Changed {
                before,
                after,
                cause,
            } => {
                let between = self.read(&mut last.jar, main);
                if *cause == Cause::TakenOut {
                    self.add(book, None, *after - *before, between);
                }
            }
            Entry::Decanted { before, after, .. } => {
                let between = self.read(&mut last.jar, main);
                self.add(book, None, *after - *before, between);
            }
            Entry::WasOther { from, to, .. } => self.was_other(book, *from, *to),
            // What is weighed from here on begins with a reading of its own.
            Entry::JarPlaced { .. } | Entry::JarReturned { .. } | Entry::JarCompared { .. } => {
                last.jar = None;
            }
            Entry::ZeroMoved { .. } => *last = Last::default(),
            Entry::BottlePlaced { .. }
            | Entry::Filled { .. }
            | Entry::LaidOn { .. }
            | Entry::FineZeroMoved { .. } => last.bottle = None,
            _ => {}
        }
    }

    /// Reads a scale once more; the reading before is the one that was booked last, where it still counts.
    fn read(&mut self, last: &mut Option<usize>, division: Option<Mass>) -> (usize, usize) {
        let mut reading = || {
            self.divisions.push(division);
            self.divisions.len() - 1
        };
        let from = last.unwrap_or_else(&mut reading);
        let to = reading();
        *last = Some(to);
        (from, to)
    }

    fn add(&mut self, book: &Book, task: Option<TaskId>, mass: Mass, (from, to): (usize, usize)) {
        let key = task.and_then(|id| key_of(book, id));
        if task.is_some() && key.is_none() {
            return;
        }
        self.list.push(Weighing {
            key,
            mass,
            from,
            to,
            task,
        });
    }

    /// What a task had received was another ingredient.
    fn was_other(&mut self, book: &Book, from: TaskId, to: TaskId) {
        let key = key_of(book, to);
        let of_it = self.list.iter_mut().filter(|one| one.task == Some(from));
        for one in of_it {
            one.key.clone_from(&key);
            one.task = Some(to);
        }
    }
}

fn key_of(book: &Book, id: TaskId) -> Option<String> {
    let ingredient = book.task(id).and_then(|task| book.pours(task));
    ingredient.map(|ingredient| ingredient.key.clone())
}
