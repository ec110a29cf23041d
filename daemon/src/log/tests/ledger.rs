use std::collections::BTreeMap;

use proptest::prelude::*;

use super::*;

fn vessels(one: BatchId, two: BatchId) -> impl Strategy<Value = Vessel> {
    prop_oneof![
        Just(Vessel::Shelf("pack".to_owned())),
        Just(Vessel::Shelf("waste".to_owned())),
        Just(Vessel::Cup("paste cup".to_owned())),
        Just(Vessel::Jar(one)),
        Just(Vessel::Jar(two)),
        Just(Vessel::Waste),
        Just(Vessel::Unknown),
    ]
}

fn transfers(one: BatchId, two: BatchId) -> impl Strategy<Value = NewTransfer> {
    let ends =
        (vessels(one, two), vessels(one, two)).prop_filter("to another", |(from, to)| from != to);
    let what = (
        prop::sample::select(vec!["chalk-white", "black-paste", "water"]),
        1_u64..5_000_000_000,
        any::<bool>(),
    );
    (ends, what).prop_map(|((from, to), (substance, mass_ug, seen))| NewTransfer {
        from,
        to,
        substance: substance.to_owned(),
        mass_ug: NonZeroU64::new(mass_ug).unwrap(),
        seen: if seen { Seen::Seen } else { Seen::Unseen },
    })
}

/// The ledger of a model: what each vessel holds of each substance, and how much of it unseen.
fn model(booked: &[NewTransfer]) -> BTreeMap<(Vessel, String), (i64, i64)> {
    let mut holdings = BTreeMap::new();
    for transfer in booked {
        let mass_ug = i64::try_from(transfer.mass_ug.get()).unwrap();
        for (vessel, mass_ug) in [(&transfer.from, -mass_ug), (&transfer.to, mass_ug)] {
            let held: &mut (i64, i64) = holdings
                .entry((vessel.clone(), transfer.substance.clone()))
                .or_default();
            held.0 += mass_ug;
            held.1 += if transfer.seen == Seen::Unseen {
                mass_ug
            } else {
                0
            };
        }
    }
    holdings.retain(|_, held| *held != (0, 0));
    holdings
}

async fn jars(log: &Log, ids: [BatchId; 2]) -> BTreeMap<(Vessel, String), (i64, i64)> {
    let mut holdings = BTreeMap::new();
    for id in ids {
        for held in log.jar(id).await.unwrap() {
            holdings.insert(
                (Vessel::Jar(id), held.substance),
                (held.mass_ug, held.unseen_ug),
            );
        }
    }
    holdings
}

/// What the view `ledger` says, for whoever reads the database with a tool of their own.
async fn view(log: &Log) -> BTreeMap<(Vessel, String), (i64, i64)> {
    let rows = log.read(|conn| {
        let mut statement =
            conn.prepare("SELECT batch, substance, mass_ug, unseen_ug FROM ledger")?;
        let rows = statement.query_map([], |row| {
            let jar = Vessel::Jar(BatchId::from_number(row.get(0)?));
            Ok(((jar, row.get(1)?), (row.get(2)?, row.get(3)?)))
        })?;
        Ok(rows.collect::<Result<BTreeMap<_, _>, _>>()?)
    });
    let mut holdings = rows.await.unwrap();
    holdings.retain(|_, held| *held != (0, 0));
    holdings
}

