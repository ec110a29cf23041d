//! Finding batches again, their states, the scales, the trace.

use std::collections::HashSet;

use super::*;

#[tokio::test]
async fn every_batch_has_a_mark_of_its_own() {
    let place = Place::new();
    let log = place.open();
    let answers: Vec<_> = (0..200).map(|_| log.open_batch(harbour_grey())).collect();
    let mut marks = HashSet::new();
    for answer in answers {
        let mark = answer.await.unwrap().mark;
        assert_eq!(mark.as_str().len(), 5);
        assert_eq!(mark.as_str().parse(), Ok(mark.clone()));
        assert!(marks.insert(mark));
    }
}

#[tokio::test]
async fn a_state_moves_together_with_its_entries() {
    let place = Place::new();
    let log = place.open();
    let batch = log.open_batch(harbour_grey()).await.unwrap();
    assert_eq!(batch.state, BatchState::Live(LiveState::Idle));
    let check = async |state: BatchState, closed: Option<&str>, unfinished: usize| {
        let head = log.batch(batch.id).await.unwrap().head;
        assert_eq!((head.state, head.closed.as_deref()), (state, closed));
        assert_eq!(log.unfinished("window").await.unwrap().len(), unfinished);
        assert_eq!(log.unfinished("cellar").await.unwrap(), []);
    };
    let end = "2026-03-02T10:00:00Z";

    log.append_and_enter(batch.id, vec![entry(0)], LiveState::Held)
        .await
        .unwrap();
    check(BatchState::Live(LiveState::Held), None, 1).await;

    let bad = NewEntry {
        body: String::new(),
        ..entry(1)
    };
    log.append_and_enter(batch.id, vec![bad], LiveState::Running)
        .await
        .unwrap_err();
    check(BatchState::Live(LiveState::Held), None, 1).await;

    log.close_batch(batch.id, vec![entry(1)], Ending::Complete, end.to_owned())
        .await
        .unwrap();
    check(BatchState::Ended(Ending::Complete), Some(end), 0).await;

    log.append(batch.id, vec![entry(2)]).await.unwrap();
    check(BatchState::Ended(Ending::Complete), Some(end), 0).await;

    log.append_and_enter(batch.id, vec![entry(3)], LiveState::Running)
        .await
        .unwrap();
    check(BatchState::Live(LiveState::Running), None, 1).await;
    assert_eq!(numbers(&log.entries(batch.id).await.unwrap()), [0, 1, 2, 3]);
}

#[tokio::test]
async fn a_list_shows_what_fits_the_newest_first() {
    let place = Place::new();
    let log = place.open();
    let mut ids = Vec::new();
    for (bench, recipe, reality, opened) in [
        (
            "window",
            "Harbour grey",
            Reality::Real,
            "2026-03-01T08:00:00Z",
        ),
        (
            "window",
            "Slate",
            Reality::Rehearsal,
            "2026-03-02T08:00:00Z",
        ),
        (
            "cellar",
            "Harbour grey",
            Reality::Real,
            "2026-03-03T08:00:00Z",
        ),
    ] {
        let new = NewBatch {
            bench: bench.to_owned(),
            recipe: recipe.to_owned(),
            reality,
            opened: opened.to_owned(),
            ..harbour_grey()
        };
        ids.push(log.open_batch(new).await.unwrap().id);
    }
    log.append_and_enter(ids[2], Vec::new(), LiveState::Paused)
        .await
        .unwrap();

    let check = async |filter: BatchFilter, expect: &[usize]| {
        let counted = log.count(filter.clone()).await.unwrap();
        assert_eq!(usize::try_from(counted), Ok(expect.len()));
        let found = log.batches(filter).await.unwrap();
        let found: Vec<BatchId> = found.into_iter().map(|head| head.id).collect();
        let expect: Vec<BatchId> = expect.iter().map(|&at| ids[at]).collect();
        assert_eq!(found, expect);
    };
    let all = BatchFilter::default;
    check(all(), &[2, 1, 0]).await;
    check(
        BatchFilter {
            bench: Some("window".to_owned()),
            ..all()
        },
        &[1, 0],
    )
    .await;
    check(
        BatchFilter {
            recipe: Some("Harbour grey".to_owned()),
            ..all()
        },
        &[2, 0],
    )
    .await;
    check(
        BatchFilter {
            reality: Some(Reality::Rehearsal),
            ..all()
        },
        &[1],
    )
    .await;
    check(
        BatchFilter {
            state: Some(BatchState::Live(LiveState::Paused)),
            ..all()
        },
        &[2],
    )
    .await;
    check(
        BatchFilter {
            opened_from: Some("2026-03-02".to_owned()),
            ..all()
        },
        &[2, 1],
    )
    .await;
    check(
        BatchFilter {
            at_most: Some(1),
            ..all()
        },
        &[2],
    )
    .await;
    check(
        BatchFilter {
            before: Some(ids[2]),
            at_most: Some(1),
            ..all()
        },
        &[1],
    )
    .await;
}

