//! What is in the jars of a log is the same in the log they are moved to, in whichever order they come there.

use std::num::NonZeroU64;
use std::path::PathBuf;

use proptest::prelude::*;
use tarehand_mixing::composition::mixture;
use tarehand_mixing::procedure::Amends;
use tarehand_mixing::session::{Destination, Entry, Limits, Seen as Told};
use tarehand_mixing::weighing::Scale;
use tarehand_protocol::Mass;
use tempfile::TempDir;

use super::*;
use crate::api::translate;
use crate::log::{Ending, Mark, Moved, NewBatch, NewEntry, NewTransfer, Reality, Seen};

const RAW: [&str; 3] = ["ash", "bone", "chalk"];

/// Packs that are used up one after the other, so that a gram more or less, sooner or later, is of another lot.
const SHELF: &str = r#"
[ingredient.ash]
[[ingredient.ash.pack]]
holds = "500 g"
left = "40 g"
weighed = "2026-01-01T00:00:00Z"
lot = "old"
price = "10 EUR"
[[ingredient.ash.pack]]
holds = "500 g"
left = "500 g"
weighed = "2026-01-01T00:00:00Z"
lot = "young"
opened = "2026-02-02"
price = "20 EUR"
[ingredient.bone]
price = "3 EUR per 100 g"
"#;

const JARS: usize = 3;

/// Under which key what is left of each jar stands on the shelf.
const LEFT: [&str; JARS] = ["left-first", "left-second", "left-third"];

fn left(jar: usize) -> Vessel {
    Vessel::Shelf(LEFT[jar].to_owned())
}

/// What happens to the jars, in the order of time.
#[derive(Clone, Debug)]
enum Act {
    /// An ingredient into a jar while it is made, or as an amendment.
    Pour {
        jar: usize,
        raw: usize,
        amends: bool,
    },
    /// The last pour of this ingredient settles lower.
    Back {
        jar: usize,
        raw: usize,
    },
    /// One jar into another on the scale, an amendment of the other.
    Join {
        from: usize,
        to: usize,
    },
    /// The person says that some of one jar went into another.
    Told {
        from: usize,
        to: usize,
    },
    /// Out of a jar: into a cup, which is called as a jar is, or lost.
    Out {
        jar: usize,
        cup: bool,
    },
    /// Out of that cup into a jar.
    FromCup {
        to: usize,
    },
    /// Out of a jar as an amendment.
    TakenOut {
        jar: usize,
    },
    /// What is left in a jar is put on the shelf; and poured from there, maybe before anything was put there.
    Keep {
        jar: usize,
    },
    Leftover {
        of: usize,
        to: usize,
    },
}

/// An act, how much it moves, and how many seconds after the last one: often none.
fn act() -> impl Strategy<Value = (Act, u64, u64)> {
    let (jar, raw) = (0..JARS, 0..RAW.len());
    let act = prop_oneof![
        6 => (jar.clone(), raw.clone(), any::<bool>()).prop_map(|(jar, raw, amends)| Act::Pour { jar, raw, amends }),
        1 => (jar.clone(), raw).prop_map(|(jar, raw)| Act::Back { jar, raw }),
        2 => (jar.clone(), jar.clone()).prop_map(|(from, to)| Act::Join { from, to }),
        3 => (jar.clone(), jar.clone()).prop_map(|(from, to)| Act::Told { from, to }),
        2 => (jar.clone(), any::<bool>()).prop_map(|(jar, cup)| Act::Out { jar, cup }),
        2 => jar.clone().prop_map(|to| Act::FromCup { to }),
        1 => jar.clone().prop_map(|jar| Act::TakenOut { jar }),
        2 => jar.clone().prop_map(|jar| Act::Keep { jar }),
        2 => (jar.clone(), jar).prop_map(|(of, to)| Act::Leftover { of, to }),
    ];
    (act, 1..30_000_000_u64, 0..2_u64)
}

fn procedure(amends: Option<&Mark>) -> Procedure {
    let amends = amends.map(|mark| {
        Box::new(Amends {
            mark: mark.as_str().to_owned(),
            recipe: "any".to_owned(),
            tare: Mass::ZERO,
            holds: Mass::ZERO,
            within: Mass::ZERO,
            out_of: BTreeMap::new(),
        })
    });
    Procedure {
        amends,
        ..Procedure::of_steps("any", Mass::ZERO, Vec::new())
    }
}

fn written(second: u64, entry: &Entry, transfers: Vec<NewTransfer>) -> NewEntry {
    NewEntry {
        tick_us: 0,
        at: format!("2026-03-02T09:{:02}:{:02}.5Z", second / 60, second % 60),
        kind: entry.kind().to_owned(),
        body: serde_json::to_string(entry).unwrap(),
        transfers,
        words: entry.words(),
    }
}

