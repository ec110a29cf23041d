use std::slice;

use super::*;

#[tokio::test]
async fn what_was_drawn_since_a_moment_leaves_out_rehearsals_and_what_came_before() {
    let place = Place::new();
    let log = place.open();
    let real = log.open_batch(harbour_grey()).await.unwrap();
    let rehearsal = NewBatch {
        reality: Reality::Rehearsal,
        ..harbour_grey()
    };
    let rehearsal = log.open_batch(rehearsal).await.unwrap().id;
    log.append(rehearsal, vec![pour(0, rehearsal)])
        .await
        .unwrap();
    let back = NewEntry {
        transfers: pour(2, real.id)
            .transfers
            .into_iter()
            .map(NewTransfer::reversed)
            .collect(),
        ..entry(2)
    };
    // Booked at 09:00:00.5, 09:00:01.5 and, taken back, at 09:00:02.5.
    let entries = vec![pour(0, real.id), pour(1, real.id), back];
    log.append(real.id, entries).await.unwrap();
    let drawn = async |since: Option<&str>| {
        let drawn = log.drawn(since.map(str::to_owned)).await.unwrap();
        assert!(
            drawn
                .iter()
                .all(|drawn| drawn.ingredient == "chalk-white" && drawn.batch == real.mark)
        );
        drawn
            .iter()
            .map(|drawn| drawn.mass_ug)
            .collect::<Vec<i64>>()
    };
    assert_eq!(drawn(None).await, [1_000_000, 1_000_000, -1_000_000]);
    assert_eq!(
        drawn(Some("2026-03-02T09:00:00Z")).await,
        [1_000_000, 1_000_000, -1_000_000]
    );
    assert_eq!(
        drawn(Some("2026-03-02T09:00:01Z")).await,
        [1_000_000, -1_000_000]
    );
    assert_eq!(drawn(Some("2026-03-02T09:00:02.6Z")).await, [0_i64; 0]);
}

#[tokio::test]
async fn what_each_batch_drew_is_kept_from_its_first_draw_to_its_last() {
    let place = Place::new();
    let log = place.open();
    let real = log.open_batch(harbour_grey()).await.unwrap();
    let other = log.open_batch(harbour_grey()).await.unwrap();
    let rehearsal = NewBatch {
        reality: Reality::Rehearsal,
        ..harbour_grey()
    };
    let rehearsal = log.open_batch(rehearsal).await.unwrap().id;
    log.append(rehearsal, vec![pour(0, rehearsal)])
        .await
        .unwrap();
    let back = NewEntry {
        transfers: pour(2, real.id)
            .transfers
            .into_iter()
            .map(NewTransfer::reversed)
            .collect(),
        ..entry(2)
    };
    let entries = vec![pour(0, real.id), pour(1, real.id), back];
    log.append(real.id, entries).await.unwrap();
    log.append(other.id, vec![pour(0, other.id)]).await.unwrap();
    let by_batch = async |since: Option<&str>| {
        let by_batch = log.drawn_by_batch("chalk-white".to_owned(), since.map(str::to_owned));
        by_batch.await.unwrap()
    };
    let whole = DrawnByBatch {
        batch: real.mark.clone(),
        opened: real.opened.clone(),
        first: "2026-03-02T09:00:00.5Z".to_owned(),
        last: "2026-03-02T09:00:02.5Z".to_owned(),
        out_ug: 2_000_000,
        back_ug: 1_000_000,
    };
    let short = DrawnByBatch {
        batch: other.mark.clone(),
        opened: other.opened.clone(),
        first: "2026-03-02T09:00:00.5Z".to_owned(),
        last: "2026-03-02T09:00:00.5Z".to_owned(),
        out_ug: 1_000_000,
        back_ug: 0,
    };
    assert_eq!(by_batch(None).await, [whole.clone(), short]);
    assert_eq!(
        by_batch(Some("2026-03-02T09:00:01Z")).await,
        slice::from_ref(&whole)
    );
    assert_eq!(by_batch(Some("2026-03-02T09:00:02.6Z")).await, []);
    // Draw by draw, some batches drew what all of them together are known to have drawn.
    let of_both = vec![real.mark, other.mark];
    let mut singly = log
        .drawn_by("chalk-white".to_owned(), of_both)
        .await
        .unwrap();
    let all = log.drawn(None).await.unwrap();
    singly.sort_by(|a, b| a.at.cmp(&b.at).then(a.batch.as_str().cmp(b.batch.as_str())));
    let mut sorted = all;
    sorted.sort_by(|a, b| a.at.cmp(&b.at).then(a.batch.as_str().cmp(b.batch.as_str())));
    assert_eq!(singly, sorted);
}
