//! A session with somebody beside it who checks every single answer against the laws.

use std::collections::BTreeMap;
use std::time::Duration;

use tarehand_mixing::ledger::{self, Substance, Transfer, Vessel};
use tarehand_mixing::procedure::{Decanted, StepKind};
use tarehand_mixing::session::{
    BatchState, Book, BottlePlace, Effect, Entry, Input, JarPlace, Limits, Question, Record,
    Session, TaskId, Verdict,
};
use tarehand_mixing::settler::Fact;
use tarehand_mixing::weighing::{self, Scale};
use tarehand_mixing::{Amount, Procedure, Tick};
use tarehand_protocol::Mass;

/// A session under watch: every input goes through [`Witness::step`].
#[derive(Clone, Debug)]
pub(super) struct Witness {
    pub(super) session: Session,
    pub(super) journal: Vec<Record>,
    pub(super) now: Tick,
    /// The book as the journal alone tells it, through JSON and back.
    told: Book,
    /// What each entry of the journal moved by the book of its moment.
    moved: Vec<Vec<Transfer>>,
    settled: Option<Mass>,
    poured: BTreeMap<TaskId, Mass>,
    last: Mass,
    /// What the scale showed with the bottle when it was booked last.
    bottle: Mass,
    jar: Mass,
    /// What of the mix is in another vessel.
    decanted: BTreeMap<TaskId, Mass>,
    waiting: Option<Mass>,
    /// Whether the input being taken answered a question: its weight had settled when it was asked.
    answered: bool,
}

impl Witness {
    pub(super) fn open(procedure: Procedure, limits: Limits, scale: Scale) -> Self {
        let (session, effects) =
            Session::open(Tick::ZERO, procedure.clone(), limits.clone(), scale);
        let mut witness = Self {
            session,
            journal: Vec::new(),
            now: Tick::ZERO,
            told: Book::open(procedure, limits, scale),
            moved: Vec::new(),
            settled: None,
            poured: BTreeMap::new(),
            last: Mass::ZERO,
            bottle: Mass::ZERO,
            jar: Mass::ZERO,
            decanted: BTreeMap::new(),
            waiting: None,
            answered: false,
        };
        witness.take(&effects);
        witness
    }

    pub(super) fn book(&self) -> &Book {
        self.session.book()
    }

    pub(super) fn wait(&mut self, time: Duration) -> Vec<Effect> {
        self.now = self.now + time;
        self.step(Input::Wake)
    }

    pub(super) fn step(&mut self, input: Input) -> Vec<Effect> {
        self.hear(&input);
        // Most inputs are live weights that change nothing; looking twice at each would only take time.
        let twin = (!matches!(input, Input::Fact(Fact::Live(_)))).then(|| self.session.clone());
        let command = matches!(input, Input::Command(_));
        let named = format!("{input:?}");
        let effects = self.session.step(self.now, input.clone());
        if let Some(mut twin) = twin {
            let refused = effects
                .iter()
                .any(|effect| matches!(effect, Effect::Refuse(_)));
            if refused && command {
                assert_eq!(
                    twin.book(),
                    self.session.book(),
                    "a refusal changes nothing"
                );
            }
            assert_eq!(
                twin.step(self.now, input),
                effects,
                "the same input has the same effects"
            );
            assert_eq!(
                twin.book(),
                self.session.book(),
                "and leads to the same book"
            );
        }
        self.take(&effects);
        assert_eq!(
            &self.told,
            self.session.book(),
            "the journal alone gives the book, after {named}"
        );
        effects
    }

    /// The process dies and the journal is taken up again.
    pub(super) fn restart(&mut self) {
        let text = serde_json::to_string(&self.journal).unwrap();
        let journal: Vec<Record> = serde_json::from_str(&text).unwrap();
        self.session = Session::rebuild(&journal).unwrap();
        self.settled = None;
        assert_eq!(&self.told, self.session.book());
    }

