//! What one durable step costs, against a bare synced commit of one row of the same size.
//!
//! Three ways to put the same figures on the same disk with the same settings, one after the other in
//! every round, so that a disk that is slow for a while is slow for all of them:
//!
//! - **bare**: the least SQLite can do, on this thread;
//! - **asked**: the same commit, asked of another thread and awaited: what waking two threads costs;
//! - **step**: [`Log::write_pages`], awaited, as a bench does it: the log's thread and the log's rows.
//!
//! The goal is a step of at most 1.3 bare commits. What asked costs over bare is the threads; what a step
//! costs over asked is the rows: an entry, its transfer and the two indexes of the ledger are four and a
//! half pages a commit to copy, sum up and sync, where the bare row is one.
#![expect(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a program for the person at the machine, which measures wall time and prints it"
)]

use std::num::NonZeroU64;
use std::path::Path;
use std::sync::mpsc;
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use rusqlite::Connection;
use tarehandd::log::{
    BatchId, LiveState, Log, NewBatch, NewEntry, NewTransfer, Page, Reality, Seen, Then, Vessel,
};
use tokio::runtime::Runtime;
use tokio::sync::oneshot;

const AT: &str = "2026-03-02T09:00:00.123456Z";
const BODY: &str = r#"{"settled":{"gross":{"ug":184250000},"sent":"184.25 g","motion":"stable","step":3,"net_ug":25130000}}"#;

/// Rounds that are not counted: caches fill, and each file of last entries reaches its full size.
const WARM: usize = 500;
/// Rounds that are.
const ROUNDS: usize = 4_000;
/// A person is never as quick as a loop: between two commits every thread has gone to sleep.
const PAUSE: Duration = Duration::from_millis(2);
/// As often as the log, at an idle moment, so that all three write to files of a like state.
const COMMITS_PER_CHECKPOINT: usize = 200;

fn main() {
    // Beside the build, not in /tmp, which may be memory and sync nothing.
    let folder =
        tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).expect("the build folder can be written");
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .expect("the system gives a runtime its threads");
    let mut ways: [Box<dyn Way>; 3] = [
        Box::new(Bare::open(&folder.path().join("bare.db"))),
        Box::new(Asked::open(&folder.path().join("asked.db"))),
        Box::new(Step::open(&folder.path().join("log.db"), &runtime)),
    ];
    let mut taken: [Vec<Duration>; 3] = Default::default();
    for round in 0..WARM + ROUNDS {
        for turn in 0..ways.len() {
            // None is always the one that comes after the same other.
            let which = (round + turn) % ways.len();
            thread::sleep(PAUSE);
            let cost = ways[which].commit(&runtime, round);
            if WARM <= round {
                taken[which].push(cost);
            }
        }
    }
    for (way, taken) in ways.iter().zip(&mut taken) {
        taken.sort_unstable();
        println!(
            "{:>5}: median {:.3} ms, 9 of 10 within {:.3} ms",
            way.name(),
            millis(at(taken, 50)),
            millis(at(taken, 90)),
        );
    }
    let [bare, asked, step] = taken.each_ref().map(|taken| at(taken, 50));
    println!(
        "asked / bare {:.2}, step / asked {:.2}, step / bare {:.2} (goal 1.30), {ROUNDS} rounds",
        asked.div_duration_f64(bare),
        step.div_duration_f64(asked),
        step.div_duration_f64(bare),
    );
}

/// A way to put a step on disk.
trait Way {
    fn name(&self) -> &'static str;

    /// Commits once, as the task of a bench awaits it, and returns how long that took.
    fn commit(&mut self, runtime: &Runtime, round: usize) -> Duration;
}

struct Bare(Connection);

impl Bare {
    /// Opens a database with the settings of the log and a table of one kind of row.
    fn open(path: &Path) -> Self {
        let conn = Connection::open(path).expect("the temporary folder can be written");
        conn.execute_batch(
            "PRAGMA journal_mode = wal; PRAGMA synchronous = full; PRAGMA wal_autocheckpoint = 4000;
             CREATE TABLE line (id INTEGER PRIMARY KEY, tick_us INTEGER, at TEXT, kind TEXT, body TEXT,
                                substance TEXT, mass_ug INTEGER);",
        )
        .expect("the table is new");
        Self(conn)
    }

