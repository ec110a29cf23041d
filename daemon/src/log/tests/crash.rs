//! A process that dies leaves the log and its WAL as they are at that instant: a copy taken while
//! the log is open is what the next start finds.

use std::fs;

use super::*;

/// Bytes of one frame of the WAL: a header of 24 and a page of 4096 (SQLite's file format, section 4.1).
const FRAME: usize = 24 + 4_096;

/// Copies an open log into a place of its own, with only the first bytes of its WAL.
fn die(place: &Place, wal_bytes: usize) -> Place {
    let after = Place::new();
    fs::create_dir(after.path().parent().unwrap()).unwrap();
    fs::copy(place.path(), after.path()).unwrap();
    let wal = fs::read(place.path().with_extension("db-wal")).unwrap();
    fs::write(
        after.path().with_extension("db-wal"),
        &wal[..wal_bytes.min(wal.len())],
    )
    .unwrap();
    after
}

fn wal_bytes(place: &Place) -> usize {
    fs::read(place.path().with_extension("db-wal"))
        .unwrap()
        .len()
}

#[tokio::test]
async fn what_was_answered_survives_a_death_at_that_instant() {
    let place = Place::new();
    let log = place.open();
    let batch = log.open_batch(harbour_grey()).await.unwrap().id;
    for number in 0..12 {
        log.append(batch, vec![pour(number, batch)]).await.unwrap();
        let after = die(&place, usize::MAX).open();
        let expect: Vec<i64> = (0..=number).collect();
        assert_eq!(numbers(&after.entries(batch).await.unwrap()), expect);
        assert_eq!(
            after.jar(batch).await.unwrap()[0].mass_ug,
            (number + 1) * 1_000_000
        );
    }
}

#[tokio::test]
async fn a_torn_end_loses_only_whole_unanswered_groups() {
    let place = Place::new();
    let log = place.open();
    let batch = log.open_batch(harbour_grey()).await.unwrap().id;
    let begun = wal_bytes(&place);
    let mut answered = Vec::new();
    for number in [0, 2, 4] {
        log.append(batch, vec![pour(number, batch), pour(number + 1, batch)])
            .await
            .unwrap();
        answered.push((wal_bytes(&place), number + 2));
    }
    for cut in (begun..=wal_bytes(&place)).step_by(FRAME / 3) {
        let after = die(&place, cut).open();
        let entries = numbers(&after.entries(batch).await.unwrap());
        let least = answered
            .iter()
            .rev()
            .find(|(bytes, _)| *bytes <= cut)
            .map_or(0, |&(_, count)| count);
        assert_eq!(
            entries,
            (0..least).collect::<Vec<_>>(),
            "cut after {cut} bytes"
        );
        let poured: i64 = after
            .jar(batch)
            .await
            .unwrap()
            .iter()
            .map(|held| held.mass_ug)
            .sum();
        assert_eq!(poured, least * 1_000_000, "cut after {cut} bytes");
        assert_eq!(after.check().await.unwrap(), Vec::<String>::new());
    }
}

#[tokio::test]
async fn a_clean_stop_leaves_everything_in_one_file() {
    let place = Place::new();
    let log = place.open();
    let batch = log.open_batch(harbour_grey()).await.unwrap().id;
    let last = log.append(batch, vec![pour(0, batch)]);
    let stopped = log.stop();
    let late = log.append(batch, vec![entry(1)]);
    stopped.await.unwrap();
    last.await.unwrap();
    assert_eq!(late.await.unwrap_err().to_string(), "the log is stopped");
    let names: Vec<_> = fs::read_dir(place.path().parent().unwrap())
        .unwrap()
        .map(|file| file.unwrap().file_name())
        .collect();
    assert_eq!(names, ["log.db"]);
    assert_eq!(check_file(&place.path()).unwrap(), Vec::<String>::new());
}
