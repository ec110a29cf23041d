//! A log of years: 20 000 batches with a million entries. Finding, reading whole, writing out, and its size.
//!
//! Goals: a list and a find within 20 ms, one batch whole within 10 ms, an export in constant memory, fewer than 300 bytes
//! an entry. The batches are real ones: a recipe of `fixtures/studio` sized, with the entries that a bench writes.
#![expect(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a program for the person at the machine, which measures wall time and prints it"
)]

use std::future::Future;
use std::num::NonZeroU64;
use std::path::Path;
use std::time::{Duration, Instant};

use tarehand_mixing::composition::mixture;
use tarehand_mixing::document::{Source, Sources};
use tarehand_mixing::procedure::{Procedure, StepKind};
use tarehand_mixing::recipe::{Settings, check};
use tarehand_mixing::session::{Entry, Limits, Seen as Watched, TaskId, Verdict};
use tarehand_mixing::shelf::Shelf;
use tarehand_mixing::sizing::{Goal, size};
use tarehand_mixing::units::Measures;
use tarehand_mixing::weighing::Scale;
use tarehand_protocol::Mass;
use tarehandd::api::{lots, translate};
use tarehandd::contents::Contents;
use tarehandd::draws;
use tarehandd::journal;
use tarehandd::log::{
    BatchFilter, BatchState, Ending, Log, Mark, Moving, NewBatch, NewEntry, NewTransfer, Reality,
    Seen, Vessel,
};

/// Packs that were never weighed since: every draw of all the years counts.
const SHELF: &str = "[ingredient.lagoon-paste]\n[[ingredient.lagoon-paste.pack]]\nholds = \"4000 kg\"\nlot = \"B7-0001\"\n";

/// A pack that was opened a week before the last batches.
const FRESH: &str = "[ingredient.lagoon-paste]\n[[ingredient.lagoon-paste.pack]]\nholds = \"40 kg\"\nopened = \"2025-11-23\"\nlot = \"B7-0001\"\n";

/// The batch that takes some of the cup into which every batch pours.
const TOOK_FROM_CUP: u32 = 5;

const BATCHES: u32 = 20_000;
const ENTRIES: usize = 50;
const ROUNDS: usize = 50;

fn main() {
    // Beside the build, not in /tmp, which may be memory.
    let folder =
        tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).expect("the build folder can be written");
    let path = folder.path().join("log.sqlite");
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .expect("the system gives a runtime its threads");
    runtime.block_on(run(&path));
}