    fn hear(&mut self, input: &Input) {
        match input {
            Input::Fact(Fact::Settled { gross, .. }) => self.settled = Some(*gross),
            Input::Fact(Fact::Live(live)) if !live.quiet => self.settled = None,
            Input::Fact(Fact::NoWeight(_) | Fact::Lost | Fact::Back { .. }) => self.settled = None,
            Input::Fact(Fact::Live(_) | Fact::Unloaded { .. } | Fact::Spike { .. })
            | Input::Command(_)
            | Input::Scale(_)
            | Input::Fine(_)
            | Input::FineAside { .. }
            | Input::FineEmpty(_)
            | Input::FineScale(_)
            | Input::EarlierThinning(_)
            | Input::Room(_)
            | Input::Wake
            | Input::TakenAway => {}
            Input::Brought { gross, .. } => self.settled = Some(*gross),
        }
    }

    fn take(&mut self, effects: &[Effect]) {
        self.answered = false;
        for effect in effects {
            let Effect::Record(record) = effect else {
                continue;
            };
            let text = serde_json::to_string(record).unwrap();
            let read: Record = serde_json::from_str(&text).unwrap();
            assert_eq!(
                &read,
                record.as_ref(),
                "an entry survives being written down"
            );
            self.check(&read);
            assert!(self.told.has_steps_of(&read.entry));
            if !matches!(read.entry, Entry::Opened { .. }) {
                self.told.fold(&read);
            }
            self.moved.push(ledger::transfers(&self.told, &read.entry));
            self.journal.push(read);
        }
    }

    /// Checks one entry against what the earlier ones and the scale have said.
    fn check(&mut self, record: &Record) {
        match &record.entry {
            Entry::JarPlaced { empty, gross } => {
                self.last = *gross;
                assert!(empty < gross);
            }
            Entry::Poured {
                task,
                before,
                after,
                ..
            } => {
                self.move_chain(*before, *after);
                *self.poured.entry(*task).or_insert(Mass::ZERO) += *after - *before;
                let task = self.told.task(*task).unwrap();
                assert!(
                    self.told.pours(task).is_some(),
                    "only a task that pours receives"
                );
            }
            Entry::Changed { before, after, .. } => self.move_chain(*before, *after),
            Entry::Decanted {
                task,
                before,
                after,
                ..
            } => {
                self.move_chain(*before, *after);
                *self.decanted.entry(*task).or_insert(Mass::ZERO) += *before - *after;
                let task = self.told.task(*task).unwrap();
                assert!(
                    matches!(self.told.step(task), StepKind::Decant { .. }),
                    "only a step that decants lets the mix into another vessel"
                );
            }
            Entry::Rescued { targets, extra, .. } => {
                let gone = self.decanted.values().any(|mass| Mass::ZERO < *mass);
                assert!(
                    !gone || targets.is_empty() && extra.is_empty(),
                    "nothing is poured for a way out after some of the mix is in another vessel"
                );
            }
            Entry::BottlePlaced { empty, gross, .. } => {
                if self.told.jar() == JarPlace::Awaited {
                    self.last += *empty - self.told.empty();
                }
                assert!(empty < gross);
                self.bottle = *gross;
            }
            Entry::PouredOut {
                task,
                before,
                after,
                from_cup,
                ..
            } => {
                self.move_bottle(*before, *after);
                let mass = *before - *after;
                self.last += mass;
                self.jar += mass;
                *self.poured.entry(*task).or_insert(Mass::ZERO) += mass;
                let filled = self.told.bottle_in_use().unwrap().filled;
                assert!(Mass::ZERO <= *from_cup && *from_cup <= filled);
            }
            Entry::Filled { before, after, .. } => {
                assert!(before < after);
                self.move_bottle(*before, *after);
            }
            Entry::LaidOn { before, after } => self.move_bottle(*before, *after),
            Entry::JarReturned { gross } => self.last = *gross,
            Entry::ZeroMoved { before, after, .. } => {
                let asked = self.told.question().and_then(Question::waiting_for_jar);
                assert_eq!(
                    *before,
                    asked.unwrap_or(self.last),
                    "the zero moves from what stood there"
                );
                self.last += *after - *before;
                self.bottle += *after - *before;
                self.waiting = self.waiting.map(|waiting| waiting + *after - *before);
            }
            Entry::Asked { question } => {
                self.waiting = question.waiting();
                let booked = match question {
                    Question::BottleLighter { .. } => self.bottle,
                    _ => self.last,
                };
                assert_eq!(
                    asked_from(question).unwrap_or(booked),
                    booked,
                    "a question begins at what was booked"
                );
            }
            Entry::Answered { .. } => {
                self.waiting = None;
                self.answered = true;
            }
            Entry::Undone => self.waiting = None,
            Entry::Judged {
                task,
                verdict,
                poured,
                target,
                within,
            } => {
                self.check_verdict(*task, *verdict, *poured, *target, *within);
            }
            _ => {}
        }
    }