/// A log in a folder of its own.
struct Place {
    folder: TempDir,
}

impl Place {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        Self { folder }
    }

    fn path(&self) -> PathBuf {
        self.folder.path().join("log.db")
    }

    fn open(&self) -> Log {
        Log::open(&self.path()).unwrap()
    }
}

async fn open(log: &Log, amends: Option<&Mark>) -> (BatchId, Mark) {
    let opened = Entry::Opened {
        procedure: procedure(amends),
        limits: Limits::default(),
        scale: Scale::default(),
    };
    let new = NewBatch {
        bench: "window".to_owned(),
        recipe: "any".to_owned(),
        reality: Reality::Real,
        planned_ug: 0,
        // At one moment, so that nothing but what is written in them tells the order of the batches.
        opened: "2026-03-02T08:00:00Z".to_owned(),
        procedure: NewBatch::IN_JOURNAL.to_owned(),
        recipe_text: String::new(),
        shelf_text: SHELF.to_owned(),
        profile_text: String::new(),
        things: String::new(),
    };
    let first = written(0, &opened, Vec::new());
    let head = log.begin_batch(new, |_| vec![first]).await.unwrap();
    (head.id, head.mark)
}

/// Writes what happened, as benches and persons would, and ends every batch.
async fn happened(log: &Log, acts: &[(Act, u64, u64)]) {
    let mut jars = Vec::new();
    for _ in 0..JARS {
        jars.push(open(log, None).await);
    }
    let mut amendments = Vec::new();
    for (_, mark) in &jars {
        amendments.push(open(log, Some(mark)).await.0);
    }
    let jar = |number: usize| Vessel::JarOf(jars[number].1.as_str().to_owned());
    let shelf = |raw: usize| Vessel::Shelf(RAW[raw].to_owned());
    let cup = || Vessel::Cup(format!("jar {}", jars[0].1));
    let mut second = 1;
    for (act, mass_ug, later) in acts {
        second += later;
        let (batch, from, to, substance) = match *act {
            Act::Pour {
                jar: into,
                raw,
                amends,
            } => {
                let batch = if amends {
                    amendments[into]
                } else {
                    jars[into].0
                };
                (batch, shelf(raw), jar(into), RAW[raw])
            }
            Act::Back { jar: from, raw } => (jars[from].0, jar(from), shelf(raw), RAW[raw]),
            Act::Join { from, to } => (amendments[to], jar(from), jar(to), "grey"),
            Act::Told { from, to } => (jars[from].0, jar(from), jar(to), mixture()),
            Act::Out {
                jar: from,
                cup: true,
            } => (jars[from].0, jar(from), cup(), mixture()),
            Act::FromCup { to } => (amendments[to], cup(), jar(to), "grey"),
            Act::Out {
                jar: from,
                cup: false,
            } => (jars[from].0, jar(from), Vessel::Waste, mixture()),
            Act::Keep { jar: from } => (jars[from].0, jar(from), left(from), mixture()),
            Act::Leftover { of, to } => (jars[to].0, left(of), jar(to), LEFT[of]),
            Act::TakenOut { jar: from } => {
                let cup = Vessel::Cup(jars[0].1.as_str().to_owned());
                (amendments[from], jar(from), cup, mixture())
            }
        };
        if from == to {
            continue;
        }
        let entry = match &to {
            Vessel::JarOf(mark) if substance == mixture() => Entry::Moved {
                to: Destination::Jar(mark.clone()),
                mass: Mass::ZERO,
                seen: Told::Told,
            },
            _ => Entry::Resumed,
        };
        let transfer = NewTransfer {
            from,
            to,
            substance: substance.to_owned(),
            mass_ug: NonZeroU64::new(*mass_ug).unwrap(),
            seen: Seen::Seen,
        };
        log.append(batch, vec![written(second, &entry, vec![transfer])])
            .await
            .unwrap();
    }
    for batch in jars.iter().map(|(id, _)| *id).chain(amendments) {
        let closed = "2026-03-03T09:00:00Z".to_owned();
        log.close_batch(batch, Vec::new(), Ending::Complete, closed)
            .await
            .unwrap();
    }
}

/// Everything that the contents of every jar say, by mark: flows, holdings, packs, shelves.
async fn told(log: &Log) -> BTreeMap<Mark, String> {
    let mut told = BTreeMap::new();
    for head in log.batches(Default::default()).await.unwrap() {
        let contents = Contents::read(log, head.id).await.unwrap();
        let jar = contents.of_jar(head.mark.as_str());
        let straight = contents.straight_from_shelf(head.mark.as_str());
        let on = log.poured_on(vec![head.mark.clone()]).await.unwrap();
        let on: Vec<Mark> = on.into_iter().map(|head| head.mark).collect();
        let text = format!("{jar:?}\n{straight:?}\n{on:?}\n{contents:#?}");
        told.insert(head.mark, text);
    }
    told
}

