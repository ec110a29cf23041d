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
        // Asked for by its key, it is the same.
        let of_it = log.drawn_of("chalk-white".to_owned(), since.map(str::to_owned));
        assert_eq!(of_it.await.unwrap(), drawn);
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
