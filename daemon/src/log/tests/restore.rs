//! A log that is put back, cut short after any step.

use std::fs;
use std::io;
use std::path::Path;

use super::super::restore::{name_again, restore_by};
use super::*;

const MOMENT: &str = "20260302T101500Z";

/// Copies a folder as a power cut would leave it.
fn left(place: &Place) -> Place {
    let after = Place::new();
    let folder = after.path().parent().unwrap().to_owned();
    fs::create_dir(&folder).unwrap();
    for file in fs::read_dir(place.path().parent().unwrap()).unwrap() {
        let file = file.unwrap();
        fs::copy(file.path(), folder.join(file.file_name())).unwrap();
    }
    after
}

/// A log of so many entries whose last ones are in its WAL alone, as a killed service leaves it.
async fn killed(entries: i64) -> Place {
    let place = Place::new();
    let log = place.open();
    let batch = log.open_batch(harbour_grey()).await.unwrap().id;
    for number in 0..entries {
        log.append(batch, vec![entry(number)]).await.unwrap();
    }
    let after = left(&place);
    log.stop().await.unwrap();
    let wal = after.path().with_extension("db-wal");
    assert!(0 < fs::metadata(wal).unwrap().len());
    after
}

/// A copy with one batch of nine entries.
async fn copy_of_nine(folder: &Path) -> PathBuf {
    let source = killed(9).await;
    let copy = folder.join("studio.db");
    let _copied = copy_file(&source.path(), &copy).unwrap();
    copy
}

/// How many entries each log in a folder has, of those that can be opened; each is opened as a copy, with what lies beside it.
fn entries_of_each(place: &Place) -> Vec<i64> {
    let mut found = Vec::new();
    let folder = place.path().parent().unwrap().to_owned();
    let names = fs::read_dir(&folder).unwrap();
    let names: Vec<String> = names
        .map(|file| file.unwrap().file_name().into_string().unwrap())
        .collect();
    for name in names {
        let endings = ["-wal", "-shm", "-journal"];
        if endings.iter().any(|ending| name.ends_with(ending)) {
            continue;
        }
        let alone = left(place);
        let log = alone.path().with_file_name(&name);
        let Ok(conn) = Connection::open(log) else {
            continue;
        };
        let count = conn.query_row("SELECT count(*) FROM entry", [], |row| row.get::<_, i64>(0));
        found.extend(count.ok());
    }
    found
}

#[tokio::test]
async fn whichever_step_a_restore_is_cut_short_after_both_logs_are_whole_under_some_name() {
    let place = killed(5).await;
    let copy = copy_of_nine(place.folder.path()).await;
    let mut cuts = Vec::new();
    let restored = restore_by(&copy, &place.path(), MOMENT, &mut || {
        cuts.push(left(&place))
    });
    let restored = restored.unwrap();
    assert_eq!(restored.copied.entries, 9);
    assert!(4 <= cuts.len());
    cuts.push(left(&place));
    let last = cuts.len() - 1;
    for (step, after) in cuts.iter().enumerate() {
        let entries = entries_of_each(after);
        assert!(entries.contains(&5), "after step {step}: {entries:?}");
        assert!(entries.contains(&9), "after step {step}: {entries:?}");
        // Under its own name the log is the old one with all it had, or the new one; never the old one without its end.
        let log = after.open();
        let own = log
            .read(|conn| {
                Ok(conn.query_row("SELECT count(*) FROM entry", [], |row| row.get::<_, i64>(0))?)
            })
            .await
            .unwrap();
        assert_eq!(own, if step == last { 9 } else { 5 }, "after step {step}");
        assert_eq!(log.check().await.unwrap(), Vec::<String>::new());
        log.stop().await.unwrap();
        // What was cut short is done by doing it again.
        let again = restore_file(&copy, &after.path(), MOMENT).unwrap();
        assert_eq!(again.copied.entries, 9);
        assert_eq!(entries_of_each(after).iter().max(), Some(&9));
    }
    let before = restored.before.unwrap();
    assert_eq!(check_file(&before).unwrap(), Vec::<String>::new());
}