async fn check(acts: Vec<(Act, u64, u64)>, order: Vec<usize>, half: usize) {
    let (here, there) = (Place::new(), Place::new());
    let from = here.open();
    happened(&from, &acts).await;
    let mut kept = Vec::new();
    for head in from.batches(Default::default()).await.unwrap() {
        let batch = from.batch(head.id).await.unwrap();
        let kept_batch = translate::kept_batch(&from, batch).await.unwrap();
        kept.push((head.mark, kept_batch));
    }
    for part in [&order[..half], &order[half..]] {
        let into = there.open();
        for &at in part {
            let (mark, kept) = &kept[at];
            let moving = translate::moving(kept.clone()).unwrap();
            assert_eq!(into.take_in(moving).await.unwrap(), Moved::In);
            // It goes on to a third log as it came, whatever is still missing.
            let batch = into.batch(mark.clone()).await.unwrap();
            let again = translate::kept_batch(&into, batch).await.unwrap();
            assert_eq!(again, *kept);
        }
        // What has come by now is read, without what is missing.
        let _half = told(&into).await;
        assert_eq!(into.check().await.unwrap(), Vec::<String>::new());
        into.stop().await.unwrap();
    }
    let into = there.open();
    assert_eq!(told(&into).await, told(&from).await);
    for (mark, kept) in kept {
        let batch = into.batch(mark).await.unwrap();
        assert_eq!(translate::kept_batch(&into, batch).await.unwrap(), kept);
        let moving = translate::moving(kept).unwrap();
        assert_eq!(into.take_in(moving).await.unwrap(), Moved::Already);
    }
}

/// Returns what every jar holds, each by what led to it alone and by all that ever happened to any.
async fn alone_and_all(acts: &[(Act, u64, u64)]) -> [BTreeMap<String, String>; 2] {
    let place = Place::new();
    let log = place.open();
    happened(&log, acts).await;
    let heads = log.batches(Default::default()).await.unwrap();
    let marks: Vec<String> = heads.iter().map(|head| head.mark.to_string()).collect();
    let said = |holding: &Holding, packs: &Packs| {
        let mut parts: Vec<String> = holding
            .parts()
            .map(|(part, mass)| format!("{} {:?} {mass}", part.ingredient, packs.of(part)))
            .collect();
        parts.sort();
        parts.join("\n")
    };
    let mut alone = BTreeMap::new();
    for head in &heads {
        let contents = Contents::read(&log, head.id).await.unwrap();
        let mark = head.mark.to_string();
        let holding = contents.of_jar(&mark);
        alone.insert(mark, said(&holding, &contents.packs));
    }
    // A last jar takes a little of every vessel at the end of all days: so all that ever happened led to it.
    let (last, own) = open(&log, None).await;
    let jars = marks.iter().map(|mark| Vessel::JarOf(mark.clone()));
    let of_cups = marks.iter().flat_map(|mark| {
        let names = [format!("jar {mark}"), mark.clone()];
        names.map(Vessel::Cup)
    });
    let little = |from: Vessel| NewTransfer {
        from,
        to: Vessel::Jar(last),
        substance: mixture().to_owned(),
        mass_ug: NonZeroU64::MIN,
        seen: Seen::Seen,
    };
    let all = written(
        3_000,
        &Entry::Resumed,
        jars.chain(of_cups)
            .chain((0..JARS).map(left))
            .map(little)
            .collect(),
    );
    log.append(last, vec![all]).await.unwrap();
    let contents = Contents::read(&log, last).await.unwrap();
    let before = contents.flows.iter().filter(|flow| flow.batch != own);
    let before: Vec<Flow> = before.cloned().collect();
    let mut packs = Packs::default();
    let holdings = followed(&before, &contents.batches, &contents.shelves, &mut packs);
    let all = marks.into_iter().map(|mark| {
        let holding = holdings.in_vessel(&super::Place::Jar(mark.clone()));
        (mark, said(&holding, &packs))
    });
    [alone, all.collect()]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn batches_that_come_in_any_order_and_in_two_halves_hold_what_they_held_where_they_come_from(
        acts in prop::collection::vec(act(), 0..30),
        order in Just((0..2 * JARS).collect::<Vec<usize>>()).prop_shuffle(),
        half in 0..=2 * JARS,
    ) {
        let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
        runtime.block_on(check(acts, order, half));
    }

    #[test]
    fn what_happened_to_a_cup_after_its_last_pour_into_a_jar_is_nothing_to_the_jar(
        acts in prop::collection::vec(act(), 0..30),
    ) {
        let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
        let [alone, all] = runtime.block_on(alone_and_all(&acts));
        prop_assert_eq!(alone, all);
    }
}