    fn move_chain(&mut self, before: Mass, after: Mass) {
        assert_eq!(
            before, self.last,
            "every gram is the difference to what was booked last"
        );
        self.last = after;
        self.jar += after - before;
    }

    fn move_bottle(&mut self, before: Mass, after: Mass) {
        assert_eq!(
            before, self.bottle,
            "every gram is the difference to what the bottle weighed last"
        );
        self.bottle = after;
    }

    fn check_verdict(
        &self,
        id: TaskId,
        verdict: Verdict,
        poured: Mass,
        target: Option<Mass>,
        within: Option<Mass>,
    ) {
        let task = self.told.task(id).unwrap();
        assert_eq!(poured, task.poured, "the record holds what was poured");
        let uncertainty = self
            .told
            .scale()
            .division
            .map_or(Mass::ZERO, weighing::uncertainty);
        if let StepKind::Decant { amount, .. } = self.told.step(task) {
            let least = match amount {
                Decanted::Weighed { target, within } => {
                    Some(*target - within.of(*target).max(uncertainty))
                }
                Decanted::All => None,
            };
            let out = Mass::ZERO - poured;
            let named = match (verdict, least) {
                (Verdict::Skipped, _) | (Verdict::Recorded, None) => true,
                (Verdict::Within, Some(least)) => least <= out,
                (Verdict::Shortfall, Some(least)) => out < least,
                (Verdict::Within | Verdict::Shortfall, None)
                | (Verdict::Recorded, Some(_))
                | (Verdict::Overshoot, _) => false,
            };
            assert!(named, "{verdict:?} with {out} out, of {least:?} at least");
            return;
        }
        let amount = self.told.addition(task).map(|addition| &addition.amount);
        let bounds = match amount {
            Some(Amount::Weighed { within: asked, .. }) => {
                Some((target.unwrap(), asked.of(target.unwrap())))
            }
            Some(Amount::Counted {
                within: Some(asked),
                ..
            }) => Some((target.unwrap(), asked.of(target.unwrap()))),
            _ => None,
        };
        let (low, high) = match (amount, bounds) {
            (_, Some((target, asked))) => {
                let force = asked.max(uncertainty);
                assert_eq!(
                    within,
                    Some(force),
                    "the tolerance in force is the larger one"
                );
                (target - force, target + force)
            }
            (Some(Amount::Range { low, high }), _) => (*low - uncertainty, *high + uncertainty),
            _ => {
                assert!(
                    matches!(verdict, Verdict::Recorded | Verdict::Skipped),
                    "{verdict:?} where nothing is judged"
                );
                return;
            }
        };
        let named = match verdict {
            Verdict::Within => low <= poured && poured <= high,
            Verdict::Overshoot => high < poured,
            Verdict::Shortfall => poured < low,
            Verdict::Skipped => return,
            Verdict::Recorded => false,
        };
        assert!(named, "{verdict:?} with {poured} between {low} and {high}");
        if self.answered && verdict == Verdict::Overshoot {
            return;
        }
        let on_pan = match (self.told.bottle_in_use(), self.told.jar()) {
            (Some(bottle), _) => {
                assert_eq!(
                    bottle.place,
                    BottlePlace::OnPan,
                    "nothing is judged with the bottle in the hand"
                );
                self.bottle
            }
            // Nothing has left a bottle that has not come yet.
            (None, JarPlace::Beside { .. } | JarPlace::Awaited | JarPlace::Gone { .. }) => {
                assert!(
                    self.told.weighs_out(),
                    "nothing is judged with the jar away"
                );
                return;
            }
            (None, JarPlace::OnPan) => self.last,
        };
        let settled = self
            .settled
            .expect("nothing is judged without a settled weight");
        let twice = self.told.scale().flicker() + self.told.scale().flicker();
        assert!(
            (settled - on_pan).abs() <= twice.max(uncertainty),
            "judged at {on_pan} with {settled} on the pan"
        );
    }

