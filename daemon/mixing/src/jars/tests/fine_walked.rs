//! Several jars beside a finer scale, of a set or opened again in a row, by a person who follows what is said, and slips.

use proptest::prelude::*;

use super::opened_again::opened_for;
use super::*;
use crate::session::BottleNow;

/// What the person does besides what is asked.
#[derive(Clone, Copy, Debug)]
enum Slip {
    /// Sets down another jar than the one that is wanted.
    OtherJar(usize),
    /// Changes the jar for another one so quickly that the scale never shows an empty pan.
    Swaps(usize),
    /// Lifts the jar and sets it back.
    Lifts,
    /// Kills the process.
    Restarts,
}

fn slip() -> impl Strategy<Value = Slip> {
    prop_oneof![
        (0..4_usize).prop_map(Slip::OtherJar),
        (0..4_usize).prop_map(Slip::Swaps),
        Just(Slip::Lifts),
        Just(Slip::Restarts),
    ]
}

/// Jars that no scale mistakes for each other, each with up to two additions of one to three grams.
fn row() -> impl Strategy<Value = Vec<Procedure>> {
    let additions = prop::collection::vec(1..4_i64, 1..3);
    prop::collection::vec(additions, 2..5).prop_map(|jars| {
        let mut turns = 0..;
        let opened = jars.into_iter().zip(0_i64..).map(|(grams, number)| {
            let kinds = grams.into_iter().map(|grams| add("drops", grams));
            let steps = turns.by_ref().zip(kinds.collect::<Vec<_>>()).collect();
            let holds = (40 + 11 * number).to_string();
            opened_for(&format!("jar-{number}"), steps, "60", &holds)
        });
        opened.collect()
    })
}

/// Jars of a set, each of up to three additions: of grams for the finer scale, or of much for the jar's own.
fn set() -> impl Strategy<Value = (Vec<Procedure>, Vec<Mass>)> {
    let additions = prop::collection::vec(prop_oneof![1..4_i64, 20..60_i64], 1..4);
    let jars = prop::collection::vec(additions, 2..5);
    (jars, any::<u64>()).prop_map(|(jars, seed)| {
        let turns = shuffled(jars.iter().map(Vec::len), seed);
        let tares = (0_i64..).map(|number| Mass::from_grams(40 + 5 * number));
        let tares = tares.take(jars.len()).collect();
        let made = jars
            .into_iter()
            .zip(turns)
            .enumerate()
            .map(|(number, (grams, turns))| {
                let kinds = grams
                    .into_iter()
                    .map(|grams| add(if grams < 4 { "drops" } else { "base" }, grams));
                jar(
                    &format!("jar-{number}"),
                    turns.into_iter().zip(kinds).collect(),
                )
            });
        (made.collect(), tares)
    })
}

/// The jars and the cup as they really are.
struct Truth {
    before: Vec<Mass>,
    poured: Vec<Mass>,
    /// How often something was weighed in each jar.
    weighed_in: Vec<i64>,
    on_pan: Option<usize>,
    cup: Mass,
    cup_stands: bool,
    /// What was just poured out of the cup in the hand, so that it goes back.
    emptied: bool,
}

impl Truth {
    /// What the jars' scale shows: tenths of a gram.
    fn gross(&self) -> Mass {
        let load = self
            .on_pan
            .map_or(Mass::ZERO, |jar| self.before[jar] + self.poured[jar]);
        Mass::from_micrograms((load.micrograms() + 50_000) / 100_000 * 100_000)
    }

    fn fine(&self) -> Mass {
        if self.cup_stands {
            self.cup
        } else {
            Mass::ZERO
        }
    }

    fn put(&mut self, table: &mut Table, jar: usize) {
        if self.on_pan.take().is_some() {
            table.lift();
        }
        table.settle_at(self.gross(), Change::Jump);
        self.on_pan = Some(jar);
        table.settle_at(self.gross(), Change::Jump);
        self.answer(table);
    }

    /// A jar that is heavier than it was, before the cup says by how much, is known by the person's word.
    fn answer(&self, table: &mut Table) {
        if let (AtHand::Which { .. }, Some(jar)) = (table.jars.at_hand(), self.on_pan) {
            table.say(Command::JarIs(format!("jar-{jar}")));
        }
    }

    fn slips(&mut self, table: &mut Table, slip: Slip) {
        match (slip, self.on_pan) {
            // An empty jar that was never seen is whichever jar has its turn: nothing can tell.
            (Slip::OtherJar(jar) | Slip::Swaps(jar), _)
                if table.jars.may_weigh_anything(jar % self.before.len()) => {}
            (Slip::OtherJar(jar), _) => self.put(table, jar % self.before.len()),
            (Slip::Swaps(jar), Some(_)) => {
                self.on_pan = Some(jar % self.before.len());
                table.settle_at(self.gross(), Change::Jump);
                self.answer(table);
            }
            (Slip::Lifts, Some(jar)) => self.put(table, jar),
            (Slip::Lifts | Slip::Swaps(_), None) => {}
            (Slip::Restarts, _) => {
                table.restart();
                table.fine_at(self.fine());
                table.settle_at(self.gross(), Change::Jump);
                self.answer(table);
            }
        }
    }

