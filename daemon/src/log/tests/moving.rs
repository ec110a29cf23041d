//! Batches of another log: the jars they speak of, and masses that cannot be.

mod any_order;
mod went_on;

use super::super::register::unused;
use super::*;

/// The marks of the batches of these tests.
fn mark(number: usize) -> Mark {
    Mark::of_number(u64::try_from(number).unwrap() * 7_919, 5)
}

fn jar(number: usize) -> Vessel {
    Vessel::JarOf(mark(number).as_str().to_owned())
}

fn shelf(key: &str) -> Vessel {
    Vessel::Shelf(key.to_owned())
}

fn moves(from: Vessel, to: Vessel, substance: &str, mass_ug: u64) -> NewTransfer {
    NewTransfer {
        from,
        to,
        substance: substance.to_owned(),
        mass_ug: NonZeroU64::new(mass_ug).unwrap(),
        seen: Seen::Seen,
    }
}

/// A batch of another log; each transfer is an entry of its own, at its second.
fn batch(number: usize, transfers: Vec<(i64, NewTransfer)>) -> Moving {
    let entries = transfers.into_iter().map(|(second, transfer)| NewEntry {
        transfers: vec![transfer],
        ..entry(second)
    });
    Moving {
        mark: mark(number),
        state: BatchState::Ended(Ending::Complete),
        closed: Some("2026-03-02T10:00:00Z".to_owned()),
        new: NewBatch {
            opened: format!("2026-03-02T08:{number:02}:00Z"),
            ..harbour_grey()
        },
        entries: entries.collect(),
        trace: Vec::new(),
    }
}

async fn id(log: &Log, number: usize) -> BatchId {
    log.batch(mark(number)).await.unwrap().head.id
}

async fn in_jar(log: &Log, number: usize) -> i64 {
    log.batch(mark(number)).await.unwrap().head.in_jar_ug
}

/// The lineage of a jar without what only this log says: the numbers of its batches.
async fn lineage(log: &Log, number: usize) -> Vec<Flow> {
    log.lineage(id(log, number).await).await.unwrap()
}

fn made(number: usize, then: Vec<(i64, NewTransfer)>) -> Moving {
    let poured = moves(shelf("chalk-white"), jar(number), "chalk-white", 60_000_000);
    let first = i64::try_from(number).unwrap();
    batch(number, [vec![(first, poured)], then].concat())
}

#[tokio::test]
async fn two_jars_that_went_into_each_other_are_linked_in_either_order() {
    let there = || {
        [
            made(
                1,
                vec![(30, moves(jar(1), jar(2), "the mixture", 20_000_000))],
            ),
            made(
                2,
                vec![(40, moves(jar(2), jar(1), "the mixture", 5_000_000))],
            ),
        ]
    };
    let mut lineages = Vec::new();
    for backwards in [false, true] {
        let place = Place::new();
        let log = place.open();
        let mut batches = there();
        if backwards {
            batches.reverse();
        }
        for moving in batches {
            assert_eq!(log.take_in(moving).await.unwrap(), Moved::In);
        }
        assert_eq!(in_jar(&log, 1).await, 45_000_000);
        assert_eq!(in_jar(&log, 2).await, 75_000_000);
        let on = log.poured_on(vec![mark(1)]).await.unwrap();
        let on: Vec<Mark> = on.into_iter().map(|head| head.mark).collect();
        assert_eq!(on, [mark(1), mark(2)]);
        for moving in there() {
            assert_eq!(log.take_in(moving).await.unwrap(), Moved::Already);
        }
        assert_eq!(in_jar(&log, 2).await, 75_000_000);
        assert_eq!(log.check().await.unwrap(), Vec::<String>::new());
        lineages.push((lineage(&log, 1).await, lineage(&log, 2).await));
        assert_eq!(lineages[0].0.len(), 4);
    }
    assert_eq!(lineages[0], lineages[1]);
}