    fn insert(&self, round: usize) {
        self.0
            .prepare_cached(
                "INSERT INTO line (tick_us, at, kind, body, substance, mass_ug) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            )
            .and_then(|mut insert| {
                insert.execute((tick_us(round), AT, "settled", BODY, "chalk-white", 25_130_000))
            })
            .expect("the row fits");
    }

    fn tidy(&self, round: usize) {
        if round.is_multiple_of(COMMITS_PER_CHECKPOINT) {
            self.0
                .query_row("PRAGMA wal_checkpoint(PASSIVE)", [], |_| Ok(()))
                .expect("nobody else has the file open");
        }
    }
}

impl Way for Bare {
    fn name(&self) -> &'static str {
        "bare"
    }

    fn commit(&mut self, runtime: &Runtime, round: usize) -> Duration {
        // On a task all the same: what is compared is where the commit is done, nothing else.
        let taken = runtime.block_on(async {
            let since = Instant::now();
            self.insert(round);
            since.elapsed()
        });
        self.tidy(round);
        taken
    }
}

struct Asked {
    orders: mpsc::Sender<(usize, oneshot::Sender<()>)>,
    _thread: JoinHandle<()>,
}

impl Asked {
    fn open(path: &Path) -> Self {
        let bare = Bare::open(path);
        let (orders, taken) = mpsc::channel::<(usize, oneshot::Sender<()>)>();
        let thread = thread::spawn(move || {
            for (round, reply) in taken {
                bare.insert(round);
                reply.send(()).expect("the answer is awaited");
                bare.tidy(round);
            }
        });
        Self {
            orders,
            _thread: thread,
        }
    }
}

impl Way for Asked {
    fn name(&self) -> &'static str {
        "asked"
    }

    fn commit(&mut self, runtime: &Runtime, round: usize) -> Duration {
        let orders = self.orders.clone();
        on_a_task(runtime, async move {
            let since = Instant::now();
            let (reply, answer) = oneshot::channel();
            orders.send((round, reply)).expect("the thread runs");
            answer.await.expect("the thread answers");
            since.elapsed()
        })
    }
}

struct Step {
    log: Log,
    batch: BatchId,
}

impl Step {
    fn open(path: &Path, runtime: &Runtime) -> Self {
        let log = Log::open(path).expect("the folder can be written");
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
            things: String::new(),
        };
        let head = runtime
            .block_on(log.open_batch(new))
            .expect("the batch is new");
        Self {
            log,
            batch: head.id,
        }
    }

    fn entry(&self, round: usize) -> NewEntry {
        NewEntry {
            tick_us: tick_us(round),
            at: AT.to_owned(),
            kind: "settled".to_owned(),
            body: BODY.to_owned(),
            transfers: vec![NewTransfer {
                from: Vessel::Shelf("chalk-white".to_owned()),
                to: Vessel::Jar(self.batch),
                substance: "chalk-white".to_owned(),
                mass_ug: NonZeroU64::new(25_130_000).expect("it is not zero"),
                seen: Seen::Seen,
            }],
            words: None,
        }
    }
}

impl Way for Step {
    fn name(&self) -> &'static str {
        "step"
    }

    fn commit(&mut self, runtime: &Runtime, round: usize) -> Duration {
        let log = self.log.clone();
        let page = Page {
            batch: self.batch,
            entries: vec![self.entry(round)],
            then: Then::Enters(LiveState::Running),
        };
        on_a_task(runtime, async move {
            let since = Instant::now();
            log.write_pages(vec![page]).await.expect("the step fits");
            since.elapsed()
        })
    }
}

/// Runs it where a bench runs: on a worker of the service's runtime.
fn on_a_task<F>(runtime: &Runtime, work: F) -> Duration
where
    F: Future<Output = Duration> + Send + 'static,
{
    runtime
        .block_on(runtime.spawn(work))
        .expect("the task does not panic")
}

fn tick_us(round: usize) -> i64 {
    i64::try_from(round).expect("there are few rounds")
}

fn at(sorted: &[Duration], percent: usize) -> Duration {
    sorted[sorted.len() * percent / 100]
}

fn millis(duration: Duration) -> f64 {
    duration.as_secs_f64() * 1e3
}
