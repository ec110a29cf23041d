use std::pin::Pin;
use std::task::{Context, Waker};

use rusqlite::OpenFlags;

use super::*;

#[tokio::test]
async fn a_procedure_that_the_journal_begins_with_is_kept_once_and_read_as_the_batchs_own() {
    let place = Place::new();
    let log = place.open();
    let new = NewBatch {
        procedure: NewBatch::IN_JOURNAL.to_owned(),
        ..harbour_grey()
    };
    let opened = NewEntry {
        kind: "opened".to_owned(),
        body: r#"{"what":"opened","procedure":{"recipe":"Slate","steps":[1.50]}}"#.to_owned(),
        ..entry(0)
    };
    let batch = log.begin_batch(new, move |_| vec![opened]).await.unwrap();
    let read = log.batch(batch.id).await.unwrap();
    assert_eq!(read.procedure, r#"{"recipe":"Slate","steps":[1.50]}"#);
}

#[tokio::test]
async fn what_was_answered_is_there_after_opening_again() {
    let place = Place::new();
    let log = place.open();
    let batch = log.open_batch(harbour_grey()).await.unwrap();
    let places = log
        .append(batch.id, vec![entry(0), pour(1, batch.id)])
        .await
        .unwrap();
    assert_eq!(places, [0, 1]);
    log.stop().await.unwrap();

    let log = place.open();
    let entries = log.entries(batch.id).await.unwrap();
    assert_eq!(
        entries,
        [0, 1].map(|number| Entry {
            seq: number,
            tick_us: number * 1_000,
            at: entry(number).at,
            kind: "settled".to_owned(),
            body: entry(number).body,
        })
    );
    assert_eq!(log.transfers(batch.id).await.unwrap().len(), 1);
    let read = log.batch(batch.mark.clone()).await.unwrap();
    let filled = BatchHead {
        in_jar_ug: 1_000_000,
        ..batch
    };
    assert_eq!(read.head, filled);
    assert_eq!(read.procedure, harbour_grey().procedure);
    assert_eq!(read.recipe_text, harbour_grey().recipe_text);
    assert_eq!(read.profile_text, harbour_grey().profile_text);
}

#[tokio::test]
async fn calls_that_wait_together_keep_their_order_in_each_batch() {
    let place = Place::new();
    let log = place.open();
    let one = log.open_batch(harbour_grey()).await.unwrap().id;
    let two = log.open_batch(harbour_grey()).await.unwrap().id;
    let answers: Vec<_> = (0..300)
        .map(|number| {
            let batch = if number % 3 == 0 { two } else { one };
            log.clone().append(batch, vec![entry(number)])
        })
        .collect();
    for answer in answers {
        answer.await.unwrap();
    }
    let of_one: Vec<i64> = (0..300).filter(|number| number % 3 != 0).collect();
    let of_two: Vec<i64> = (0..300).filter(|number| number % 3 == 0).collect();
    assert_eq!(numbers(&log.entries(one).await.unwrap()), of_one);
    assert_eq!(numbers(&log.entries(two).await.unwrap()), of_two);
}

#[tokio::test]
async fn a_waiting_group_is_one_commit_and_is_answered_after_it() {
    let place = Place::new();
    let log = place.open();
    let batch = log.open_batch(harbour_grey()).await.unwrap().id;

    // Hold the thread until both writes wait.
    let (release, held) = mpsc::channel::<()>();
    let hold = log.read(move |_| Ok(held.recv().is_ok()));
    let mut first = log.append(batch, vec![entry(0)]);
    let path = place.path();
    let second = log.write(move |inside| {
        let count = "SELECT count(*) FROM entry";
        let outside = Connection::open_with_flags(&path, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
        let seen_inside: i64 = inside.query_row(count, [], |row| row.get(0))?;
        let seen_outside: i64 = outside.query_row(count, [], |row| row.get(0))?;
        let mut context = Context::from_waker(Waker::noop());
        let unanswered = Pin::new(&mut first).poll(&mut context).is_pending();
        Ok((seen_inside, seen_outside, unanswered))
    });
    release.send(()).unwrap();
    assert!(hold.await.unwrap());
    assert_eq!(second.await.unwrap(), (1, 0, true));
}

#[tokio::test]
async fn a_refused_record_does_not_take_its_neighbours_with_it() {
    let place = Place::new();
    let log = place.open();
    let batch = log.open_batch(harbour_grey()).await.unwrap().id;
    let (release, held) = mpsc::channel::<()>();
    let hold = log.read(move |_| Ok(held.recv().is_ok()));
    let before = log.append(batch, vec![entry(0)]);
    let no_json = NewEntry {
        body: "{".to_owned(),
        ..entry(1)
    };
    let refused = log.append(batch, vec![entry(1), no_json]);
    let after = log.append(batch, vec![entry(2)]);
    release.send(()).unwrap();
    assert!(hold.await.unwrap());
    assert_eq!(before.await.unwrap(), [0]);
    assert_eq!(
        refused.await.unwrap_err().to_string(),
        "the log does not take this: a body is JSON"
    );
    assert_eq!(after.await.unwrap(), [1]);
    assert_eq!(numbers(&log.entries(batch).await.unwrap()), [0, 2]);
}

#[tokio::test]
async fn what_breaks_a_rule_is_refused_in_words() {
    let place = Place::new();
    let log = place.open();
    let batch = log.open_batch(harbour_grey()).await.unwrap().id;
    let check = async |change: fn(&mut NewEntry), expect: &str| {
        let mut wrong = pour(0, BatchId::from_number(1));
        change(&mut wrong);
        let error = log.append(batch, vec![wrong]).await.unwrap_err();
        assert_eq!(error.to_string(), expect);
        assert_eq!(log.entries(batch).await.unwrap(), []);
    };
    let huge = |entry: &mut NewEntry| entry.transfers[0].mass_ug = NonZeroU64::MAX;
    check(
        |entry| entry.kind.clear(),
        "the log does not take this: an entry has a kind",
    )
    .await;
    check(
        |entry| entry.at = "soon".to_owned(),
        "the log does not take this: an entry has a time in UTC",
    )
    .await;
    check(
        |entry| entry.transfers[0].substance.clear(),
        "the log does not take this: a transfer names its substance",
    )
    .await;
    check(
        |entry| entry.transfers[0].from = entry.transfers[0].to.clone(),
        "the log does not take this: a transfer goes from one vessel to another",
    )
    .await;
    check(
        huge,
        "the log does not take this: a transfer is at most a thousand tonnes",
    )
    .await;
    check(
        |entry| entry.transfers[0].to = Vessel::Jar(BatchId::from_number(77)),
        "no batch `77` in the log",
    )
    .await;
}

#[tokio::test]
async fn no_sql_changes_or_deletes_what_is_written() {
    let place = Place::new();
    let log = place.open();
    let batch = log.open_batch(harbour_grey()).await.unwrap().id;
    log.append(batch, vec![pour(0, batch), pour(1, batch)])
        .await
        .unwrap();
    let whole = (
        log.entries(batch).await.unwrap(),
        log.transfers(batch).await.unwrap(),
    );
    log.stop().await.unwrap();

    let stranger = Connection::open(place.path()).unwrap();
    let check = |sql: &str, expect: &str| {
        let error = stranger.execute_batch(sql).unwrap_err();
        assert_eq!(error.to_string(), expect, "{sql}");
    };
    check(
        "UPDATE entry SET body = '{}'",
        "an entry of the journal is never changed",
    );
    check(
        "DELETE FROM entry",
        "an entry of the journal is never deleted",
    );
    check(
        "INSERT OR REPLACE INTO entry SELECT batch, seq, 0, at, kind, '{}' FROM entry",
        "an entry comes after the last one of its batch",
    );
    check(
        "INSERT INTO entry SELECT batch, 7, tick_us, at, kind, body FROM entry WHERE seq = 0",
        "an entry comes after the last one of its batch",
    );
    check(
        "UPDATE transfer SET mass_ug = 1",
        "a transfer is never changed: book one the other way",
    );
    check(
        "DELETE FROM transfer",
        "a transfer is never deleted: book one the other way",
    );
    check(
        "REPLACE INTO transfer SELECT batch, entry, nth, from_vessel, to_vessel, substance, 1, seen FROM transfer",
        "a transfer is never replaced",
    );
    check("UPDATE vessel SET key = 'x'", "a vessel is never changed");
    check(
        "UPDATE vessel SET batch = NULL",
        "a vessel is never changed",
    );
    check("DELETE FROM vessel", "a vessel is never deleted");
    check(
        "REPLACE INTO vessel SELECT * FROM vessel",
        "a vessel is never replaced",
    );
    check(
        "UPDATE batch SET recipe_text = ''",
        "of a batch only the state changes",
    );
    check(
        "DELETE FROM batch",
        "the record of a batch is kept for ever",
    );
    check(
        "REPLACE INTO batch SELECT * FROM batch",
        "a batch is never replaced",
    );
    drop(stranger);

    let log = place.open();
    assert_eq!(
        (
            log.entries(batch).await.unwrap(),
            log.transfers(batch).await.unwrap()
        ),
        whole
    );
}
