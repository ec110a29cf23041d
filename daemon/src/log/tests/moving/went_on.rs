//! Batches that went on in another log: they go on here, or are refused whole.

use super::*;

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