#[tokio::test]
async fn a_damaged_log_is_set_aside_with_what_lies_beside_it() {
    let place = killed(5).await;
    let copy = copy_of_nine(place.folder.path()).await;
    let wal = |path: &Path| fs::read(format!("{}-wal", path.display())).ok();
    let mut scribbled = fs::read(place.path()).unwrap();
    scribbled[..64].fill(0xA5);
    fs::write(place.path(), &scribbled).unwrap();
    // A WAL whose first page would mend the header is not the matter here: this one does not fit.
    let beside = b"the last entries of a log that nobody can open".to_vec();
    fs::write(place.path().with_extension("db-wal"), &beside).unwrap();
    let mut cuts = Vec::new();
    let restored = restore_by(&copy, &place.path(), MOMENT, &mut || {
        cuts.push(left(&place))
    });
    let before = restored.unwrap().before.unwrap();
    assert_eq!(fs::read(&before).unwrap(), scribbled);
    assert_eq!(wal(&before), Some(beside.clone()));
    assert_eq!(wal(&place.path()), None);
    for after in &cuts {
        let own = after.path();
        let second = own.with_file_name(before.file_name().unwrap());
        let whole = [own, second].into_iter().any(|path| {
            fs::read(&path).is_ok_and(|bytes| bytes == scribbled)
                && wal(&path) == Some(beside.clone())
        });
        assert!(whole, "the old one lies together under some name");
    }
    assert_eq!(
        place
            .open()
            .batches(BatchFilter::default())
            .await
            .unwrap()
            .len(),
        1
    );
}

#[tokio::test]
async fn a_log_that_was_set_aside_in_the_same_second_keeps_its_name() {
    let place = killed(5).await;
    let copy = copy_of_nine(place.folder.path()).await;
    let named = |number: &str| {
        let name = format!("log.db.before-{MOMENT}{number}");
        place.path().with_file_name(name)
    };
    fs::write(named(""), "an earlier one").unwrap();
    fs::write(named("-2-wal"), "the last entries of another").unwrap();
    let restored = restore_file(&copy, &place.path(), MOMENT).unwrap();
    assert_eq!(restored.before, Some(named("-3")));
    assert_eq!(fs::read(named("")).unwrap(), b"an earlier one");
    assert_eq!(check_file(&named("-3")).unwrap(), Vec::<String>::new());
}

#[tokio::test]
async fn where_nothing_can_be_linked_the_log_of_before_is_a_copy_that_takes_no_others_place() {
    let place = killed(5).await;
    let none = |_: &Path, _: &Path| Err(io::Error::from(io::ErrorKind::PermissionDenied));
    let first = name_again(&place.path(), MOMENT, none).unwrap();
    let second = name_again(&place.path(), MOMENT, none).unwrap();
    assert_ne!(first, second);
    let log = fs::read(place.path()).unwrap();
    for copy in [first, second] {
        assert_eq!(fs::read(copy).unwrap(), log);
    }
    let names = fs::read_dir(place.path().parent().unwrap()).unwrap();
    let mut names = names.map(|file| file.unwrap().file_name().into_string().unwrap());
    assert!(names.all(|name| !name.ends_with(".unfinished")));
}

#[tokio::test]
async fn a_log_that_another_program_reads_is_left_as_it_is() {
    let place = killed(5).await;
    let copy = copy_of_nine(place.folder.path()).await;
    let stranger = Connection::open(place.path()).unwrap();
    stranger
        .execute_batch("BEGIN; SELECT count(*) FROM entry;")
        .unwrap();
    let error = restore_file(&copy, &place.path(), MOMENT).unwrap_err();
    assert!(matches!(error, LogError::Locked { .. }), "{error:?}");
    stranger.execute_batch("COMMIT").unwrap();
    let count: i64 = stranger
        .query_row("SELECT count(*) FROM entry", [], |row| row.get(0))
        .unwrap();
    assert_eq!(count, 5);
}

#[tokio::test]
async fn the_last_entries_of_a_log_that_is_gone_are_not_played_into_the_copy() {
    let place = killed(5).await;
    let copy = copy_of_nine(place.folder.path()).await;
    fs::remove_file(place.path()).unwrap();
    let error = restore_file(&copy, &place.path(), MOMENT).unwrap_err();
    assert!(matches!(error, LogError::Bereft { .. }), "{error:?}");
    assert!(!place.path().exists());
}

#[tokio::test]
async fn what_an_earlier_try_left_can_itself_be_put_back() {
    let place = killed(5).await;
    let copy = copy_of_nine(place.folder.path()).await;
    let left = place.path().with_file_name("log.db.restored");
    fs::rename(copy, &left).unwrap();
    let restored = restore_file(&left, &place.path(), MOMENT).unwrap();
    assert_eq!(restored.copied.entries, 9);
}
