//! What stands in for a bench and its clock.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::time::Duration;

use tarehand_mixing::document::{Source, Sources};
use tarehand_mixing::jars::Jars;
pub(super) use tarehand_mixing::plan::Way as Walk;
use tarehand_mixing::procedure::Procedure;
use tarehand_mixing::recipe::{self, Settings};
use tarehand_mixing::session::{Cue, Effect, Entry, Input, Limits, Record, Session};
use tarehand_mixing::set;
use tarehand_mixing::settler::{Reports, Settler, Signal};
use tarehand_mixing::sizing::{Goal, size};
use tarehand_mixing::tick::Tick;
use tarehand_mixing::weighing::Scale;
use tarehand_mixing::{ledger, plan};
use tarehand_protocol::Mass;
use tarehand_protocol::scale::{Decoded, Decoder};
use tokio::sync::watch;

use crate::bench::hand::Hand;
use crate::links::rehearsal::{FALL, Happening, Told, Truth, Vessel, World, outfit};

/// A rehearsal that has not ended after so much bench time never will.
const LONGEST: Duration = Duration::from_secs(16 * 3_600);

/// A rehearsal in place of a bench: the same parts, and the time of its readings alone.
pub(super) struct Table {
    now: Tick,
    pub(super) world: World,
    decoder: Decoder,
    settler: Settler,
    pub(super) jars: Jars,
    hand: Hand,
    told: watch::Receiver<Told>,
    truth: watch::Sender<Truth>,
    records: Vec<(usize, Record)>,
    pub(super) stood_on_pan: BTreeSet<u32>,
}

impl Table {
    pub(super) fn open(mut procedures: Vec<Procedure>, seed: u64) -> Self {
        know_each_other(&mut procedures);
        let plan = outfit(&procedures, seed);
        let scale = Scale {
            division: None,
            capacity: Some(plan.pan.capacity),
        };
        let limits = Limits {
            fall: FALL,
            lag: plan.pan.lag,
            ..Limits::default()
        };
        let (mut sessions, mut records) = (Vec::new(), Vec::new());
        for (jar, procedure) in procedures.into_iter().enumerate() {
            let (session, effects) = Session::open(Tick::ZERO, procedure, limits.clone(), scale);
            sessions.push(session);
            records.extend(effects.into_iter().filter_map(|effect| match effect {
                Effect::Record(record) => Some((jar, *record)),
                _ => None,
            }));
        }
        let (told, heard) = watch::channel(Told::default());
        let (truth, seen) = watch::channel(Truth::default());
        Self {
            now: Tick::ZERO,
            world: World::new(plan).unwrap(),
            decoder: Decoder::tolerant(None),
            settler: Settler::new(Reports::Stream, None),
            jars: Jars::new(sessions, Tick::ZERO).unwrap(),
            hand: Hand::new(told, seen),
            told: heard,
            truth,
            records,
            stood_on_pan: BTreeSet::new(),
        }
    }

    /// Runs until every jar is made.
    #[track_caller]
    pub(super) fn run(&mut self) {
        while !self.jars.is_over() {
            let book = self.jars.sessions()[self.jars.shown()].book();
            assert!(
                self.now.since(Tick::ZERO) < LONGEST,
                "it never ends: {:?} of {} at {:?}, {:?}, {:?}; told {:?}",
                book.current(),
                book.procedure().recipe,
                self.jars.at_hand(),
                book.state(),
                self.world.truth(),
                *self.told.borrow()
            );
            self.reading();
        }
    }

    fn reading(&mut self) {
        let told = *self.told.borrow();
        self.now = match told.away_until.filter(|back| self.now < *back) {
            Some(back) => {
                self.facts(back, Signal::Wake);
                back
            }
            None => self.now + self.world.period(),
        };
        let happenings = self.world.advance(told.wish);
        let truth = self.world.truth();
        if let Some(Vessel::Jar(jar)) = truth.on_pan {
            self.stood_on_pan.insert(jar);
        }
        self.truth.send_replace(truth);
        for happening in happenings {
            if let Happening::Bytes(bytes) = happening {
                let mut read = Vec::new();
                self.decoder.push(&bytes, &mut |decoded| read.push(decoded));
                for decoded in read {
                    match decoded {
                        Decoded::Reading(reading) => self.facts(self.now, Signal::Reading(reading)),
                        Decoded::Rejected(rejected) => panic!("{rejected:?}"),
                    }
                }
            }
        }
        self.input(Input::Wake);
        if let Some(command) = self.hand.look(self.now, &self.jars) {
            self.input(Input::Command(command));
        }
    }

    fn facts(&mut self, at: Tick, signal: Signal) {
        let division = self.settler.division();
        for fact in self.settler.step(at, signal) {
            self.input(Input::Fact(fact));
        }
        if division != self.settler.division() {
            let capacity = self.jars.sessions()[0].book().scale().capacity;
            let division = self.settler.division();
            self.input(Input::Scale(Scale { division, capacity }));
        }
    }

    fn input(&mut self, input: Input) {
        for wish in self.jars.step(self.now, input) {
            match wish.effect {
                Effect::Record(record) => {
                    self.records.push((wish.jar, *record));
                }
                Effect::Cue(Cue::Stop) => self.hand.hear_stop(self.now),
                Effect::EmptyPan(gross) => self.settler.set_empty(gross),
                Effect::Cue(_)
                | Effect::WakeAt(_)
                | Effect::FineEmptyPan(_)
                | Effect::Refuse(_) => {}
            }
        }
    }

    fn moved(&self) -> impl Iterator<Item = (usize, ledger::Transfer)> {
        self.records.iter().flat_map(|(jar, record)| {
            let book = self.jars.sessions()[*jar].book();
            let moved = ledger::transfers(book, &record.entry);
            moved.into_iter().map(|transfer| (*jar, transfer))
        })
    }

