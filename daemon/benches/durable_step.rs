//! What one durable step costs, against a bare synced commit of one row of the same size.
//!
//! Both write to the same folder with the same settings. The step goes through the log's thread and
//! is awaited, as the bench does it; the bare commit is the least SQLite can do. The goal is a step
//! of at most 1.3 bare commits.

use std::num::NonZeroU64;
use std::path::Path;
use std::time::Duration;

use criterion::{Criterion, criterion_group, criterion_main};
use rusqlite::Connection;
use tarehandd::log::{Log, NewBatch, NewEntry, NewTransfer, Reality, Seen, Vessel};

const AT: &str = "2026-03-02T09:00:00.123456Z";
const BODY: &str = r#"{"settled":{"gross":{"ug":184250000},"sent":"184.25 g","motion":"stable","step":3,"net_ug":25130000}}"#;

/// Opens a database with the settings of the log and a table of one kind of row.
fn bare(path: &Path) -> Connection {
    let conn = Connection::open(path).expect("the temporary folder can be written");
    conn.execute_batch(
        "PRAGMA journal_mode = wal; PRAGMA synchronous = full; PRAGMA wal_autocheckpoint = 4000;
         CREATE TABLE line (id INTEGER PRIMARY KEY, tick_us INTEGER, at TEXT, kind TEXT, body TEXT,
                            substance TEXT, mass_ug INTEGER);",
    )
    .expect("the table is new");
    conn
}

fn commit(conn: &Connection, tick_us: i64) {
    conn.prepare_cached(
        "INSERT INTO line (tick_us, at, kind, body, substance, mass_ug) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
    )
    .and_then(|mut insert| {
        insert.execute((tick_us, AT, "settled", BODY, "chalk-white", 25_130_000))
    })
    .expect("the row fits");
}

fn durable_step(criterion: &mut Criterion) {
    // Beside the build, not in /tmp, which may be memory and sync nothing.
    let folder =
        tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).expect("the build folder can be written");
    let runtime = tokio::runtime::Builder::new_current_thread()
        .build()
        .expect("a runtime without I/O needs nothing");

    let conn = bare(&folder.path().join("bare.db"));
    let mut tick_us = 0;
    criterion.bench_function("durable_step/bare_commit", |bencher| {
        bencher.iter(|| {
            tick_us += 1;
            commit(&conn, tick_us);
        });
    });

    let log = Log::open(&folder.path().join("log.db")).expect("the folder can be written");
    let new = NewBatch {
        bench: "window".to_owned(),
        recipe: "Harbour grey, satin".to_owned(),
        reality: Reality::Real,
        planned_ug: 180_000_000,
        opened: AT.to_owned(),
        procedure: "{}".to_owned(),
        recipe_text: String::new(),
        shelf_text: String::new(),
        profile_text: String::new(),
    };
    let batch = runtime
        .block_on(log.open_batch(new))
        .expect("the batch is new")
        .id;
    let step = |tick_us| NewEntry {
        tick_us,
        at: AT.to_owned(),
        kind: "settled".to_owned(),
        body: BODY.to_owned(),
        transfers: vec![NewTransfer {
            from: Vessel::Shelf("chalk-white".to_owned()),
            to: Vessel::Jar(batch),
            substance: "chalk-white".to_owned(),
            mass_ug: NonZeroU64::new(25_130_000).expect("it is not zero"),
            seen: Seen::Seen,
        }],
    };
    criterion.bench_function("durable_step/step", |bencher| {
        bencher.iter(|| {
            tick_us += 1;
            runtime
                .block_on(log.append(batch, vec![step(tick_us)]))
                .expect("the step fits")
        });
    });
    runtime.block_on(log.stop()).expect("the log closes");
}

criterion_group! {
    name = benches;
    config = Criterion::default().measurement_time(Duration::from_secs(10));
    targets = durable_step
}
criterion_main!(benches);