/// Books the transfers, some of them taken back, and compares the ledger with the model.
async fn check(script: Vec<(NewTransfer, bool)>) {
    let place = Place::new();
    let log = place.open();
    let ids = [BatchId::from_number(1), BatchId::from_number(2)];
    for id in ids {
        assert_eq!(log.open_batch(harbour_grey()).await.unwrap().id, id);
    }
    let mut booked = Vec::new();
    for (number, (transfer, taken_back)) in (0..).zip(script) {
        let mut wanted = vec![transfer.clone()];
        if taken_back {
            wanted.push(transfer.reversed());
        }
        booked.extend(wanted.clone());
        let new = NewEntry {
            transfers: wanted,
            ..entry(number)
        };
        // The answer to the check below comes after these.
        drop(log.append(ids[usize::try_from(number % 2).unwrap()], vec![new]));
    }
    assert_eq!(log.check().await.unwrap(), Vec::<String>::new());
    let mut expect = model(&booked);
    expect.retain(|(vessel, _), _| matches!(vessel, Vessel::Jar(_)));
    assert_eq!(jars(&log, ids).await, expect);
    assert_eq!(view(&log).await, expect);

    // Taking back everything leaves nothing anywhere.
    let mut everything = Vec::new();
    for id in ids {
        let own = log.transfers(id).await.unwrap();
        everything.extend(own.into_iter().filter(|transfer| transfer.batch == id));
    }
    let read: Vec<NewTransfer> = everything
        .into_iter()
        .map(|transfer| transfer.booked)
        .collect();
    let count = read.len();
    assert_eq!(count, booked.len());
    let back = NewEntry {
        transfers: read.into_iter().map(NewTransfer::reversed).collect(),
        ..entry(0)
    };
    log.append(ids[0], vec![back]).await.unwrap();
    assert_eq!(jars(&log, ids).await, BTreeMap::new());
    let left = log.read(|conn| {
        let sql = "SELECT count(*) FROM (
                       SELECT 1 FROM movement GROUP BY vessel, substance
                       HAVING sum(mass_ug) <> 0 OR sum(unseen_ug) <> 0)";
        Ok(conn.query_row(sql, [], |row| row.get::<_, i64>(0))?)
    });
    assert_eq!(left.await.unwrap(), 0);
    assert_eq!(log.check().await.unwrap(), Vec::<String>::new());
    log.stop().await.unwrap();
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn the_ledger_balances_whatever_is_booked_and_taken_back(
        script in prop::collection::vec(
            (transfers(BatchId::from_number(1), BatchId::from_number(2)), any::<bool>()),
            0..30,
        )
    ) {
        let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
        runtime.block_on(check(script));
    }
}

fn grams(grams: u64, substance: &str, from: Vessel, to: Vessel) -> NewTransfer {
    NewTransfer {
        from,
        to,
        substance: substance.to_owned(),
        mass_ug: NonZeroU64::new(grams * 1_000_000).unwrap(),
        seen: Seen::Seen,
    }
}

#[tokio::test]
async fn a_jar_poured_into_another_leaves_the_one_and_is_in_the_other() {
    let place = Place::new();
    let log = place.open();
    let premix = log.open_batch(harbour_grey()).await.unwrap().id;
    let main = log.open_batch(harbour_grey()).await.unwrap().id;
    let shelf = |key: &str| Vessel::Shelf(key.to_owned());
    let book = |transfers| NewEntry {
        transfers,
        ..entry(0)
    };
    let made = book(vec![
        grams(30, "chalk-white", shelf("chalk-white"), Vessel::Jar(premix)),
        grams(12, "water", Vessel::Unknown, Vessel::Jar(premix)),
    ]);
    let joined = book(vec![
        grams(30, "chalk-white", Vessel::Jar(premix), Vessel::Jar(main)),
        grams(11, "water", Vessel::Jar(premix), Vessel::Jar(main)),
    ]);
    log.append(premix, vec![made]).await.unwrap();
    log.append(main, vec![joined]).await.unwrap();
    let held = |substance: &str, grams: i64| Holding {
        substance: substance.to_owned(),
        mass_ug: grams * 1_000_000,
        unseen_ug: 0,
    };
    assert_eq!(log.jar(premix).await.unwrap(), [held("water", 1)]);
    assert_eq!(
        log.jar(main).await.unwrap(),
        [held("chalk-white", 30), held("water", 11)]
    );
    // The premix's own page shows where it went.
    assert_eq!(log.transfers(premix).await.unwrap().len(), 4);
    assert_eq!(log.transfers(main).await.unwrap().len(), 2);
}

#[tokio::test]
async fn a_rehearsal_takes_nothing_from_the_shelf() {
    let place = Place::new();
    let log = place.open();
    let rehearsal = NewBatch {
        reality: Reality::Rehearsal,
        ..harbour_grey()
    };
    let rehearsal = log.open_batch(rehearsal).await.unwrap().id;
    let real = log.open_batch(harbour_grey()).await.unwrap().id;
    log.append(rehearsal, vec![pour(0, rehearsal)])
        .await
        .unwrap();
    log.append(real, vec![pour(0, real), pour(1, real)])
        .await
        .unwrap();
    let back = NewEntry {
        transfers: pour(1, real)
            .transfers
            .into_iter()
            .map(NewTransfer::reversed)
            .collect(),
        ..entry(2)
    };
    log.append(real, vec![back]).await.unwrap();
    let drawn = log.drawn_by_batch("chalk-white".to_owned(), None);
    let drawn = drawn.await.unwrap();
    let taken: Vec<i64> = drawn
        .iter()
        .map(|drawn| drawn.out_ug - drawn.back_ug)
        .collect();
    assert_eq!(taken, [1_000_000]);
}

