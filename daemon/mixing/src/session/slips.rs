//! What only the person can know: a bottle is empty, and what was poured was something else.

use tarehand_protocol::Mass;

use super::book::Task;
use super::entry::{Entry, Extra, Verdict};
use super::input::Refusal;
use super::judge::Place;
use super::question::{Question, Slip};
use super::{Session, Turn};

impl Session {
    /// There is no more of what the current task pours.
    pub(super) fn ran_out(&mut self, turn: &mut Turn) -> Result<(), Refusal> {
        if self.book.question().is_some() {
            return Err(Refusal::Asked);
        }
        if !self.is_pouring() {
            return Err(Refusal::NothingPoured);
        }
        self.load_ready()?;
        self.book_last_digit(turn);
        let task = self.book.current().ok_or(Refusal::NoJar)?;
        let id = task.id;
        self.record(turn, Entry::RanOut { task: id });
        let task = self.book.current().ok_or(Refusal::NoJar)?;
        let verdict = self.place(task).verdict();
        if verdict != Verdict::Shortfall || !self.is_in_ratio(task) {
            self.finish(turn, verdict);
            return Ok(());
        }
        self.judged(turn, verdict);
        self.way_out_of(turn, Slip::RanOut);
        Ok(())
    }

    /// What was poured last was something else: it is booked as that, and its own task is open again.
    pub(super) fn was_other(&mut self, turn: &mut Turn, key: &str) -> Result<(), Refusal> {
        if self.book.question().and_then(Question::waiting).is_some() {
            return Err(Refusal::Asked);
        }
        self.load_ready()?;
        let current = self
            .book
            .current()
            .filter(|task| Mass::ZERO < task.poured && self.is_pouring());
        let from = current
            .or_else(|| self.last_poured())
            .ok_or(Refusal::NothingPoured)?;
        if self
            .book
            .pours(from)
            .is_some_and(|ingredient| ingredient.key == key)
        {
            return Err(Refusal::SameIngredient);
        }
        let (from, mass) = (from.id, from.poured);
        let open = self.open_tasks(key).map(|task| task.id).next();
        let (to, new) = match open {
            Some(to) => (to, None),
            None => {
                let task = self.book.next_task_id();
                let extra = Extra {
                    task,
                    step: self.book.procedure().steps.len(),
                    target: Mass::ZERO,
                };
                (task, Some((extra, self.new_step(key))))
            }
        };
        self.record(
            turn,
            Entry::WasOther {
                from,
                to,
                mass,
                new,
            },
        );
        self.watch.inside_since = None;
        let above = self
            .book
            .task(to)
            .is_some_and(|task| self.is_in_ratio(task) && self.place(task) == Place::Above);
        if above {
            self.record(turn, Entry::Began { task: to });
            self.finish(turn, Verdict::Overshoot);
        } else if self.is_off_ratio() {
            self.record(turn, Entry::Began { task: from });
            self.way_out_of(turn, Slip::TakenOut);
        } else {
            self.advance(turn);
        }
        Ok(())
    }

    /// Returns the last task before the current one that poured something.
    fn last_poured(&self) -> Option<&Task> {
        let current = self.book.current()?.id;
        let before = self.book.tasks().take_while(|task| task.id != current);
        before
            .filter(|task| Mass::ZERO < task.poured && self.book.pours(task).is_some())
            .last()
    }
}
