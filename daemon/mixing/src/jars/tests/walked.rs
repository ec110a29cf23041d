//! Random sets mixed by a person who follows what is said, and slips.

use proptest::prelude::*;

use super::*;

/// What the person does besides what is asked.
#[derive(Clone, Copy, Debug)]
enum Slip {
    /// Sets down another jar than the one that is wanted, and takes it away again.
    OtherJar(usize),
    /// Lifts the jar and sets it back.
    Lifts,
    /// Kills the process.
    Restarts,
    /// The zero drifts by so many hundredths of a gram while the pan is free.
    Drifts(i64),
}

fn slip() -> impl Strategy<Value = Slip> {
    prop_oneof![
        (0..6_usize).prop_map(Slip::OtherJar),
        Just(Slip::Lifts),
        Just(Slip::Restarts),
        (-50..50_i64).prop_map(Slip::Drifts),
    ]
}

/// Up to five jars of up to four pours each, their turns shuffled but rising within each jar.
fn set() -> impl Strategy<Value = (Vec<Procedure>, Vec<i64>)> {
    let pours = prop::collection::vec(5..60_i64, 1..5);
    (
        prop::collection::vec(pours, 2..6),
        prop::collection::vec(40..60_i64, 6),
        any::<u64>(),
    )
        .prop_map(|(pours, tares, seed)| {
            let turns = shuffled(pours.iter().map(Vec::len), seed);
            let jars = pours
                .iter()
                .zip(turns)
                .enumerate()
                .map(|(number, (grams, turns))| {
                    let steps = grams.iter().enumerate();
                    let kinds = steps.map(|(step, grams)| add(&format!("{number}-{step}"), *grams));
                    jar(
                        &format!("jar-{number}"),
                        turns.into_iter().zip(kinds).collect(),
                    )
                });
            (jars.collect(), tares)
        })
}

/// The jars as they really are.
struct Truth {
    tares: Vec<Mass>,
    contents: Vec<Mass>,
    zero: Mass,
    on_pan: Option<usize>,
}

impl Truth {
    fn gross(&self) -> Mass {
        match self.on_pan {
            Some(jar) => self.zero + self.tares[jar] + self.contents[jar],
            None => self.zero,
        }
    }

    fn clear(&mut self, table: &mut Table) {
        if self.on_pan.take().is_some() {
            table.input(Input::Fact(Fact::Unloaded { gross: self.zero }));
        }
        table.settle_at(self.gross(), Change::Jump);
    }

    fn put(&mut self, table: &mut Table, jar: usize) {
        self.clear(table);
        self.on_pan = Some(jar);
        table.settle_at(self.gross(), Change::Jump);
    }
}

fn slips(table: &mut Table, truth: &mut Truth, slip: Slip, jars: usize) {
    match slip {
        Slip::OtherJar(jar) => {
            let begun = |jar: &usize| table.jars.sessions()[*jar].book().jar() != JarPlace::Awaited;
            // An empty jar that was never seen is whichever jar has its turn: nothing can tell.
            if let Some(jar) = Some(jar % jars).filter(begun) {
                truth.put(table, jar);
                answer(table, truth);
            }
        }
        Slip::Lifts => {
            if let Some(jar) = truth.on_pan {
                truth.on_pan = None;
                table.input(Input::Fact(Fact::Unloaded { gross: truth.zero }));
                truth.on_pan = Some(jar);
                table.settle_at(truth.gross(), Change::Jump);
                answer(table, truth);
            }
        }
        Slip::Restarts => {
            table.restart();
            table.settle_at(truth.gross(), Change::Jump);
            answer(table, truth);
        }
        Slip::Drifts(hundredths) => {
            truth.clear(table);
            truth.zero += Mass::from_micrograms(hundredths * 10_000);
            table.settle_at(truth.gross(), Change::Jump);
        }
    }
}

/// Whoever is asked which jar it is says so.
fn answer(table: &mut Table, truth: &Truth) {
    if let (AtHand::Which { .. }, Some(jar)) = (table.jars.at_hand(), truth.on_pan) {
        table.say(Command::JarIs(format!("jar-{jar}")));
    }
    let question = table.jars.sessions()[table.jars.shown()].book().question();
    assert!(question.is_none(), "nothing else is asked: {question:?}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn whatever_jar_is_set_down_every_gram_is_booked_to_the_jar_it_is_in(
        (procedures, tares) in set(),
        slipped in prop::collection::vec(prop::option::weighted(0.3, slip()), 60),
    ) {
        let jars = procedures.len();
        let mut table = Table::of(procedures);
        let mut truth = Truth {
            tares: tares.iter().map(|grams| Mass::from_grams(*grams)).collect(),
            contents: vec![Mass::ZERO; jars],
            zero: Mass::ZERO,
            on_pan: None,
        };
        table.settle_at(Mass::ZERO, Change::Jump);
        for slip in slipped {
            if let Some(slip) = slip {
                slips(&mut table, &mut truth, slip, jars);
            }
            if table.jars.is_over() {
                break;
            }
            match table.jars.at_hand() {
                AtHand::Bring { jar, .. } => {
                    truth.put(&mut table, jar);
                    answer(&mut table, &truth);
                }
                AtHand::Jar(jar) if truth.on_pan != Some(jar) => {
                    truth.put(&mut table, jar);
                    answer(&mut table, &truth);
                }
                AtHand::Jar(jar) => {
                    prop_assert_eq!(table.jars.on_pan(), Some(jar), "the jar is known");
                    let book = table.jars.sessions()[jar].book();
                    let task = book.current().expect("there is something to pour");
                    let missing = task.target.unwrap_or_default() - task.poured;
                    truth.contents[jar] += missing;
                    table.settle_at(truth.gross(), Change::Gradual);
                }
                other => prop_assert!(false, "{other:?}"),
            }
            table.check();
            for (jar, session) in table.jars.sessions().iter().enumerate() {
                let book = session.book();
                let booked: Mass = book.all_tasks().map(|task| task.poured).sum();
                prop_assert_eq!(booked, truth.contents[jar], "jar {} holds what is booked", jar);
            }
        }
    }
}
