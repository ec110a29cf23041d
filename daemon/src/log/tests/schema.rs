use std::fs;
use std::path::Path;

use super::super::schema::{MIGRATIONS, Migration, bring_up, newest, version};
use super::*;

/// The batch that the fixtures took in from another log.
const ELSEWHERE: &str = "H4RE3";

/// The batch into whose jar some of that went, which is in no fixture.
const ABSENT: &str = "FAR7P";

/// A mark in the name of a cup of the fixtures.
const NO_BATCH: &str = "C5P8T";

/// Returns the database that was written when a schema was made.
fn fixture_of(schema: u32) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../fixtures/log/schema-{schema}.db"))
}

const BROKEN: Migration = Migration {
    name: "broken",
    sql: "CREATE TABLE half (a); INSERT INTO nowhere VALUES (1);",
};

const NEXT: Migration = Migration {
    name: "next",
    sql: "CREATE TABLE next (a);",
};

const DANGLING: Migration = Migration {
    name: "dangling",
    sql: "INSERT INTO trace (batch, chunk, samples) VALUES (77, 0, x'');",
};

fn shape(conn: &Connection) -> Vec<(String, String)> {
    let mut statement = conn
        .prepare("SELECT name, sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY name")
        .unwrap();
    let rows = statement
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
        .unwrap();
    rows.map(Result::unwrap).collect()
}

#[test]
fn an_empty_database_gets_the_newest_schema_once() {
    let mut conn = Connection::open_in_memory().unwrap();
    bring_up(&mut conn, Path::new("log.db"), MIGRATIONS).unwrap();
    assert_eq!(version(&conn).unwrap(), newest());
    let first = shape(&conn);
    bring_up(&mut conn, Path::new("log.db"), MIGRATIONS).unwrap();
    assert_eq!(shape(&conn), first);
}

/// Takes one step from the newest schema and returns what was said; the log must hold what it held.
fn step(place: &Place, next: Migration) -> Result<(), LogError> {
    let path = place.path();
    let mut conn = Connection::open(&path).unwrap();
    let steps = [MIGRATIONS, &[next]].concat();
    bring_up(&mut conn, &path, &steps)
}

#[tokio::test]
async fn a_log_is_copied_before_it_is_brought_to_a_newer_schema() {
    let place = Place::new();
    let log = place.open();
    let batch = log.open_batch(harbour_grey()).await.unwrap();
    // A process that died: the batch is only in the WAL.
    std::mem::forget(log);
    step(&place, NEXT).unwrap();
    let copy = place
        .path()
        .with_extension(format!("schema-{}.db", newest()));
    let log = Log::open(&copy).unwrap();
    assert_eq!(log.batch(batch.id).await.unwrap().head, batch);
    let error = Log::open(&place.path()).unwrap_err();
    assert!(
        matches!(error, LogError::TooNew { found, known, .. } if (found, known) == (newest() + 1, newest()))
    );
}

#[tokio::test]
async fn a_migration_that_fails_leaves_the_log_as_it_was() {
    for wrong in [BROKEN, DANGLING] {
        let place = Place::new();
        let log = place.open();
        let batch = log.open_batch(harbour_grey()).await.unwrap();
        log.stop().await.unwrap();
        let before = shape(&Connection::open(place.path()).unwrap());
        let error = step(&place, wrong).unwrap_err();
        assert_eq!(
            error.to_string(),
            format!(
                "cannot bring the log `{}` to schema {} (`{}`)",
                place.path().display(),
                newest() + 1,
                wrong.name
            )
        );
        let conn = Connection::open(place.path()).unwrap();
        assert_eq!((version(&conn).unwrap(), shape(&conn)), (newest(), before));
        drop(conn);
        let log = place.open();
        assert_eq!(log.batch(batch.id).await.unwrap().head, batch);
        assert_eq!(log.check().await.unwrap(), Vec::<String>::new());
    }
}

