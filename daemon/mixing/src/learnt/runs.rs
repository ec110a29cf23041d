//! What one batch's journal tells, run by run.
//!
//! Strict on purpose: a pour counts only where nothing else can have moved its end. What was undone, reopened or named
//! another ingredient afterwards tells nothing, and neither does what nobody watched.

use tarehand_protocol::Mass;

use super::Kind;
use crate::procedure::{Amount, StepKind};
use crate::session::{Book, Cause, Entry, Purpose, Record, Seen, StopSaid, Task, TaskId, Verdict};
use crate::trail::Trail;

/// What is told, and of what.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// The place in the journal of the entry that completes it.
    pub entry: usize,
    /// Of what.
    pub of: Of,
    /// The name of what it tells of, for people; none where that is all mixes together.
    pub name: Option<String>,
    /// What.
    pub told: Told,
}

/// What something is learnt of.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Of {
    /// What is learnt.
    pub kind: Kind,
    /// The ingredient by its key, or the recipe by its name; empty for what is learnt of all mixes together.
    pub key: String,
    /// Whose hand, where the person said it; only pours depend on it.
    pub hand: Option<String>,
}

/// What a run tells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Told {
    /// How a pour ended that was stopped after its cue.
    Pour(PourRun),
    /// One number.
    Plain(PlainRun),
}

/// A pour that was stopped after its cue.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PourRun {
    /// The flow at the cue, in grams a second.
    pub flow_g_s: f64,
    /// By how much it came out above where it should have ended; below zero where below.
    pub over: Mass,
    /// By how much earlier than by the flow alone the cue was given.
    pub lead: Mass,
}

impl PourRun {
    /// Returns by how much it would have come out above, had the cue been the flow's alone.
    #[must_use]
    pub fn unled(&self) -> Mass {
        self.over + self.lead
    }
}

/// One number of a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlainRun {
    /// The number, in its kind's unit.
    pub value: f64,
    /// How much it counts against others: the drops in it.
    pub weight: f64,
    /// What was taken for it in that run, where there is a default.
    pub default: Option<f64>,
}

impl PlainRun {
    const fn alone(value: f64) -> Self {
        Self {
            value,
            weight: 1.0,
            default: None,
        }
    }
}

/// Reads the runs out of a batch's journal, in its order; nothing where it does not begin with an opening.
#[must_use]
pub fn runs(journal: &[Record]) -> Vec<Run> {
    let Some((first, rest)) = journal.split_first() else {
        return Vec::new();
    };
    let Some(book) = Book::rebuild(std::slice::from_ref(first)) else {
        return Vec::new();
    };
    let mut reader = Reader {
        book,
        found: Vec::new(),
        spoilt: Vec::new(),
        residue: Mass::ZERO,
    };
    for (place, record) in (1..).zip(rest) {
        reader.entry(place, &record.entry);
        reader.book.fold(record);
    }
    reader.clean()
}

struct Reader {
    book: Book,
    /// Each with the task it belongs to, where it belongs to one.
    found: Vec<(Option<TaskId>, Run)>,
    /// Tasks of which something was not watched, or was another ingredient.
    spoilt: Vec<TaskId>,
    /// What came or went that is no ingredient, since something was poured.
    residue: Mass,
}

impl Reader {
    /// Looks at an entry before the book takes it in.
    fn entry(&mut self, place: usize, entry: &Entry) {
        match entry {
            Entry::Poured {
                task,
                before,
                after,
                seen,
                stop,
            } => self.poured(place, *task, *after - *before, *seen, *stop),
            Entry::PouredOut {
                task,
                before,
                after,
                from_cup,
                seen,
                stop,
            } => {
                // What was filled into the cup here left it without a cue.
                let stop = stop.filter(|_| from_cup.is_zero());
                self.poured(place, *task, *before - *after, *seen, stop);
            }
            Entry::Changed {
                before,
                after,
                cause: Cause::Residue,
            } => self.residue += *after - *before,
            Entry::Judged { task, verdict, .. } => self.judged(place, *task, *verdict),
            Entry::WasOther { from, to, .. } => self.spoilt.extend([*from, *to]),
            Entry::Undone => self.spoilt.extend(self.book.current().map(|task| task.id)),
            Entry::Completed => {
                self.stick(place);
                self.area(place);
            }
            _ => {}
        }
    }

    fn poured(&mut self, place: usize, id: TaskId, mass: Mass, seen: Seen, stop: Option<StopSaid>) {
        self.stick(place);
        if seen != Seen::Watched {
            self.spoilt.push(id);
        }
        let Some(task) = self.book.task(id) else {
            return;
        };
        let (Some(stop), true) = (stop, task.poured.is_zero() && self.ends_at_weight(task)) else {
            return;
        };
        let told = Told::Pour(PourRun {
            flow_g_s: stop.flow_per_s.grams(),
            over: mass - stop.aim,
            lead: stop.lead,
        });
        self.tell_of(place, id, Kind::StopLead, told);
    }

    /// Returns whether a task's pour ends at a weight, and not at a count or by eye.
    fn ends_at_weight(&self, task: &Task) -> bool {
        self.book.addition(task).is_some_and(|addition| {
            matches!(
                addition.amount,
                Amount::Weighed { .. } | Amount::Range { .. }
            )
        })
    }