async fn run(path: &Path) {
    let log = Log::open(path).expect("the folder is new");
    let begun = Instant::now();
    let procedure = procedure();
    for number in 0..BATCHES {
        let moving = batch(number, &procedure);
        let taken = log.take_in(moving).await;
        assert!(taken.is_ok(), "{taken:?}");
    }
    println!("written in {:.0} s", begun.elapsed().as_secs_f64());
    let newest = log
        .batches(BatchFilter {
            at_most: Some(1),
            ..BatchFilter::default()
        })
        .await;
    let newest = newest.expect("the log can be read").remove(0);

    let list = |filter: BatchFilter| {
        let log = log.clone();
        move || {
            let filter = BatchFilter {
                at_most: Some(50),
                ..filter.clone()
            };
            let found = log.batches(filter);
            async move { found.await.expect("the log can be read").len() }
        }
    };
    let find = |text: &str| BatchFilter {
        find: Some(text.to_owned()),
        ..BatchFilter::default()
    };
    measure("list of the newest 50", 20.0, list(BatchFilter::default())).await;
    measure("find what is in every batch", 20.0, list(find("lagoon"))).await;
    measure("find what is in one", 20.0, list(find("remark 12345."))).await;
    measure(
        "find what is in none",
        20.0,
        list(find("nowhere to be found")),
    )
    .await;
    measure("find two letters", 20.0, list(find("zq"))).await;
    let with = BatchFilter {
        with: Some("B7-0777".to_owned()),
        ..BatchFilter::default()
    };
    measure("batches with a lot", 20.0, list(with)).await;
    let dates = BatchFilter {
        opened_from: Some("2025-03-01".to_owned()),
        opened_until: Some("2025-03-08".to_owned()),
        ..BatchFilter::default()
    };
    measure("batches of a week", 20.0, list(dates)).await;
    measure("one batch whole", 10.0, || {
        let (log, id) = (log.clone(), newest.id);
        async move {
            let head = log.batch(id).await.expect("the batch is there").head;
            let kept = journal::read_entries(&log, head.clone())
                .await
                .expect("the batch can be read");
            translate::record(&kept, &head).entries.len()
        }
    })
    .await;

    let jar_now = |mark: Mark| {
        let log = log.clone();
        move || {
            let (log, mark) = (log.clone(), mark.clone());
            async move {
                let batch = log.batch(mark.clone()).await.expect("the batch is there");
                let contents = Contents::read(&log, batch.head.id)
                    .await
                    .expect("the batch can be read");
                let holding = contents.of_jar(mark.as_str());
                usize::from(!format!("{holding:?}").is_empty()) + contents.flows.len()
            }
        }
    };
    let fresh = "what is in one jar now, out of a pack of a week";
    measure(fresh, 10.0, jar_now(mark(BATCHES - 2))).await;
    let oldest = "what is in one jar now, out of a pack that all batches drew from";
    measure(oldest, 10.0, jar_now(newest.mark.clone())).await;
    let cup = "what is in one jar now, which took from the cup that all batches use";
    measure(cup, 10.0, jar_now(mark(TOOK_FROM_CUP))).await;
    let (shelf, _) = Shelf::parse(&Source::new("shelf.toml", SHELF), &Measures::default());
    measure(
        "what is left of a pack that all batches drew from",
        20.0,
        || {
            let (log, shelf) = (log.clone(), shelf.clone());
            async move {
                let drawn = draws::of_shelf(&shelf, &log).await;
                drawn
                    .expect("the log can be read")
                    .values()
                    .map(Vec::len)
                    .sum()
            }
        },
    )
    .await;

    measure("the newest 10 jars that may have a lot", 100.0, || {
        let log = log.clone();
        async move {
            let traced = lots::traced(&log, "B7-0".to_owned(), 10).await;
            let traced = traced.expect("the log can be read");
            traced.jars.len() + usize::try_from(traced.older).unwrap_or(0)
        }
    })
    .await;

    let before = memory_kb();
    let begun = Instant::now();
    let mut bytes = 0;
    let heads = log
        .batches(BatchFilter::default())
        .await
        .expect("the log can be read");
    let marks: Vec<Mark> = heads.into_iter().map(|head| head.mark).collect();
    for mark in marks {
        let batch = log.batch(mark).await.expect("the batch is there");
        let kept = translate::kept_batch(&log, batch)
            .await
            .expect("it can be read");
        bytes += serde_json::to_vec(&kept).map_or(0, |text| text.len());
    }
    println!(
        "export: {} MB in {:.0} s, memory grew by {} kB",
        bytes / 1_000_000,
        begun.elapsed().as_secs_f64(),
        memory_kb().saturating_sub(before)
    );
    let entries = u64::from(BATCHES) * ENTRIES as u64;
    log.stop().await.expect("the log closes");
    let size = std::fs::metadata(path).map_or(0, |about| about.len());
    println!(
        "{} MB, {} bytes an entry (goal 300)",
        size / 1_000_000,
        size / entries
    );
}

async fn measure<T: Future<Output = usize>>(what: &str, goal_ms: f64, mut once: impl FnMut() -> T) {
    let mut taken = Vec::with_capacity(ROUNDS);
    let mut found = 0;
    for _ in 0..ROUNDS {
        let begun = Instant::now();
        found = once().await;
        taken.push(begun.elapsed());
    }
    taken.sort_unstable();
    let ms = |taken: Duration| taken.as_secs_f64() * 1e3;
    println!(
        "{what}: median {:.2} ms, 9 of 10 within {:.2} ms (goal {goal_ms} ms), {found} found",
        ms(taken[ROUNDS / 2]),
        ms(taken[ROUNDS * 9 / 10])
    );
}

/// The memory of this process, in kB.
fn memory_kb() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with("VmRSS:"));
    let number = line.and_then(|line| line.split_whitespace().nth(1));
    number.and_then(|number| number.parse().ok()).unwrap_or(0)
}

fn procedure() -> Procedure {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/studio");
    let read = |name: &str| {
        let text = std::fs::read_to_string(folder.join(format!("{name}.toml")));
        Source::new(format!("{name}.toml"), text.expect("the fixture is there"))
    };
    let mut sources = Sources::new().with_shelf(read("shelf"));
    for name in ["lagoon-round", "slow-medium", "pearl-medium"] {
        sources = sources.with_recipe(name, read(name));
    }
    let checked = check(&sources, "lagoon-round", &Settings::default());
    let recipe = checked.recipe.expect("the fixture is a good recipe");
    let makes = recipe.makes().expect("it says how much it makes");
    size(&recipe, &Goal::Make(makes))
        .expect("it can be made")
        .procedure
}

