//! Whose turn it is: the walk, what rests, what waits for a premix.

use crate::procedure::StepKind;
use crate::session::{BatchState, Book, Session};

use super::Jars;

impl Jars {
    /// Returns the jar whose turn it is; where all that is left only rests, the one that is ready first.
    pub(super) fn wanted(&self) -> Option<usize> {
        let open = || {
            let jars = 0..self.sessions.len();
            jars.filter(|&jar| !self.book(jar).is_over())
        };
        // What was begun in a jar is finished first: a question, a pour, a step that goes on in the hand.
        let here = self.here();
        if !self.book(here).is_over() && self.is_begun(here) {
            return Some(here);
        }
        let ready = open()
            .filter(|&jar| !self.is_resting(jar) && !self.waits_for_premix(jar))
            .min_by_key(|&jar| (self.turn(jar), jar));
        ready.or_else(|| {
            open()
                .filter(|&jar| self.is_resting(jar))
                .min_by_key(|&jar| (self.sessions[jar].due(), jar))
                // A premix that was given up would be waited for in vain.
                .or_else(|| open().min_by_key(|&jar| (self.turn(jar), jar)))
        })
    }

    /// Returns whether something in this jar is under way that another jar must wait for.
    fn is_begun(&self, jar: usize) -> bool {
        let book = self.book(jar);
        let insisted = book
            .current()
            .is_some_and(|task| self.insisted == Some((jar, task.id)));
        let poured = book
            .current()
            .is_some_and(|task| task.verdict.is_none() && !task.poured.is_zero());
        let held = matches!(book.state(), BatchState::Held | BatchState::Paused);
        held || insisted || poured || self.had_turn == Some(jar) && self.is_being_poured_into(jar)
    }

    /// Returns whether something runs into the jar on the pan that is not booked yet, as it will be when it settles.
    fn is_being_poured_into(&self, jar: usize) -> bool {
        let (session, book) = (&self.sessions[jar], self.book(jar));
        let Some(task) = book.current().filter(|task| book.pours(task).is_some()) else {
            return false;
        };
        let net = session.net().filter(|_| self.on_pan() == Some(jar));
        net.is_some_and(|net| task.poured + self.noticeable(jar) < net)
    }

    pub(super) fn is_resting(&self, jar: usize) -> bool {
        let book = self.book(jar);
        let rests = book
            .current()
            .is_some_and(|task| matches!(book.step(task), StepKind::Rest { .. }));
        rests && !book.is_over() && self.sessions[jar].due().is_some_and(|due| self.now < due)
    }

    /// Returns whether the next pour of a jar is of a premix of this run that is not made yet.
    fn waits_for_premix(&self, jar: usize) -> bool {
        let next = self.book(jar);
        let step = next.current().or_else(|| next.first_open());
        let pours = step.and_then(|task| next.pours(task));
        pours.is_some_and(|ingredient| {
            let mut others = self.sessions.iter().map(Session::book);
            others.any(|book| is_making(book, &ingredient.key))
        })
    }

    /// Returns when the next step of a jar has its turn.
    fn turn(&self, jar: usize) -> u32 {
        let book = self.book(jar);
        let Some(place) = self.of_set(jar) else {
            return 0;
        };
        let next = book.current().or_else(|| book.first_open());
        let Some(next) = next else {
            return u32::MAX;
        };
        // A step that a rescue added has the turn of the step it was added after.
        let before = book.tasks().take_while(|task| task.id != next.id);
        let known = |step: usize| place.turns.get(step).copied();
        known(next.step)
            .or_else(|| before.filter_map(|task| known(task.step)).last())
            .unwrap_or(0)
    }
}

fn is_making(book: &Book, key: &str) -> bool {
    let place = book.procedure().of_set.as_ref();
    !book.is_over() && place.is_some_and(|place| place.key == key)
}
