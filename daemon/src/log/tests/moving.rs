//! Batches of another log, in whichever order they come.

use std::collections::BTreeMap;

use proptest::prelude::*;

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

/// What a log keeps of a batch, as `moving` says it: its journal, and how it ended.
async fn kept(log: &Log, number: usize) -> (Vec<(String, String)>, BatchState, Option<String>) {
    let head = log.batch(mark(number)).await.unwrap().head;
    let entries = log.entries(head.id).await.unwrap();
    let entries = entries.into_iter().map(|entry| (entry.at, entry.body));
    (entries.collect(), head.state, head.closed)
}

fn samples(ticks: std::ops::Range<i64>) -> Vec<Sample> {
    let sample = |tick_us| Sample {
        tick_us,
        gross_ug: tick_us * 10,
    };
    ticks.map(sample).collect()
}

#[tokio::test]
async fn a_batch_that_went_on_elsewhere_goes_on_here_with_its_masses_its_end_and_its_weights() {
    let place = Place::new();
    let log = place.open();
    let whole = Moving {
        trace: samples(0..9),
        ..made(
            1,
            vec![
                (30, moves(jar(1), jar(2), "the mixture", 20_000_000)),
                (40, moves(jar(3), jar(1), "the mixture", 5_000_000)),
            ],
        )
    };
    let early = Moving {
        state: BatchState::Ended(Ending::Aborted),
        closed: Some("2026-03-02T09:00:01Z".to_owned()),
        entries: whole.entries[..1].to_vec(),
        trace: samples(0..4),
        ..whole.clone()
    };
    assert_eq!(log.take_in(early.clone()).await.unwrap(), Moved::In);
    assert_eq!(in_jar(&log, 1).await, 60_000_000);
    assert_eq!(log.trace(id(&log, 1).await).await.unwrap(), samples(0..4));
    assert_eq!(log.take_in(whole.clone()).await.unwrap(), Moved::Grown);
    let here = kept(&log, 1).await;
    assert_eq!(here.0.len(), 3);
    assert_eq!((here.1, &here.2), (whole.state, &whole.closed));
    assert_eq!(in_jar(&log, 1).await, 45_000_000);
    assert_eq!(log.trace(id(&log, 1).await).await.unwrap(), samples(0..9));
    // The same again, and what was exported before it went on, change nothing.
    for moving in [whole, early] {
        assert_eq!(log.take_in(moving).await.unwrap(), Moved::Already);
        assert_eq!(kept(&log, 1).await, here);
    }
    assert_eq!(log.trace(id(&log, 1).await).await.unwrap(), samples(0..9));
    assert_eq!(log.check().await.unwrap(), Vec::<String>::new());
    // The jars it spoke of last wait for their batches as any others do.
    log.take_in(made(2, Vec::new())).await.unwrap();
    assert_eq!(in_jar(&log, 2).await, 80_000_000);
}

#[tokio::test]
async fn what_two_logs_went_on_with_differently_is_refused_and_so_is_another_opening() {
    let place = Place::new();
    let log = place.open();
    let went_on = |second| {
        made(
            1,
            vec![(second, moves(jar(1), jar(2), "the mixture", 1_000_000))],
        )
    };
    log.take_in(went_on(30)).await.unwrap();
    let here = kept(&log, 1).await;
    let longer = Moving {
        entries: [went_on(31).entries, vec![entry(40)]].concat(),
        ..went_on(31)
    };
    let later = Moving {
        new: NewBatch {
            opened: "2026-03-02T08:59:00Z".to_owned(),
            ..went_on(30).new
        },
        entries: [went_on(30).entries, vec![entry(40)]].concat(),
        ..went_on(30)
    };
    for other in [went_on(31), longer, later] {
        let error = log.take_in(other).await.unwrap_err();
        assert!(matches!(error, LogError::OtherBatch { .. }), "{error:?}");
        assert_eq!(kept(&log, 1).await, here);
    }
    assert_eq!(in_jar(&log, 1).await, 59_000_000);
}

#[tokio::test]
async fn a_batch_that_is_being_made_here_is_touched_by_no_import() {
    let place = Place::new();
    let log = place.open();
    let head = log
        .begin_batch(harbour_grey(), |_| vec![entry(0)])
        .await
        .unwrap();
    let same = Moving {
        mark: head.mark.clone(),
        state: BatchState::Ended(Ending::Aborted),
        closed: Some("2026-03-02T09:00:00Z".to_owned()),
        new: harbour_grey(),
        entries: vec![entry(0)],
        trace: samples(0..4),
    };
    let grown = Moving {
        entries: vec![entry(0), entry(1)],
        ..same.clone()
    };
    assert_eq!(log.take_in(same).await.unwrap(), Moved::Already);
    let error = log.take_in(grown.clone()).await.unwrap_err();
    assert!(matches!(error, LogError::BeingMade { .. }), "{error:?}");
    let now = log.batch(head.id).await.unwrap().head;
    assert_eq!((now.state, now.closed), (head.state, None));
    assert_eq!(log.entries(head.id).await.unwrap().len(), 1);
    assert_eq!(log.trace(head.id).await.unwrap(), []);
    // Given up here without another word, it may go on as it did there.
    let closed = "2026-03-02T09:00:09Z".to_owned();
    let closed = log.close_batch(head.id, Vec::new(), Ending::Aborted, closed);
    let _places = closed.await.unwrap();
    assert_eq!(log.take_in(grown).await.unwrap(), Moved::Grown);
}