/// One batch with what a bench writes: each step begun, poured in a few goes, judged; and a remark.
fn batch(number: u32, procedure: &Procedure) -> Moving {
    let at = moment(number);
    let mut entries = vec![entry(
        &Entry::Opened {
            procedure: procedure.clone(),
            limits: Limits::default(),
            scale: Scale::default(),
        },
        &at,
        0,
    )];
    let jar = Mass::from_milligrams(86_400);
    entries.push(entry(
        &Entry::JarPlaced {
            empty: Mass::ZERO,
            gross: jar,
        },
        &at,
        1,
    ));
    let adds = procedure
        .steps
        .iter()
        .enumerate()
        .filter_map(|(place, step)| match &step.kind {
            StepKind::Add(addition) => Some((TaskId(u32::try_from(place).ok()?), addition)),
            _ => None,
        });
    let mut gross = jar;
    'steps: for (task, addition) in adds.cycle() {
        entries.push(entry(&Entry::Began { task }, &at, entries.len()));
        for go in 0..3 {
            let after = gross + Mass::from_milligrams(1_234 + i64::from(number % 977) + go);
            let poured = Entry::Poured {
                task,
                before: gross,
                after,
                seen: Watched::Watched,
                stop: None,
            };
            let mut row = entry(&poured, &at, entries.len());
            row.transfers = vec![NewTransfer {
                from: Vessel::Shelf(addition.ingredient.key.clone()),
                to: Vessel::JarOf(mark(number).as_str().to_owned()),
                substance: addition.ingredient.key.clone(),
                mass_ug: NonZeroU64::new((after - gross).micrograms().unsigned_abs())
                    .expect("it was poured"),
                seen: Seen::Seen,
            }];
            entries.push(row);
            gross = after;
            if ENTRIES - 3 <= entries.len() {
                break 'steps;
            }
        }
        let judged = Entry::Judged {
            task,
            verdict: Verdict::Within,
            poured: Mass::from_grams(3),
            target: addition.amount.target(),
            within: Some(Mass::from_milligrams(400)),
        };
        entries.push(entry(&judged, &at, entries.len()));
        if ENTRIES - 3 <= entries.len() {
            break;
        }
    }
    let own = || Vessel::JarOf(mark(number).as_str().to_owned());
    let cup = || Vessel::Cup("first panel's jar".to_owned());
    let mut shared = entry(&Entry::Resumed, &at, entries.len());
    shared.transfers = vec![NewTransfer {
        from: own(),
        to: cup(),
        substance: mixture().to_owned(),
        mass_ug: NonZeroU64::MIN,
        seen: Seen::Seen,
    }];
    if number == TOOK_FROM_CUP {
        let back = shared.transfers[0].clone().reversed();
        shared.transfers.push(back);
    }
    entries.push(shared);
    let remark = format!("remark {number}.");
    let mut said = entry(
        &Entry::Remarked {
            text: remark.clone(),
        },
        &at,
        entries.len(),
    );
    said.words = Some(remark);
    entries.push(said);
    entries.push(entry(&Entry::Completed, &at, entries.len()));
    Moving {
        mark: mark(number),
        state: BatchState::Ended(Ending::Complete),
        closed: Some(at.clone()),
        new: NewBatch {
            bench: "bench".to_owned(),
            recipe: procedure.recipe.clone(),
            reality: Reality::Real,
            planned_ug: procedure.planned.micrograms(),
            opened: at,
            procedure: NewBatch::IN_JOURNAL.to_owned(),
            recipe_text: String::new(),
            shelf_text: if number == BATCHES - 2 { FRESH } else { SHELF }.to_owned(),
            profile_text: String::new(),
            things: format!(
                "lagoon-paste\nLagoon blue paste\nslow-medium\nB7-{:04}",
                number % 2_000
            ),
        },
        entries,
        trace: Vec::new(),
    }
}

fn entry(said: &Entry, at: &str, place: usize) -> NewEntry {
    NewEntry {
        tick_us: i64::try_from(place).unwrap_or(0) * 1_700_123,
        at: at.to_owned(),
        kind: said.kind().to_owned(),
        body: serde_json::to_string(said).expect("an entry is JSON"),
        transfers: Vec::new(),
        words: None,
    }
}

/// Sixty batches a day from the first of January 2025 on.
fn moment(number: u32) -> String {
    let day = jiff::Timestamp::from_second(1_735_689_600 + i64::from(number) * 1_440);
    day.expect("it is a moment of this century").to_string()
}

fn mark(number: u32) -> Mark {
    Mark::of_number(u64::from(number), 6)
}
