use std::slice;

use super::*;

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
    let rehearsal = log.open_batch(rehearsal).await.unwrap();
    log.append(rehearsal.id, vec![pour(0, rehearsal.id)])
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
    // Draw by draw, each batch drew what it is known to have drawn; a rehearsal nothing.
    let singly = async |marks: Vec<Mark>| {
        let drawn = log.drawn_by("chalk-white".to_owned(), marks).await.unwrap();
        let drawn = drawn.into_iter().map(|drawn| (drawn.batch, drawn.mass_ug));
        drawn.collect::<Vec<(Mark, i64)>>()
    };
    let of = |mark: &Mark, mass_ug: i64| (mark.clone(), mass_ug);
    assert_eq!(
        singly(vec![real.mark.clone(), rehearsal.mark, other.mark.clone()]).await,
        [
            of(&real.mark, 1_000_000),
            of(&real.mark, 1_000_000),
            of(&real.mark, -1_000_000),
            of(&other.mark, 1_000_000),
        ]
    );
}