#[tokio::test]
async fn a_batch_comes_with_its_weights_or_not_at_all() {
    let place = Place::new();
    let log = place.open();
    let absurd = Moving {
        trace: samples(0..4),
        ..batch(1, vec![(1, moves(jar(2), jar(2), "the mixture", 1))])
    };
    let error = log.take_in(absurd).await.unwrap_err();
    assert!(matches!(error, LogError::Refused { .. }), "{error:?}");
    let traced = Moving {
        trace: samples(0..4),
        ..made(1, Vec::new())
    };
    log.take_in(traced).await.unwrap();
    assert_eq!(log.trace(id(&log, 1).await).await.unwrap(), samples(0..4));
}

#[tokio::test]
async fn what_went_on_counts_towards_the_most_that_a_batch_may_move() {
    let place = Place::new();
    let log = place.open();
    let most: u64 = 1_000_000_000_000_000;
    let first = (1, moves(shelf("ash"), jar(1), "ash", most));
    log.take_in(batch(1, vec![first])).await.unwrap();
    // It says of what is here already that it moved nothing.
    let mut more = batch(
        1,
        vec![
            (1, moves(shelf("ash"), jar(1), "ash", 1)),
            (2, moves(shelf("ash"), jar(1), "ash", most)),
        ],
    );
    more.entries[0].transfers.clear();
    let error = log.take_in(more).await.unwrap_err();
    assert!(matches!(error, LogError::Refused { .. }), "{error:?}");
    assert_eq!(in_jar(&log, 1).await, 1_000_000_000_000_000);
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

/// How many batches a random log has.
const BATCHES: usize = 5;

/// What one batch did: where from and where to by number, how much, at which second.
fn acts() -> impl Strategy<Value = Vec<(usize, usize, usize, u64, i64)>> {
    let ends = 0..BATCHES + 3;
    let act = (0..BATCHES, ends.clone(), ends, 1..90_000_000_u64, 0..6_i64);
    prop::collection::vec(act, 0..40)
}

/// One of the jars, the shelf, a cup that is called as a jar, or waste.
fn place_of(number: usize) -> Vessel {
    match number.checked_sub(BATCHES) {
        None => jar(number),
        Some(0) => shelf("ash"),
        Some(1) => Vessel::Cup(mark(0).as_str().to_owned()),
        Some(_) => Vessel::Waste,
    }
}

/// What a log says of every jar, each by its mark.
async fn said(log: &Log) -> BTreeMap<Mark, (Vec<Flow>, Vec<Mark>, i64, Vec<Holding>)> {
    let mut said = BTreeMap::new();
    for head in log.batches(BatchFilter::default()).await.unwrap() {
        let on = log.poured_on(vec![head.mark.clone()]).await.unwrap();
        let on = on.into_iter().map(|head| head.mark).collect();
        let flows = log.lineage(head.id).await.unwrap();
        let holds = log.jar(head.id).await.unwrap();
        said.insert(head.mark, (flows, on, head.in_jar_ug, holds));
    }
    said
}

async fn check_any_order(acts: Vec<(usize, usize, usize, u64, i64)>, order: Vec<usize>) {
    let mut batches: Vec<Vec<(i64, NewTransfer)>> = vec![Vec::new(); BATCHES];
    for (batch, from, to, mass_ug, second) in acts {
        if from != to {
            let transfer = moves(place_of(from), place_of(to), "slip", mass_ug);
            batches[batch].push((second, transfer));
        }
    }
    let moving: Vec<Moving> = (0..)
        .zip(batches)
        .map(|(at, moved)| batch(at, moved))
        .collect();
    let (in_order, any_order) = (Place::new(), Place::new());
    let (first, second) = (in_order.open(), any_order.open());
    for moving in moving.clone() {
        assert_eq!(first.take_in(moving).await.unwrap(), Moved::In);
    }
    for &at in &order {
        assert_eq!(second.take_in(moving[at].clone()).await.unwrap(), Moved::In);
        assert_eq!(second.check().await.unwrap(), Vec::<String>::new());
    }
    assert_eq!(said(&second).await, said(&first).await);
    let rows = |log: &Log| {
        log.read(|conn| {
            let sql = "SELECT count(*), count(batch), (SELECT count(*) FROM transfer) FROM vessel";
            Ok(conn.query_row(sql, [], |row| {
                Ok([row.get::<_, i64>(0)?, row.get(1)?, row.get(2)?])
            })?)
        })
    };
    assert_eq!(rows(&second).await.unwrap(), rows(&first).await.unwrap());
    for moving in moving {
        assert_eq!(second.take_in(moving).await.unwrap(), Moved::Already);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    #[test]
    fn in_whichever_order_batches_come_the_log_says_the_same(
        acts in acts(),
        order in Just((0..BATCHES).collect::<Vec<usize>>()).prop_shuffle(),
    ) {
        let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
        runtime.block_on(check_any_order(acts, order));
    }
}