#[tokio::test]
async fn a_batch_that_is_not_there_is_named() {
    let place = Place::new();
    let log = place.open();
    let nobody = BatchId::from_number(9);
    let expect = "no batch `9` in the log";
    assert_eq!(log.batch(nobody).await.unwrap_err().to_string(), expect);
    assert_eq!(log.entries(nobody).await.unwrap_err().to_string(), expect);
    assert_eq!(
        log.append(nobody, vec![entry(0)])
            .await
            .unwrap_err()
            .to_string(),
        expect
    );
    assert_eq!(log.jar(nobody).await.unwrap_err().to_string(), expect);
    let mark: Mark = "22222".parse().unwrap();
    let error = log.batch(mark).await.unwrap_err();
    assert_eq!(error.to_string(), "no batch `22222` in the log");
    assert_eq!(error.hint(), Some("list the batches to see their marks"));
}

#[tokio::test]
async fn a_scale_is_remembered_as_it_was_last_told() {
    let place = Place::new();
    let log = place.open();
    let first = Device {
        key: "serial:0001".to_owned(),
        told_unit: None,
        profile: "format = \"text\"\n".to_owned(),
        last_seen: "2026-03-02T09:00:00Z".to_owned(),
    };
    let second = Device {
        told_unit: Some("g".to_owned()),
        last_seen: "2026-03-02T09:01:00Z".to_owned(),
        ..first.clone()
    };
    assert_eq!(log.device("serial:0001").await.unwrap(), None);
    log.set_device(first).await.unwrap();
    log.set_device(second.clone()).await.unwrap();
    assert_eq!(
        log.device("serial:0001").await.unwrap(),
        Some(second.clone())
    );
    assert_eq!(log.devices().await.unwrap(), [second]);
}

#[tokio::test]
async fn a_trace_comes_in_pieces_and_may_be_deleted_and_the_journal_stays() {
    let place = Place::new();
    let log = place.open();
    let batch = log.open_batch(harbour_grey()).await.unwrap().id;
    log.append(batch, vec![entry(0)]).await.unwrap();
    let samples: Vec<Sample> = (0..20)
        .map(|n| Sample {
            tick_us: n * 100_000,
            gross_ug: n * n,
        })
        .collect();
    log.append_trace(batch, samples[..7].to_vec())
        .await
        .unwrap();
    log.append_trace(batch, samples[7..].to_vec())
        .await
        .unwrap();
    assert_eq!(log.trace(batch).await.unwrap(), samples);
    log.stop().await.unwrap();
    let hand = Connection::open(place.path()).unwrap();
    hand.execute_batch("DELETE FROM trace").unwrap();
    let log = place.open();
    assert_eq!(log.trace(batch).await.unwrap(), []);
    assert_eq!(log.entries(batch).await.unwrap().len(), 1);
    assert_eq!(log.check().await.unwrap(), Vec::<String>::new());
}