    fn stand_cup(&mut self, table: &mut Table, stands: bool) {
        self.cup_stands = stands;
        table.fine_at(self.fine());
    }
}

/// Mixes all that is asked for, with a slip before some of it and each cup off by some hundredths of a gram.
fn mix(
    procedures: Vec<Procedure>,
    before: Vec<Mass>,
    chances: Vec<(Option<Slip>, i64)>,
) -> Result<(), TestCaseError> {
    let mut table = Table::of(procedures);
    let mut truth = Truth {
        poured: vec![Mass::ZERO; before.len()],
        weighed_in: vec![0; before.len()],
        before,
        on_pan: None,
        cup: Mass::from_grams(40),
        cup_stands: false,
        emptied: false,
    };
    table.with_fine().fine("0").settle("0");
    for (slip, off) in chances {
        if let Some(slip) = slip {
            truth.slips(&mut table, slip);
        }
        if table.jars.is_over() {
            break;
        }
        let jar = match table.jars.at_hand() {
            // It weighs just what another one does: whoever sees it says which it is.
            AtHand::Bring {
                jar,
                instead: Some(_),
            } if truth.on_pan == Some(jar) => {
                table.say(Command::JarIs(format!("jar-{jar}")));
                continue;
            }
            AtHand::Bring { jar, .. } | AtHand::Jar(jar) => jar,
            other => return Err(TestCaseError::fail(format!("{other:?}"))),
        };
        let session = &table.jars.sessions()[jar];
        prop_assert_eq!(session.book().question(), None);
        if truth.on_pan != Some(jar) {
            truth.put(&mut table, jar);
        } else if truth.emptied {
            truth.emptied = false;
            truth.stand_cup(&mut table, true);
        } else {
            let task = session
                .book()
                .current()
                .expect("there is something to pour");
            let missing = task.target.unwrap_or_default() - task.poured;
            match session.bottle_now() {
                Some(BottleNow::Put) => truth.stand_cup(&mut table, true),
                Some(BottleNow::Pour | BottleNow::TakeAway) => truth.stand_cup(&mut table, false),
                Some(BottleNow::InHand) => {
                    let poured = missing + Mass::from_milligrams(10 * off);
                    truth.poured[jar] += poured;
                    truth.cup -= poured;
                    truth.emptied = true;
                    table.settle_at(truth.gross(), Change::Gradual);
                }
                None => {
                    prop_assert!(
                        Mass::from_grams(4) < missing,
                        "{missing} are for the finer scale"
                    );
                    truth.poured[jar] += missing;
                    truth.weighed_in[jar] += 1;
                    table.settle_at(truth.gross(), Change::Gradual);
                }
                other => return Err(TestCaseError::fail(format!("{other:?}"))),
            }
        }
        table.check();
        for (jar, session) in table.jars.sessions().iter().enumerate() {
            let booked: Mass = session.book().all_tasks().map(|task| task.poured).sum();
            let poured = truth.poured[jar];
            // What the cup weighed is exact; what the jar did, as its scale can tell.
            let apart = Mass::from_milligrams(100 * truth.weighed_in[jar]);
            let in_hand = truth.emptied && truth.on_pan == Some(jar);
            let right = (booked - poured).abs() <= apart || in_hand && booked < poured;
            prop_assert!(right, "jar {jar}: {booked} booked, {poured} poured");
        }
    }
    prop_assert!(table.jars.is_over(), "all of them are made");
    Ok(())
}

fn chances() -> impl Strategy<Value = Vec<(Option<Slip>, i64)>> {
    let chance = (prop::option::weighted(0.3, slip()), -1..=1_i64);
    prop::collection::vec(chance, 120)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn whatever_jar_is_set_down_what_left_the_cup_is_booked_to_the_jar_it_is_in(
        procedures in row(),
        chances in chances(),
    ) {
        let weighs = |procedure: &Procedure| procedure.amends.as_ref().map(|amends| amends.gross());
        let before = procedures.iter().filter_map(weighs).collect();
        mix(procedures, before, chances)?;
    }

    #[test]
    fn the_jars_of_a_set_take_from_cup_and_bottle_what_is_in_them(
        (procedures, tares) in set(),
        chances in chances(),
    ) {
        mix(procedures, tares, chances)?;
    }
}