#[tokio::test]
async fn a_jar_whose_batch_is_not_here_is_a_vessel_by_its_mark_and_a_cup_of_that_name_is_another() {
    let place = Place::new();
    let log = place.open();
    let named = [mark(2).as_str().to_owned(), format!("jar {}", mark(2))];
    let cups = named.map(Vessel::Cup);
    let [bare, long] = cups.clone();
    let one = made(
        1,
        vec![
            (30, moves(jar(1), bare, "the mixture", 1_000_000)),
            (31, moves(jar(1), jar(2), "the mixture", 20_000_000)),
            (32, moves(jar(1), long, "the mixture", 2_000_000)),
        ],
    );
    log.take_in(one).await.unwrap();
    let went = async || {
        let transfers = log.transfers(id(&log, 1).await).await.unwrap();
        let went: Vec<Vessel> = transfers.into_iter().map(|one| one.booked.to).collect();
        went[1..].to_vec()
    };
    let [bare, long] = cups;
    assert_eq!(went().await, [bare.clone(), jar(2), long.clone()]);
    let flows = lineage(&log, 1).await;
    assert_eq!(flows[2].booked.to, jar(2));
    let heads = log.poured_on(vec![mark(2)]).await.unwrap();
    assert_eq!(heads, [], "its batch is not here");
    assert_eq!(log.check().await.unwrap(), Vec::<String>::new());

    log.take_in(made(2, Vec::new())).await.unwrap();
    let here = Vessel::Jar(id(&log, 2).await);
    assert_eq!(went().await, [bare, here, long]);
    assert_eq!(in_jar(&log, 2).await, 80_000_000);
    assert_eq!(lineage(&log, 1).await, flows);
    assert_eq!(log.check().await.unwrap(), Vec::<String>::new());
}

#[tokio::test]
async fn a_jar_that_gave_more_than_it_got_holds_less_than_nothing_until_all_has_come() {
    let place = Place::new();
    let log = place.open();
    // Out of the jar of 2 went all that 3 poured into it, and 3 comes last.
    let one = made(
        1,
        vec![(50, moves(jar(2), jar(1), "the mixture", 90_000_000))],
    );
    log.take_in(one).await.unwrap();
    assert_eq!(in_jar(&log, 1).await, 150_000_000);
    log.take_in(made(2, Vec::new())).await.unwrap();
    assert_eq!(in_jar(&log, 2).await, -30_000_000);
    let three = made(
        3,
        vec![(40, moves(jar(3), jar(2), "the mixture", 35_000_000))],
    );
    log.take_in(three).await.unwrap();
    assert_eq!(in_jar(&log, 2).await, 5_000_000);
    assert_eq!(lineage(&log, 1).await.len(), 5);
    assert_eq!(log.check().await.unwrap(), Vec::<String>::new());
}

#[tokio::test]
async fn no_batch_made_here_gets_the_mark_of_a_jar_that_waits() {
    let place = Place::new();
    let log = place.open();
    log.take_in(made(1, vec![(9, moves(jar(1), jar(2), "the mixture", 1))]))
        .await
        .unwrap();
    let drawn = log.read(|conn| {
        let mut marks = [1, 2, 3].map(mark).into_iter();
        unused(conn, |_signs| Ok(marks.next().expect("the third is free")))
    });
    assert_eq!(drawn.await.unwrap(), mark(3));
}

