//! Whole rehearsals without a clock: the simulated world, the real decoder, settler and sessions, and the hand between
//! them. What was booked for each jar is held against what is truly in it.

mod table;

use tarehand_mixing::session::Verdict;
use tarehand_protocol::Mass;

use table::{Table, Walk, batch, batch_of, of_set};

/// How far the record may be off: two divisions where a jar begins, and one for each time that something was set down whose
/// weight counts, for rounding, noise and a wandering zero.
fn off(weighings: usize) -> Mass {
    Mass::from_milligrams(200 + 100 * i64::try_from(weighings).unwrap_or(i64::MAX))
}

#[track_caller]
fn check(mut table: Table, seed: u64) -> Table {
    table.run();
    for (jar, session) in table.jars.sessions().iter().enumerate() {
        let book = session.book();
        let name = &book.procedure().recipe;
        let truth = table.world.truth().in_jar(u32::try_from(jar).unwrap());
        let booked = table.booked(jar);
        let off = off(table.weighings(jar));
        assert!(
            (booked - truth).abs() <= off,
            "seed {seed}: {name} holds {truth}, and {booked} is booked; {off} is fair"
        );
    }
    table
}

#[test]
fn what_is_decanted_really_left_the_jar() {
    for seed in 0..12 {
        let table = check(Table::open(batch("whole", "quarry-bottle"), seed), seed);
        let book = table.jars.sessions()[0].book();
        let decanted: Vec<Mass> = book
            .tasks()
            .filter(|task| book.step(task).lets_out())
            .inspect(|task| assert_ne!(task.verdict, Some(Verdict::Skipped), "seed {seed}"))
            .map(|task| Mass::ZERO - task.poured)
            .collect();
        assert!(Mass::from_milligrams(29_400) <= decanted[0], "{decanted:?}");
        assert!(
            table.world.truth().in_jar(0) < Mass::from_grams(4),
            "the heel"
        );
    }
}

#[test]
fn what_is_weighed_out_of_bottles_is_truly_in_the_jar_that_never_came_to_the_scale() {
    for seed in 0..12 {
        let table = check(Table::open(batch("whole", "tall-vat"), seed), seed);
        assert!(!table.stood_on_pan.contains(&0), "seed {seed}");
        assert_eq!(table.rescued(), 1, "seed {seed}: the slip is put right");
    }
}

#[test]
fn a_bottle_that_runs_empty_is_changed_for_a_full_one() {
    for seed in 0..3 {
        let made = batch_of("whole", "tall-vat", "1.5 kg");
        let _table = check(Table::open(made, seed), seed);
    }
}

#[test]
fn the_jar_comes_back_after_one_step_is_weighed_out() {
    for seed in 0..12 {
        let table = check(Table::open(table::mixed(), seed), seed);
        assert!(table.stood_on_pan.contains(&0), "seed {seed}");
    }
}

#[test]
fn a_set_is_mixed_jar_by_jar_with_what_is_truly_poured() {
    for seed in 0..3 {
        let table = check(
            Table::open(of_set("studio", "eight-rounds", Walk::JarByJar), seed),
            seed,
        );
        assert_ne!(table.rescued(), 0, "seed {seed}: a slip is put right");
    }
}

#[test]
fn a_set_is_mixed_bottle_by_bottle_with_what_is_truly_poured() {
    for seed in 0..3 {
        let walk = Walk::BottleByBottle;
        let table = check(
            Table::open(of_set("studio", "eight-rounds", walk), seed),
            seed,
        );
        assert_ne!(table.rescued(), 0, "seed {seed}: a slip is put right");
    }
}

#[test]
fn a_set_that_is_weighed_out_of_its_bottles_is_mixed_too() {
    for walk in [Walk::JarByJar, Walk::BottleByBottle] {
        for seed in 0..3 {
            let _table = check(Table::open(table::weighed_out(walk), seed), seed);
        }
    }
}