/// A copy of the fixture, so that SQLite leaves nothing beside it.
fn fixture(schema: u32) -> Place {
    let place = Place::new();
    fs::create_dir(place.path().parent().unwrap()).unwrap();
    fs::copy(fixture_of(schema), place.path()).unwrap();
    place
}

#[test]
fn a_released_schema_file_is_never_edited() {
    // Each fixture was written when its schema was made.
    for (schema, taken) in [(1, 1), (2, 2)] {
        let place = fixture(schema);
        let released = Connection::open(place.path()).unwrap();
        let mut now = Connection::open_in_memory().unwrap();
        bring_up(&mut now, Path::new("log.db"), &MIGRATIONS[..taken]).unwrap();
        assert_eq!(shape(&now), shape(&released));
    }
}

#[tokio::test]
async fn a_log_of_schema_1_is_read_by_this_version() {
    let place = fixture(1);
    let log = place.open();
    let batches = log.batches(BatchFilter::default()).await.unwrap();
    let states: Vec<_> = batches.iter().map(|head| head.state.as_str()).collect();
    assert_eq!(states, ["held", "complete"]);
    let (held, complete) = (batches[0].id, batches[1].id);
    assert_eq!(numbers(&log.entries(complete).await.unwrap()), [0, 1, 2]);
    let jar = |mass_ug| {
        [Holding {
            substance: "chalk-white".to_owned(),
            mass_ug,
            unseen_ug: 0,
        }]
    };
    assert_eq!(log.jar(complete).await.unwrap(), jar(2_000_000));
    assert_eq!(log.jar(held).await.unwrap(), jar(1_000_000));
    assert_eq!(log.trace(complete).await.unwrap().len(), 2);
    // What was drawn before there was a table for it is in it.
    let drawn = log.drawn_by_batch("chalk-white".to_owned(), None).await;
    let drawn = drawn.unwrap().into_iter();
    let drawn: Vec<_> = drawn.map(|drawn| (drawn.out_ug, drawn.back_ug)).collect();
    assert_eq!(drawn, [(3_000_000, 1_000_000), (1_000_000, 0)]);
    assert_eq!(log.devices().await.unwrap().len(), 1);
    assert_eq!(log.check().await.unwrap(), Vec::<String>::new());
}

#[test]
fn a_copy_of_an_older_schema_is_checked_and_put_back_as_it_is() {
    for schema in 1..newest() {
        let place = fixture(schema);
        assert_eq!(check_file(&place.path()).unwrap(), Vec::<String>::new());
        let other = Place::new();
        fs::create_dir(other.path().parent().unwrap()).unwrap();
        let _restored = restore_file(&place.path(), &other.path(), "2026-03-02T10:00:00Z").unwrap();
        let conn = Connection::open(other.path()).unwrap();
        assert_eq!(version(&conn).unwrap(), schema);
    }
}

#[tokio::test]
async fn a_log_of_schema_2_finds_the_jars_it_was_waiting_for() {
    let place = fixture(2);
    let log = place.open();
    assert_eq!(log.check().await.unwrap(), Vec::<String>::new());
    let mark: Mark = ELSEWHERE.parse().unwrap();
    let elsewhere = log.batch(mark.clone()).await.unwrap().head.id;
    let before = log.transfers(elsewhere).await.unwrap();
    let ends: Vec<&Vessel> = before.iter().map(|one| &one.booked.to).collect();
    let cup = Vessel::Cup(format!("jar {NO_BATCH}"));
    let waits = Vessel::JarOf(ABSENT.to_owned());
    // A cup that a person called so stays a cup.
    assert_eq!(ends, [&Vessel::Jar(elsewhere), &waits, &cup]);
    for absent in [ABSENT, NO_BATCH] {
        let moving = Moving {
            mark: absent.parse().unwrap(),
            entries: vec![entry(3)],
            ..from_elsewhere()
        };
        assert_eq!(log.take_in(moving).await.unwrap(), Moved::In);
    }
    let after = log.transfers(elsewhere).await.unwrap();
    let came = log
        .batch(ABSENT.parse::<Mark>().unwrap())
        .await
        .unwrap()
        .head;
    assert_eq!(after[1].booked.to, Vessel::Jar(came.id));
    assert_eq!(after[2].booked.to, cup);
    assert_eq!(came.in_jar_ug, 250_000);
    assert_eq!(log.check().await.unwrap(), Vec::<String>::new());
    assert_eq!(log.take_in(from_elsewhere()).await.unwrap(), Moved::Already);
}

