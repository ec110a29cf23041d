//! Trouble that passes: said in words, nothing whole is lost, the next append may succeed.

use std::fs;
use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;

use rustix::thread::{CapabilitySet, capabilities, set_capabilities};

use super::*;

#[tokio::test]
async fn a_full_disk_loses_nothing_and_the_next_append_succeeds() {
    let place = Place::new();
    let log = place.open();
    let batch = log.open_batch(harbour_grey()).await.unwrap().id;
    log.append(batch, vec![pour(0, batch)]).await.unwrap();
    // SQLite answers a reached page limit exactly as it answers a full disk.
    let limit = |pages: u32| {
        log.read(move |conn| {
            conn.pragma_update_and_check(None, "max_page_count", pages, |_| Ok(()))?;
            Ok(())
        })
    };
    limit(1).await.unwrap();
    let big = NewEntry {
        body: format!("\"{}\"", "x".repeat(200_000)),
        ..pour(1, batch)
    };
    let error = log
        .append(batch, vec![pour(1, batch), big])
        .await
        .unwrap_err();
    let expect = format!(
        "no room left on the disk for the log `{}`",
        place.path().display()
    );
    assert_eq!(error.to_string(), expect);
    limit(1_000_000).await.unwrap();
    assert_eq!(log.append(batch, vec![pour(1, batch)]).await.unwrap(), [1]);
    assert_eq!(numbers(&log.entries(batch).await.unwrap()), [0, 1]);
    assert_eq!(log.jar(batch).await.unwrap()[0].mass_ug, 2_000_000);
    assert_eq!(log.check().await.unwrap(), Vec::<String>::new());
}

#[tokio::test]
async fn a_log_held_by_another_program_is_said_and_the_next_append_succeeds() {
    let place = Place::new();
    let log = place.open();
    let batch = log.open_batch(harbour_grey()).await.unwrap().id;
    log.read(|conn| Ok(conn.busy_timeout(Duration::ZERO)?))
        .await
        .unwrap();
    let other = Connection::open(place.path()).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let expect = format!("another program holds the log `{}`", place.path().display());
    let waiting = [
        log.append(batch, vec![entry(0)]),
        log.append(batch, vec![entry(0)]),
    ];
    for answer in waiting {
        assert_eq!(answer.await.unwrap_err().to_string(), expect);
    }
    assert_eq!(log.entries(batch).await.unwrap(), []);
    other.execute_batch("COMMIT").unwrap();
    assert_eq!(log.append(batch, vec![entry(0)]).await.unwrap(), [0]);
    log.stop().await.unwrap();

    other
        .execute_batch("PRAGMA locking_mode = EXCLUSIVE; BEGIN EXCLUSIVE")
        .unwrap();
    let error = Log::open_within(&place.path(), Duration::ZERO).unwrap_err();
    assert_eq!(error.to_string(), expect);
}

/// Opens a log as a person without root's right to write anywhere, and returns what was said.
fn open_as_anybody(path: &Path) -> Result<(), LogError> {
    let path = path.to_owned();
    thread::spawn(move || {
        // The capabilities of a thread end with it.
        let mut sets = capabilities(None).unwrap();
        sets.effective -= CapabilitySet::DAC_OVERRIDE | CapabilitySet::DAC_READ_SEARCH;
        set_capabilities(None, sets).unwrap();
        Log::open(&path).map(drop)
    })
    .join()
    .unwrap()
}

#[tokio::test]
async fn a_folder_or_file_that_may_only_be_read_is_said() {
    let place = Place::new();
    let path = place.path();
    let folder = path.parent().unwrap();
    let allow =
        |path: &Path, mode| fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    place.open().stop().await.unwrap();
    let whole = fs::read(&path).unwrap();
    let read_only = format!("the log `{}` cannot be written", path.display());

    allow(folder, 0o500);
    assert_eq!(open_as_anybody(&path).unwrap_err().to_string(), read_only);
    let elsewhere = folder.join("log-2.db");
    assert_eq!(
        open_as_anybody(&elsewhere).unwrap_err().to_string(),
        format!("cannot make `{}.unfinished`", elsewhere.display())
    );
    let inner = folder.join("inner").join("log.db");
    let error = open_as_anybody(&inner).unwrap_err();
    assert_eq!(
        error.to_string(),
        format!(
            "cannot make the folder `{}`",
            folder.join("inner").display()
        )
    );
    assert!(error.hint().unwrap().contains("chmod"));

    allow(folder, 0o700);
    allow(&path, 0o400);
    assert_eq!(open_as_anybody(&path).unwrap_err().to_string(), read_only);
    assert_eq!(fs::read(&path).unwrap(), whole);
    allow(&path, 0o600);
    open_as_anybody(&path).unwrap();
}