#[tokio::test]
async fn the_descent_of_a_jar_is_all_that_went_into_it_through_other_jars_and_where_it_went_on() {
    let place = Place::new();
    let log = place.open();
    let mut marks = Vec::new();
    for minute in 0..4 {
        let opened = format!("2026-03-02T08:{minute:02}:00Z");
        let batch = NewBatch {
            opened,
            ..harbour_grey()
        };
        marks.push(log.open_batch(batch).await.unwrap());
    }
    let [paste, grey, other, amendment] = <[BatchHead; 4]>::try_from(marks).unwrap();
    let jar = |head: &BatchHead| Vessel::JarOf(head.mark.as_str().to_owned());
    let move_ = |from: Vessel, to: Vessel| NewTransfer {
        from,
        to,
        substance: "slip".to_owned(),
        mass_ug: NonZeroU64::new(5_000_000).unwrap(),
        seen: Seen::Seen,
    };
    let shelf = || Vessel::Shelf("slip".to_owned());
    let cup = || Vessel::Cup("sample cup".to_owned());
    // In the order of time, whatever the order of the batches; the clock of the first is set back once.
    let booked = [
        (&grey, 5, move_(shelf(), jar(&grey))),
        (&paste, 9, move_(shelf(), jar(&paste))),
        (&paste, 1, move_(jar(&paste), cup())),
        (&amendment, 10, move_(jar(&paste), jar(&grey))),
        (&other, 11, move_(jar(&grey), jar(&other))),
    ];
    for (batch, second, transfer) in booked {
        let entry = NewEntry {
            transfers: vec![transfer],
            ..entry(second)
        };
        log.append(batch.id, vec![entry]).await.unwrap();
    }
    let seen = |flows: Vec<Flow>| -> Vec<(Mark, String)> {
        let lines = flows.into_iter();
        lines
            .map(|flow| (flow.batch, flow.at[17..19].to_owned()))
            .collect()
    };
    let line = |head: &BatchHead, second: &str| (head.mark.clone(), second.to_owned());
    assert_eq!(
        seen(log.lineage(grey.id).await.unwrap()),
        [
            line(&grey, "05"),
            line(&paste, "09"),
            line(&paste, "01"),
            line(&amendment, "10"),
            line(&other, "11")
        ]
    );
    assert_eq!(
        seen(log.lineage(paste.id).await.unwrap()),
        [
            line(&paste, "09"),
            line(&paste, "01"),
            line(&amendment, "10")
        ]
    );
    let on: Vec<Mark> = log
        .poured_on(vec![paste.mark.clone()])
        .await
        .unwrap()
        .into_iter()
        .map(|head| head.mark)
        .collect();
    assert_eq!(on, [paste.mark, grey.mark, other.mark]);
}

#[tokio::test]
async fn what_leaves_a_jar_is_in_it_at_that_moment_or_nothing_is_written() {
    let place = Place::new();
    let log = place.open();
    let batch = log.open_batch(harbour_grey()).await.unwrap().id;
    let _place = log.append(batch, vec![pour(0, batch)]).await.unwrap();
    let out = |mass_ug| NewEntry {
        transfers: vec![NewTransfer {
            from: Vessel::Jar(batch),
            to: Vessel::Waste,
            substance: "mix".to_owned(),
            mass_ug: NonZeroU64::new(mass_ug).unwrap(),
            seen: Seen::Unseen,
        }],
        ..entry(1)
    };
    // Asked for at once, they go into one commit; each was right when it was asked for.
    let asked = [700_000, 700_000, 300_000, 1]
        .map(|mass_ug| log.clone().append_from_jar(batch, vec![out(mass_ug)]));
    let mut told = Vec::new();
    for answer in asked {
        told.push(match answer.await {
            Ok(_place) => None,
            Err(LogError::NotInJar { held_ug }) => Some(held_ug),
            Err(other) => panic!("{other}"),
        });
    }
    assert_eq!(told, [None, Some(300_000), None, Some(0)]);
    assert_eq!(log.batch(batch).await.unwrap().head.in_jar_ug, 0);
    assert_eq!(log.entries(batch).await.unwrap().len(), 3);
    assert_eq!(log.check().await.unwrap(), Vec::<String>::new());
}