#[tokio::test]
async fn a_batch_is_found_by_a_part_of_any_word_that_belongs_to_it() {
    let place = Place::new();
    let log = place.open();
    let grey = log.open_batch(harbour_grey()).await.unwrap();
    let blue = NewBatch {
        recipe: "Lagoon \"round\", blau-grün".to_owned(),
        things: "lagoon-paste\nC2\nÖl".to_owned(),
        opened: "2026-04-02T09:00:00Z".to_owned(),
        ..harbour_grey()
    };
    let blue = log.open_batch(blue).await.unwrap();
    let said = NewEntry {
        words: Some("cracked at the edge".to_owned()),
        ..entry(0)
    };
    let _place = log.append(grey.id, vec![said]).await.unwrap();
    let found = async |find: &str, with: &str| {
        let some = |text: &str| (!text.is_empty()).then(|| text.to_owned());
        let filter = BatchFilter {
            find: some(find),
            with: some(with),
            ..BatchFilter::default()
        };
        let heads = log.batches(filter).await.unwrap();
        heads.into_iter().map(|head| head.id).collect::<Vec<_>>()
    };
    for (find, with, expected) in [
        ("HARBOUR", "", vec![grey.id]),
        ("\"round\"", "", vec![blue.id]),
        ("GRÜN", "", vec![blue.id]),
        ("the edge", "", vec![grey.id]),
        (grey.mark.as_str(), "", vec![grey.id]),
        ("", "b7-114", vec![grey.id]),
        ("", "c2", vec![blue.id]),
        ("gr", "", vec![blue.id, grey.id]),
        ("ün", "", vec![blue.id]),
        ("ÜN", "", vec![blue.id]),
        ("öl", "", vec![blue.id]),
        ("Öl", "", vec![blue.id]),
        ("", "Öl", vec![blue.id]),
        ("har\0bour", "", vec![]),
        ("", "\0", vec![]),
        ("\"\0", "\0\0\0", vec![]),
        ("", "cracked", vec![]),
        ("* OR name:x", "", vec![]),
        ("", "", vec![blue.id, grey.id]),
    ] {
        assert_eq!(found(find, with).await, expected, "{find:?} {with:?}");
    }
    let until = BatchFilter {
        opened_until: Some("2026-04-01T00:00:00Z".to_owned()),
        ..BatchFilter::default()
    };
    assert_eq!(log.batches(until).await.unwrap()[0].id, grey.id);
    assert_eq!(log.check().await.unwrap(), Vec::<String>::new());
}

#[tokio::test]
async fn a_moment_counts_with_all_its_second() {
    let place = Place::new();
    let log = place.open();
    let mut marks = Vec::new();
    for second in ["09:59:59.5", "10:00:00", "10:00:00.5", "10:00:01"] {
        let new = NewBatch {
            opened: format!("2026-03-02T{second}Z"),
            ..harbour_grey()
        };
        marks.push(log.open_batch(new).await.unwrap().mark);
    }
    let found = async |from: Option<&str>, until: Option<&str>| {
        let moment = |time: &str| format!("2026-03-02T{time}Z");
        let filter = BatchFilter {
            opened_from: from.map(moment),
            opened_until: until.map(moment),
            ..BatchFilter::default()
        };
        let heads = log.batches(filter).await.unwrap();
        let found = heads.into_iter().rev().map(|head| head.mark);
        found.collect::<Vec<Mark>>()
    };
    assert_eq!(found(Some("10:00:00"), None).await, marks[1..]);
    assert_eq!(found(None, Some("10:00:00")).await, marks[..1]);
    assert_eq!(found(Some("10:00:00.5"), None).await, marks[2..]);
    assert_eq!(found(None, Some("10:00:00.5")).await, marks[..2]);
    assert_eq!(found(Some("10:00:00"), Some("10:00:01")).await, marks[1..3]);
}

#[tokio::test]
async fn a_list_says_what_is_in_each_jar_now() {
    let place = Place::new();
    let log = place.open();
    let batch = log.open_batch(harbour_grey()).await.unwrap();
    let entries = vec![pour(0, batch.id), pour(1, batch.id)];
    let _places = log.append(batch.id, entries).await.unwrap();
    let out = NewEntry {
        transfers: pour(2, batch.id)
            .transfers
            .into_iter()
            .map(NewTransfer::reversed)
            .collect(),
        ..entry(2)
    };
    let _places = log.append(batch.id, vec![out]).await.unwrap();
    let heads = log.batches(BatchFilter::default()).await.unwrap();
    assert_eq!(heads[0].in_jar_ug, 1_000_000);
    let holding = async |above: i64| {
        let filter = BatchFilter {
            holds_above_ug: Some(above),
            ..BatchFilter::default()
        };
        let counted = log.count(filter.clone()).await.unwrap();
        assert_eq!(
            u32::try_from(log.batches(filter).await.unwrap().len()),
            Ok(counted)
        );
        counted
    };
    assert_eq!((holding(999_999).await, holding(1_000_000).await), (1, 0));
}
