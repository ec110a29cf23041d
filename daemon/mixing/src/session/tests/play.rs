//! A session driven by settled weights, and what must hold after every script.

use super::*;
use crate::ledger::{self, Vessel};

/// A session driven by settled weights, with the time and the journal kept.
pub(super) struct Play {
    pub(super) session: Session,
    pub(super) journal: Vec<Record>,
    pub(super) cues: Vec<Cue>,
    pub(super) refusals: Vec<Refusal>,
    pub(super) now: Tick,
}

impl Play {
    /// The ways out that are offered now.
    pub(super) fn ways_out(&self) -> Vec<RescueOption> {
        let question = self.session.book().question();
        let ways = question.and_then(Question::ways_out);
        ways.expect("a way out is asked for").1.clone()
    }

    pub(super) fn offered(&self) -> Vec<RescueKind> {
        self.ways_out().iter().map(|option| option.kind).collect()
    }

    pub(super) fn option(&self, kind: RescueKind) -> RescueOption {
        let mut ways = self.ways_out().into_iter();
        ways.find(|option| option.kind == kind)
            .expect("it is offered")
    }

    pub(super) fn choose(&mut self, kind: RescueKind) {
        let place = self.offered().iter().position(|offered| *offered == kind);
        let number = place.and_then(|place| u8::try_from(place + 1).ok());
        self.say(Command::Answer(Answer::Option(
            number.expect("it is offered"),
        )));
    }

    pub(super) fn open(steps: Vec<StepKind>) -> Self {
        Self::of(procedure(steps))
    }

    pub(super) fn of(procedure: Procedure) -> Self {
        Self::on("0.1", procedure)
    }

    /// Opens on a scale of this division.
    pub(super) fn on(division: &str, procedure: Procedure) -> Self {
        let scale = Scale {
            division: Some(mass(division)),
            capacity: None,
        };
        let (session, effects) = Session::open(Tick::ZERO, procedure, Limits::default(), scale);
        let mut play = Self {
            session,
            journal: Vec::new(),
            cues: Vec::new(),
            refusals: Vec::new(),
            now: Tick::ZERO,
        };
        play.take(effects);
        play
    }

    /// Opens and puts a jar of 50 g on an empty pan.
    pub(super) fn with_jar(steps: Vec<StepKind>) -> Self {
        let mut play = Self::open(steps);
        play.settle("0").settle("50");
        play
    }

    pub(super) fn take(&mut self, effects: Vec<Effect>) {
        for effect in effects {
            match effect {
                Effect::Record(record) => self.journal.push(*record),
                Effect::Cue(cue) => self.cues.push(cue),
                Effect::Refuse(refusal) => self.refusals.push(refusal),
                Effect::WakeAt(_) | Effect::EmptyPan(_) | Effect::FineEmptyPan(_) => {}
            }
        }
    }

    pub(super) fn input(&mut self, input: Input) -> &mut Self {
        let effects = self.session.step(self.now, input);
        self.take(effects);
        self
    }

    pub(super) fn fact(&mut self, fact: Fact) -> &mut Self {
        self.input(Input::Fact(fact))
    }

    /// The weight settles, and stays so for two seconds.
    pub(super) fn settle(&mut self, gross: &str) -> &mut Self {
        self.settle_by(gross, Change::Jump)
    }

    pub(super) fn settle_by(&mut self, gross: &str, change: Change) -> &mut Self {
        self.wait(2_000);
        self.fact(Fact::Settled {
            gross: mass(gross),
            change,
        });
        self.wait(2_000)
    }

    pub(super) fn wait(&mut self, millis: u64) -> &mut Self {
        self.now = self.now + Duration::from_millis(millis);
        self.input(Input::Wake)
    }

    pub(super) fn say(&mut self, command: Command) -> &mut Self {
        self.input(Input::Command(command))
    }

    pub(super) fn lift(&mut self) -> &mut Self {
        let gross = self.session.book().empty();
        self.fact(Fact::Unloaded { gross })
    }

    pub(super) fn kinds(&self) -> Vec<&'static str> {
        self.journal
            .iter()
            .map(|record| record.entry.kind())
            .collect()
    }

    pub(super) fn poured(&self) -> Vec<String> {
        self.session
            .book()
            .tasks()
            .map(|task| task.poured.grams_text(1))
            .collect()
    }

    pub(super) fn targets(&self) -> Vec<String> {
        self.session
            .book()
            .tasks()
            .filter_map(|task| task.target)
            .map(|target| target.grams_text(1))
            .collect()
    }

    pub(super) fn verdict(&self, task: u32) -> Option<Verdict> {
        self.session.book().task(TaskId(task)).unwrap().verdict
    }

    pub(super) fn current(&self) -> Option<u32> {
        self.session.book().current().map(|task| task.id.0)
    }

    /// What must hold after every script: the journal alone gives the same book, and the ledger balances.
    #[track_caller]
    pub(super) fn check(&self) {
        assert_eq!(
            Book::rebuild(&self.journal).as_ref(),
            Some(self.session.book()),
            "the journal rebuilds the book"
        );
        let book = self.session.book();
        let into_jar: Mass = self
            .journal
            .iter()
            .flat_map(|record| ledger::transfers(book, &record.entry))
            .map(|transfer| {
                if transfer.to == Vessel::Jar {
                    transfer.mass
                } else if transfer.from == Vessel::Jar {
                    -transfer.mass
                } else {
                    Mass::ZERO
                }
            })
            .sum();
        assert_eq!(
            into_jar,
            book.last() - book.empty() - book.tare(),
            "the ledger is what was weighed"
        );
    }
}