    /// Returns what is in a jar as all journals together tell it.
    pub(super) fn booked(&self, jar: usize) -> Mass {
        let key = self.key(jar);
        let is = |of: usize, vessel: &ledger::Vessel| match vessel {
            ledger::Vessel::Jar => of == jar,
            ledger::Vessel::JarOf(mark) => Some(mark.as_str()) == key,
            _ => false,
        };
        let gained = self.moved().map(|(of, transfer)| {
            let into = if is(of, &transfer.to) {
                transfer.mass
            } else {
                Mass::ZERO
            };
            let out = if is(of, &transfer.from) {
                transfer.mass
            } else {
                Mass::ZERO
            };
            into - out
        });
        gained.sum()
    }

    fn key(&self, jar: usize) -> Option<&str> {
        let place = self.jars.sessions()[jar].book().procedure().of_set.as_ref();
        place.map(|place| place.key.as_str())
    }

    pub(super) fn rescued(&self) -> usize {
        let rescued =
            |(_, record): &&(usize, Record)| matches!(record.entry, Entry::Rescued { .. });
        self.records.iter().filter(rescued).count()
    }

    /// Returns how often something was set down whose weight counts for a jar.
    pub(super) fn weighings(&self, jar: usize) -> usize {
        let counts = |entry: &Entry| {
            matches!(
                entry,
                Entry::JarPlaced { .. }
                    | Entry::JarBack { .. }
                    | Entry::JarReturned { .. }
                    | Entry::BottlePlaced { .. }
                    | Entry::BottleBack { .. }
            )
        };
        let key = self.key(jar);
        let own = self
            .records
            .iter()
            .filter(|(of, record)| *of == jar && counts(&record.entry));
        let poured_from = self.moved().filter(|(_, transfer)| {
            matches!(&transfer.from, ledger::Vessel::JarOf(mark) if Some(mark.as_str()) == key)
        });
        own.count() + poured_from.count()
    }
}

/// The mark of a jar's batch is its key here.
fn know_each_other(procedures: &mut [Procedure]) {
    let keys: BTreeSet<String> = procedures
        .iter()
        .filter_map(|procedure| Some(procedure.of_set.as_ref()?.key.clone()))
        .collect();
    for place in procedures
        .iter_mut()
        .filter_map(|procedure| procedure.of_set.as_mut())
    {
        let others = keys.iter().filter(|key| **key != place.key);
        place.made = others.map(|key| (key.clone(), key.clone())).collect();
    }
}

fn sources(folder: &str, change: impl Fn(&str, String) -> String) -> Sources {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../fixtures")
        .join(folder);
    let mut sources = Sources::new();
    for file in fs::read_dir(folder).unwrap() {
        let path = file.unwrap().path();
        let stem = path.file_stem().unwrap().to_str().unwrap();
        if path.extension().is_some_and(|of| of == "toml") {
            let text = change(stem, fs::read_to_string(&path).unwrap());
            let source = Source::new(format!("{stem}.toml"), text);
            sources = match stem {
                "shelf" => sources.with_shelf(source),
                _ => sources.with_recipe(stem, source),
            };
        }
    }
    sources
}

fn sized(sources: &Sources, stem: &str, make: Option<&str>) -> Vec<Procedure> {
    let checked = recipe::check(sources, stem, &Settings::default());
    let recipe = checked.recipe.unwrap();
    let make = make.map(|mass| mass.parse().unwrap()).or(recipe.makes());
    vec![size(&recipe, &Goal::Make(make.unwrap())).unwrap().procedure]
}

/// A recipe of the fixtures.
pub(super) fn batch(folder: &str, stem: &str) -> Vec<Procedure> {
    sized(&sources(folder, |_, text| text), stem, None)
}

/// A recipe of the fixtures, so much of it.
pub(super) fn batch_of(folder: &str, stem: &str, make: &str) -> Vec<Procedure> {
    sized(&sources(folder, |_, text| text), stem, Some(make))
}

/// A recipe with one step that is weighed out of its bottle, and one after it with the jar on the scale.
pub(super) fn mixed() -> Vec<Procedure> {
    let text = "[recipe]\nname = \"Half out\"\nmakes = \"150 g\"\n\
        [[step]]\nadd = \"base\"\namount = \"80 g\"\n\
        [[step]]\nadd = \"glue\"\namount = \"40 g\"\nweigh = \"bottle\"\n\
        [[step]]\nadd = \"colour\"\namount = \"30 g\"\n";
    let sources = Sources::new().with_recipe("half-out", Source::new("half-out.toml", text));
    sized(&sources, "half-out", None)
}

fn planned(sources: &Sources, stem: &str, walk: Walk) -> Vec<Procedure> {
    let checked = set::check(sources.recipe(stem).unwrap(), sources, &Settings::default());
    let set = checked.set.unwrap();
    let plan = plan::plan(&set, &checked.shelf).unwrap();
    plan.run(&set.name, "run", walk)
}

/// The jars of a set of the fixtures, premixes first.
pub(super) fn of_set(folder: &str, stem: &str, walk: Walk) -> Vec<Procedure> {
    planned(&sources(folder, |_, text| text), stem, walk)
}

/// The jars of a small set in which the jars that take a premix are weighed out.
pub(super) fn weighed_out(walk: Walk) -> Vec<Procedure> {
    let out = |stem: &str, text: String| match stem {
        "slate-dark" | "slate-pale" => text.replace("within", "weigh = \"bottle\"\nwithin"),
        _ => text,
    };
    planned(&sources("whole", out), "two-slates", walk)
}