/// Writes the fixture of the newest schema: run it once, when a schema is released.
///
/// `cargo test -p tarehandd --features write-fixtures write_the_fixture`
#[cfg(feature = "write-fixtures")]
#[tokio::test]
async fn write_the_fixture() {
    let place = Place::new();
    let log = place.open();
    let complete = log.open_batch(harbour_grey()).await.unwrap().id;
    let samples = [0, 1].map(|n| Sample {
        tick_us: n * 100_000,
        gross_ug: n * 1_000_000,
    });
    log.append_trace(complete, samples.to_vec()).await.unwrap();
    let undo = NewEntry {
        transfers: pour(2, complete)
            .transfers
            .into_iter()
            .map(NewTransfer::reversed)
            .collect(),
        ..entry(2)
    };
    let more = NewEntry {
        transfers: [pour(1, complete).transfers, pour(1, complete).transfers].concat(),
        ..entry(1)
    };
    log.append(complete, vec![pour(0, complete), more])
        .await
        .unwrap();
    log.close_batch(
        complete,
        vec![undo],
        Ending::Complete,
        "2026-03-02T10:00:00Z".to_owned(),
    )
    .await
    .unwrap();
    let held = log.open_batch(harbour_grey()).await.unwrap().id;
    log.append_and_enter(held, vec![pour(0, held)], LiveState::Held)
        .await
        .unwrap();
    log.take_in(from_elsewhere()).await.unwrap();
    log.set_device(Device {
        key: "serial:0001".to_owned(),
        told_unit: Some("g".to_owned()),
        profile: "format = \"text\"\n".to_owned(),
        last_seen: "2026-03-02T09:00:00Z".to_owned(),
    })
    .await
    .unwrap();
    log.stop().await.unwrap();
    fs::copy(place.path(), fixture_of(newest())).unwrap();
}

/// A batch of another log: some of it went into the jar of a batch that is not here, and some into a cup that a person
/// called as the log of schema 2 called such a jar.
fn from_elsewhere() -> Moving {
    let out = |number, to, body: &str| NewEntry {
        body: body.to_owned(),
        transfers: vec![NewTransfer {
            from: Vessel::JarOf(ELSEWHERE.to_owned()),
            to,
            substance: "the mixture".to_owned(),
            mass_ug: NonZeroU64::new(250_000).unwrap(),
            seen: Seen::Unseen,
        }],
        ..entry(number)
    };
    let poured = pour(0, BatchId::from_number(0)).transfers;
    let poured = poured.into_iter().map(|transfer| NewTransfer {
        to: Vessel::JarOf(ELSEWHERE.to_owned()),
        ..transfer
    });
    Moving {
        mark: ELSEWHERE.parse().unwrap(),
        state: BatchState::Ended(Ending::Complete),
        closed: Some("2026-03-02T10:00:00Z".to_owned()),
        new: harbour_grey(),
        entries: vec![
            NewEntry {
                transfers: poured.collect(),
                ..entry(0)
            },
            out(
                1,
                Vessel::JarOf(ABSENT.to_owned()),
                &format!(r#"{{"moved":{{"to":{{"jar":"{ABSENT}"}}}}}}"#),
            ),
            out(
                2,
                Vessel::Cup(format!("jar {NO_BATCH}")),
                &format!(r#"{{"moved":{{"to":{{"cup":"jar {NO_BATCH}"}}}}}}"#),
            ),
        ],
        trace: Vec::new(),
    }
}