    /// What every vessel has gained by the ledger; over all of them nothing.
    pub(super) fn vessels(&self) -> BTreeMap<Vessel, Mass> {
        let book = self.session.book();
        let mut vessels: BTreeMap<Vessel, Mass> = BTreeMap::new();
        for record in &self.journal {
            for transfer in ledger::transfers(book, &record.entry) {
                *vessels.entry(transfer.from).or_default() -= transfer.mass;
                *vessels.entry(transfer.to).or_default() += transfer.mass;
            }
        }
        assert_eq!(
            vessels.values().copied().sum::<Mass>(),
            Mass::ZERO,
            "what left one vessel came into another"
        );
        vessels
    }

    /// What must hold at any moment: the journal and the ledger are the book.
    pub(super) fn check_whole(&self) {
        let text = serde_json::to_string(&self.journal).unwrap();
        let journal: Vec<Record> = serde_json::from_str(&text).unwrap();
        let book = self.session.book();
        assert_eq!(Book::rebuild(&journal).as_ref(), Some(book));
        let again: Vec<Vec<Transfer>> = journal
            .iter()
            .map(|record| ledger::transfers(book, &record.entry))
            .collect();
        assert_eq!(
            again, self.moved,
            "the whole journal tells of each entry what was booked when it was written"
        );
        let mut shelf: BTreeMap<String, Mass> = BTreeMap::new();
        let mut jar = Mass::ZERO;
        for transfer in journal
            .iter()
            .flat_map(|record| ledger::transfers(book, &record.entry))
        {
            assert!(Mass::ZERO < transfer.mass);
            let mass = match (&transfer.from, &transfer.to) {
                (_, Vessel::Jar) => transfer.mass,
                (Vessel::Jar, _) => -transfer.mass,
                // A portion is filled into a small cup first.
                (Vessel::Shelf(_) | Vessel::Cup(_), Vessel::Cup(_)) => continue,
                other => panic!("{other:?} leaves the jar out"),
            };
            jar += mass;
            if let Substance::Ingredient(key) = transfer.substance {
                *shelf.entry(key).or_insert(Mass::ZERO) += mass;
            }
        }
        assert_eq!(
            jar, self.jar,
            "the ledger of the jar is the sum of the bookings"
        );
        assert_eq!(
            jar,
            book.last() - book.empty() - book.tare(),
            "and what stands on the pan, or beside it"
        );
        for (ingredient, mass) in book.contents() {
            let moved = shelf.get(&ingredient.key).copied().unwrap_or(Mass::ZERO);
            assert_eq!(
                mass, moved,
                "contents and ledger agree about {}",
                ingredient.key
            );
        }
        if book.state() == BatchState::Complete {
            assert!(
                book.tasks().all(|task| task.verdict.is_some()),
                "complete means every task is named"
            );
        }
    }
}

fn asked_from(question: &Question) -> Option<Mass> {
    match question {
        Question::Overshoot { .. } | Question::OffRatio { .. } | Question::TooThin { .. } => None,
        Question::PouredUnseen { before, .. }
        | Question::AddedInHand { before, .. }
        | Question::Lighter { before, .. }
        | Question::BottleLighter { before, .. }
        | Question::ZeroLost { before, .. } => Some(*before),
    }
}
