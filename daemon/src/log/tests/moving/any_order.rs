//! In whichever order batches come into a log, it says the same.

use std::collections::BTreeMap;

use proptest::prelude::*;

use super::*;

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
