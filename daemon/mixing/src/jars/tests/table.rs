//! Several jars driven by settled weights, and what must hold after every script.

use super::*;
use crate::ledger::{self, Vessel};
use crate::session::Book;

pub(super) struct Table {
    pub(super) jars: Jars,
    pub(super) journals: Vec<Vec<Record>>,
    pub(super) cues: Vec<(usize, Cue)>,
    pub(super) refusals: Vec<Refusal>,
    pub(super) now: Tick,
}

impl Table {
    pub(super) fn of(procedures: Vec<Procedure>) -> Self {
        let scale = Scale {
            division: Some(mass("0.1")),
            capacity: None,
        };
        let opened = procedures
            .into_iter()
            .map(|procedure| Session::open(Tick::ZERO, procedure, Limits::default(), scale));
        let (sessions, effects): (Vec<Session>, Vec<Vec<Effect>>) = opened.unzip();
        let journals = effects
            .into_iter()
            .map(|effects| {
                let record = |effect| match effect {
                    Effect::Record(record) => Some(*record),
                    _ => None,
                };
                effects.into_iter().filter_map(record).collect()
            })
            .collect();
        Self {
            jars: Jars::new(sessions, Tick::ZERO).expect("there are jars"),
            journals,
            cues: Vec::new(),
            refusals: Vec::new(),
            now: Tick::ZERO,
        }
    }

    pub(super) fn input(&mut self, input: Input) -> &mut Self {
        for Wish { jar, effect } in self.jars.step(self.now, input) {
            match effect {
                Effect::Record(record) => self.journals[jar].push(*record),
                Effect::Cue(cue) => self.cues.push((jar, cue)),
                Effect::Refuse(refusal) => self.refusals.push(refusal),
                Effect::WakeAt(_) | Effect::EmptyPan(_) | Effect::FineEmptyPan(_) => {}
            }
        }
        self
    }

    /// Something is put down or taken away at once.
    pub(super) fn settle(&mut self, gross: &str) -> &mut Self {
        self.settle_at(mass(gross), Change::Jump)
    }

    /// Something is poured.
    pub(super) fn pour(&mut self, gross: &str) -> &mut Self {
        self.settle_at(mass(gross), Change::Gradual)
    }

    /// The weight settles, and stays so for two seconds.
    pub(super) fn settle_at(&mut self, gross: Mass, change: Change) -> &mut Self {
        self.wait(2_000);
        self.input(Input::Fact(Fact::Settled { gross, change }));
        self.wait(2_000)
    }

    pub(super) fn wait(&mut self, millis: u64) -> &mut Self {
        self.now = self.now + Duration::from_millis(millis);
        self.input(Input::Wake)
    }

    pub(super) fn say(&mut self, command: Command) -> &mut Self {
        self.input(Input::Command(command))
    }

    /// Whatever is on the pan is lifted; the empty pan is seen for a moment, not settled.
    pub(super) fn lift(&mut self) -> &mut Self {
        let gross = self.jars.empty_pan().unwrap_or_default();
        self.wait(500);
        self.input(Input::Fact(Fact::Unloaded { gross }))
    }

    /// The process dies and the journals are taken up again.
    pub(super) fn restart(&mut self) {
        let text = serde_json::to_string(&self.journals).unwrap();
        let journals: Vec<Vec<Record>> = serde_json::from_str(&text).unwrap();
        let sessions = journals
            .iter()
            .map(|journal| Session::rebuild(journal).expect("it begins with its opening"))
            .collect();
        self.jars = Jars::new(sessions, self.now).expect("there are jars");
    }

    pub(super) fn state(&self, jar: usize) -> BatchState {
        self.jars.sessions()[jar].book().state()
    }

    pub(super) fn poured(&self, jar: usize) -> Vec<String> {
        let tasks = self.jars.sessions()[jar].book().tasks();
        tasks.map(|task| task.poured.grams_text(1)).collect()
    }

    /// The journals alone give the same books, each ledger is what was weighed, and one jar at most is on the pan.
    #[track_caller]
    pub(super) fn check(&self) {
        let mut on_pan = 0;
        for (session, journal) in self.jars.sessions().iter().zip(&self.journals) {
            let book = session.book();
            assert_eq!(
                Book::rebuild(journal).as_ref(),
                Some(book),
                "the journal rebuilds the book"
            );
            on_pan += usize::from(book.jar() == JarPlace::OnPan && !book.is_over());
            let moved = journal
                .iter()
                .flat_map(|record| ledger::transfers(book, &record.entry));
            let into_jar: Mass = moved
                .map(|transfer| match transfer.to {
                    Vessel::Jar => transfer.mass,
                    _ => -transfer.mass,
                })
                .sum();
            if book.jar() != JarPlace::Awaited {
                let weighed = book.last() - book.empty() - book.tare();
                assert_eq!(into_jar, weighed, "the ledger is what was weighed");
            }
        }
        assert!(on_pan <= 1, "one jar at most stands on the pan");
    }
}

/// The turns of jars of so many steps each: shuffled by the seed, and rising within each jar.
pub(super) fn shuffled(steps: impl Iterator<Item = usize>, mut seed: u64) -> Vec<Vec<u32>> {
    let mut left: Vec<(usize, usize)> = steps.enumerate().collect();
    let mut turns: Vec<Vec<u32>> = vec![Vec::new(); left.len()];
    for turn in 0.. {
        left.retain(|(_, count)| 0 < *count);
        if left.is_empty() {
            break;
        }
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        let place = usize::try_from(seed >> 33).unwrap() % left.len();
        turns[left[place].0].push(turn);
        left[place].1 -= 1;
    }
    turns
}