#[tokio::test]
async fn of_a_vessel_only_a_jar_that_waits_changes_and_only_by_its_batch() {
    let place = Place::new();
    let log = place.open();
    log.take_in(made(1, vec![(9, moves(jar(1), jar(2), "the mixture", 1))]))
        .await
        .unwrap();
    let number = log.open_batch(harbour_grey()).await.unwrap().id.number();
    log.stop().await.unwrap();
    let stranger = Connection::open(place.path()).unwrap();
    let check = |sql: &str, expect: &str| {
        let error = stranger.execute_batch(sql).unwrap_err();
        assert_eq!(error.to_string(), expect, "{sql}");
    };
    let waits = mark(2);
    for sql in [
        format!("UPDATE vessel SET batch = {number} WHERE key = '{waits}'"),
        format!("UPDATE OR REPLACE vessel SET batch = {number} WHERE key = '{waits}'"),
        format!(
            "UPDATE vessel SET key = (SELECT mark FROM batch WHERE id = {number}) WHERE key = '{waits}'"
        ),
        format!("UPDATE vessel SET by_mark = 0 WHERE key = '{waits}'"),
    ] {
        check(&sql, "a vessel is never changed");
    }
    // Two guards have something against each of these.
    for (batch, by_mark) in [
        (number.to_string(), 1),
        ("NULL".to_owned(), 1),
        (number.to_string(), 0),
    ] {
        let sql = format!(
            "INSERT OR REPLACE INTO vessel (kind, key, batch, by_mark) VALUES ('jar', '{waits}', {batch}, {by_mark})"
        );
        assert!(stranger.execute_batch(&sql).is_err(), "{sql}");
    }
    check(
        "INSERT INTO vessel (kind, key, by_mark) VALUES ('shelf', 'x', 1)",
        "CHECK constraint failed: only a jar goes by a mark",
    );
    // The one change, and what a batch got stays with it.
    let batch = format!(
        "INSERT INTO batch SELECT 77, '{waits}', bench, recipe, rehearsal, state, planned_ug, opened, closed, procedure,
         recipe_text, shelf_text, profile_text FROM batch WHERE id = {number}"
    );
    stranger.execute_batch(&batch).unwrap();
    check(
        "INSERT INTO vessel (kind, key, batch, by_mark) VALUES ('jar', 'x', 77, 1)",
        "the jar of a batch goes by its mark",
    );
    check(
        "INSERT INTO vessel (kind, key, batch) VALUES ('jar', 'x', 77)",
        "the jar of a batch goes by its mark",
    );
    let got = "UPDATE vessel SET batch = 77 WHERE batch IS NULL AND by_mark = 1";
    stranger.execute_batch(got).unwrap();
    for batch in ["NULL", "77"] {
        check(
            &format!("UPDATE vessel SET batch = {batch} WHERE batch = 77"),
            "a vessel is never changed",
        );
    }
}

#[tokio::test]
async fn a_batch_that_claims_the_jar_of_another_cannot_be_two() {
    let place = Place::new();
    let log = place.open();
    log.take_in(made(1, vec![(9, moves(jar(1), jar(2), "the mixture", 7))]))
        .await
        .unwrap();
    // Whoever comes first by this mark is the batch of this mark, as everywhere; the other is refused and leaves nothing.
    log.take_in(batch(2, vec![(3, moves(shelf("ash"), jar(2), "ash", 11))]))
        .await
        .unwrap();
    let error = log.take_in(made(2, Vec::new())).await.unwrap_err();
    let said = format!("another batch with the mark {} is in this log", mark(2));
    assert!(error.to_string().contains(&said), "{error}");
    assert_eq!(in_jar(&log, 2).await, 18);
    assert_eq!(log.check().await.unwrap(), Vec::<String>::new());
}

#[tokio::test]
async fn a_batch_of_absurd_masses_is_refused_and_no_jar_waits_for_it() {
    let place = Place::new();
    let log = place.open();
    let most: u64 = 1_000_000_000_000_000;
    let absurd = [
        vec![(1, moves(jar(1), jar(2), "the mixture", most + 1))],
        vec![(1, moves(jar(1), jar(2), "the mixture", u64::MAX))],
        vec![
            (1, moves(shelf("ash"), jar(1), "ash", most)),
            (2, moves(jar(1), jar(2), "the mixture", 1)),
        ],
        vec![(1, moves(jar(2), jar(2), "the mixture", 1))],
    ];
    for transfers in absurd {
        let error = log.take_in(batch(1, transfers)).await.unwrap_err();
        assert!(matches!(error, LogError::Refused { .. }), "{error:?}");
    }
    let waiting = log.read(|conn| {
        let sql = "SELECT count(*) FROM vessel WHERE kind = 'jar'";
        Ok(conn.query_row(sql, [], |row| row.get::<_, i64>(0))?)
    });
    assert_eq!(waiting.await.unwrap(), 0);
    // The most there is, out of a jar that waits, and into it from another.
    for (number, (from, to)) in [(1, (jar(3), jar(1))), (2, (jar(2), jar(3)))] {
        log.take_in(batch(
            number,
            vec![(1, moves(from, to, "the mixture", most))],
        ))
        .await
        .unwrap();
    }
    log.take_in(made(3, Vec::new())).await.unwrap();
    assert_eq!(in_jar(&log, 3).await, 60_000_000);
    assert_eq!(log.check().await.unwrap(), Vec::<String>::new());
}