    fn judged(&mut self, place: usize, id: TaskId, verdict: Verdict) {
        let Some(task) = self.book.task(id) else {
            return;
        };
        match self.book.step(task) {
            StepKind::Add(addition) => {
                if let Amount::Counted { unit, each, .. } = addition.amount
                    && let Some(run) = counted(task, each, verdict)
                {
                    self.tell_of(place, id, Kind::from(unit), Told::Plain(run));
                }
            }
            StepKind::Thin { wanted_s, .. } => {
                if let Some(part) = wanted_s.and_then(|wanted_s| self.thinner_for(wanted_s)) {
                    self.tell_of(place, id, Kind::Thinner, Told::Plain(PlainRun::alone(part)));
                }
            }
            _ => {}
        }
    }

    /// Returns the thinner in a gram of mix without it, where the trail measured last is the wanted one.
    fn thinner_for(&self, wanted_s: f64) -> Option<f64> {
        let wanted = Trail::from_seconds(wanted_s).ok()?;
        let last = self.book.trails().last()?;
        let off_s = (last.trail.seconds() - wanted.seconds()).abs();
        let mix = last.jar - last.thinner;
        let right = off_s <= wanted.tolerance_s() && Mass::ZERO < last.thinner;
        (right && Mass::ZERO < mix).then(|| last.thinner.grams() / mix.grams())
    }

    /// What left the jar since the last pour, and was no ingredient, hung at the stick.
    fn stick(&mut self, place: usize) {
        let gone = Mass::ZERO - std::mem::take(&mut self.residue);
        if Mass::ZERO < gone {
            let told = Told::Plain(PlainRun::alone(gone.grams()));
            self.tell(place, None, Kind::Stick, Subject::default(), told);
        }
    }

    /// What was let out of a jar of a set went over its part of the surface.
    fn area(&mut self, place: usize) {
        let Some(of_set) = &self.book.procedure().of_set else {
            return;
        };
        let Some(covers) = &of_set.covers else {
            return;
        };
        let square_m = covers.square_mm.to_f64() / 1e6;
        let decanted = self.book.all_tasks().filter(|task| {
            matches!(self.book.step(task), StepKind::Decant { .. }) && task.poured < Mass::ZERO
        });
        let out: Mass = decanted.fold(Mass::ZERO, |out, task| out - task.poured);
        if out <= Mass::ZERO || square_m <= 0.0 {
            return;
        }
        let takes = covers.takes.grams();
        let told = Told::Plain(PlainRun {
            value: out.grams() / square_m,
            weight: 1.0,
            default: Some(takes / square_m),
        });
        let subject = Subject {
            key: of_set.key.clone(),
            name: Some(self.book.procedure().recipe.clone()),
        };
        self.tell(place, None, Kind::Yield, subject, told);
    }

    fn tell_of(&mut self, place: usize, id: TaskId, kind: Kind, told: Told) {
        let Some(task) = self.book.task(id) else {
            return;
        };
        let recipe = &self.book.procedure().recipe;
        let subject = match kind {
            Kind::Thinner => Some(Subject::new(recipe, recipe)),
            _ => self
                .book
                .pours(task)
                .map(|poured| Subject::new(&poured.key, &poured.name)),
        };
        if let Some(subject) = subject {
            self.tell(place, Some(id), kind, subject, told);
        }
    }

    fn tell(
        &mut self,
        entry: usize,
        task: Option<TaskId>,
        kind: Kind,
        Subject { key, name }: Subject,
        told: Told,
    ) {
        let hand = match kind {
            Kind::StopLead => self.book.limits().hand.clone(),
            _ => None,
        };
        let of = Of { kind, key, hand };
        let run = Run {
            entry,
            of,
            name,
            told,
        };
        self.found.push((task, run));
    }

    fn clean(self) -> Vec<Run> {
        let is_clean = |id: &TaskId| {
            let reopened = self.book.task(*id).is_none_or(|task| task.reopened);
            !reopened && !self.spoilt.contains(id)
        };
        let clean = self
            .found
            .into_iter()
            .filter(|(task, _)| task.as_ref().is_none_or(is_clean));
        clean.map(|(_, run)| run).collect()
    }
}

/// What a run tells of.
#[derive(Default)]
struct Subject {
    key: String,
    name: Option<String>,
}

impl Subject {
    fn new(key: &str, name: &str) -> Self {
        Self {
            key: key.to_owned(),
            name: Some(name.to_owned()),
        }
    }
}

/// Returns what one of the counted weighed, where as many were counted as the step says.
fn counted(task: &Task, each: Mass, verdict: Verdict) -> Option<PlainRun> {
    let whole = matches!(verdict, Verdict::Recorded | Verdict::Within);
    let target = task.target.filter(|_| {
        whole && task.purpose == Purpose::Planned && Mass::ZERO < task.poured && Mass::ZERO < each
    })?;
    let count = (target.grams() / each.grams()).round();
    (1.0 <= count).then(|| PlainRun {
        value: task.poured.grams() / count,
        weight: count,
        default: Some(each.grams()),
    })
}
