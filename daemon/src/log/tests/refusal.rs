//! Files that are no log of this version: refused in words, left byte for byte.

use std::fs;
use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;

use super::*;

async fn written() -> Place {
    let place = Place::new();
    let log = place.open();
    let batch = log.open_batch(harbour_grey()).await.unwrap().id;
    let entries = (0..200).map(|number| pour(number, batch)).collect();
    log.append(batch, entries).await.unwrap();
    log.stop().await.unwrap();
    place
}

fn folder_contents(path: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let files = fs::read_dir(path.parent().unwrap()).unwrap();
    let mut contents: Vec<_> = files
        .map(|file| {
            let path = file.unwrap().path();
            let bytes = fs::read(&path).unwrap();
            (path, bytes)
        })
        .collect();
    contents.sort();
    contents
}

/// Opens a log that is to be refused; `{log}` stands for its path.
#[track_caller]
fn check(path: &Path, expect: &str) -> LogError {
    let before = folder_contents(path);
    let error = Log::open(path).unwrap_err();
    let expect = expect.replace("{log}", &path.display().to_string());
    assert_eq!(error.to_string(), expect);
    assert!(error.hint().is_some());
    assert_eq!(folder_contents(path), before);
    error
}

#[tokio::test]
async fn a_file_that_is_something_else_is_refused() {
    let place = written().await;
    let path = place.path();
    for text in ["", "x", &"shopping list\n".repeat(1_000)] {
        fs::write(&path, text).unwrap();
        check(&path, "`{log}` is not a log of Tarehand");
    }
    fs::remove_file(&path).unwrap();
    Connection::open(&path)
        .unwrap()
        .execute_batch("CREATE TABLE stamp (country)")
        .unwrap();
    check(&path, "`{log}` is not a log of Tarehand");
}

#[tokio::test]
async fn a_log_cut_short_is_refused() {
    let place = written().await;
    let path = place.path();
    let whole = fs::read(&path).unwrap();
    for bytes in [4_096, whole.len() / 2, whole.len() - 4_096] {
        fs::write(&path, &whole[..bytes]).unwrap();
        check(&path, "the log `{log}` is damaged");
    }
    fs::write(&path, &whole).unwrap();
    assert_eq!(check_file(&path).unwrap(), Vec::<String>::new());
}

#[tokio::test]
async fn a_log_of_a_newer_version_is_refused() {
    let place = written().await;
    let path = place.path();
    Connection::open(&path)
        .unwrap()
        .pragma_update(None, "user_version", 7)
        .unwrap();
    check(
        &path,
        "the log `{log}` has schema 7, this version knows 3 at most",
    );
    assert!(matches!(
        check_file(&path),
        Err(LogError::TooNew {
            found: 7,
            known: 3,
            ..
        })
    ));
}

#[tokio::test]
async fn last_entries_without_their_log_are_not_played_into_a_new_one() {
    let place = written().await;
    let path = place.path();
    fs::rename(&path, path.with_extension("db-wal")).unwrap();
    check(
        &path,
        "the log `{log}` is missing, but its last entries are in `{log}-wal`",
    );
}

#[tokio::test]
async fn a_damaged_page_is_found_by_the_check() {
    let place = written().await;
    let path = place.path();
    let mut bytes = fs::read(&path).unwrap();
    let last_page = bytes.len() - 4_096;
    bytes[last_page..].fill(0xA5);
    fs::write(&path, &bytes).unwrap();
    let found = match check_file(&path) {
        Ok(found) => found,
        Err(error @ LogError::Damaged { .. }) => vec![error.to_string()],
        Err(other) => panic!("{other}"),
    };
    assert_ne!(found, Vec::<String>::new());
    assert_eq!(fs::read(&path).unwrap(), bytes);
}

#[tokio::test]
async fn a_row_that_is_gone_is_found_by_the_check() {
    let place = written().await;
    let path = place.path();
    let stranger = Connection::open(&path).unwrap();
    stranger
        .execute_batch(
            "PRAGMA foreign_keys = OFF; DROP TRIGGER entry_is_kept; DELETE FROM entry WHERE seq = 3;",
        )
        .unwrap();
    drop(stranger);
    assert_eq!(
        check_file(&path).unwrap(),
        [
            "a row of `transfer` points at no row of `entry`",
            "the journal of batch 1 has a gap"
        ]
    );
}

#[tokio::test]
async fn the_log_is_closed_to_others() {
    let place = Place::new();
    let log = place.open();
    log.open_batch(harbour_grey()).await.unwrap();
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    let path = place.path();
    assert_eq!(mode(path.parent().unwrap()), 0o700);
    for (path, _) in folder_contents(&path) {
        assert_eq!(mode(&path), 0o600, "{}", path.display());
    }
    log.stop().await.unwrap();
    fs::set_permissions(&path, fs::Permissions::from_mode(0o644)).unwrap();
    place.open();
    assert_eq!(mode(&path), 0o600);
}
