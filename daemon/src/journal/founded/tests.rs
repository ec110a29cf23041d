//! Random journals of every kind of batch come into another log as they are, and none of their figures can be changed on the way.

mod acts;

use proptest::prelude::*;
use proptest::sample::Index;
use serde_json::Value;
use tarehand_mixing::session::Limits;
use tarehand_mixing::weighing::Scale;
use tarehand_protocol::api::{KeptBatch, KeptVessel};

use super::*;
use crate::api::translate;
use crate::journal::rows;
use crate::log::{Ending, Log, Moved, NewBatch, Reality};
use acts::{AMENDED, Act, Kind, OTHER, act, entry, kind, procedure};

fn new_batch() -> NewBatch {
    NewBatch {
        bench: "window".to_owned(),
        recipe: "any".to_owned(),
        reality: Reality::Real,
        planned_ug: Mass::from_grams(100).micrograms(),
        opened: "2026-03-02T08:00:00Z".to_owned(),
        procedure: NewBatch::IN_JOURNAL.to_owned(),
        recipe_text: String::new(),
        shelf_text: String::new(),
        profile_text: String::new(),
        things: String::new(),
    }
}

fn log(folder: &tempfile::TempDir, name: &str) -> Log {
    Log::open(&folder.path().join(name)).unwrap()
}

/// Writes a batch into a log entry by entry, as a bench does, and returns what an export has of it.
async fn exported(log: &Log, kind: Kind, acts: &[(Act, i64, bool)]) -> KeptBatch {
    const AT: &str = "2026-03-02T09:00:00Z";
    let opened = Record {
        at: Tick::ZERO,
        entry: Entry::Opened {
            procedure: procedure(kind),
            limits: Limits::default(),
            scale: Scale::default(),
        },
    };
    let mut book = Book::rebuild(std::slice::from_ref(&opened)).unwrap();
    let first = (book.clone(), opened);
    let head = log
        .begin_batch(new_batch(), move |id| rows(id, &first.0, &[first.1], AT))
        .await
        .unwrap();
    // Of an amended jar, and of one that was poured from, there may be no batch here.
    for (act, milligrams, flag) in acts {
        let tasks = u32::try_from(book.all_tasks().count()).unwrap();
        let steps = book.procedure().steps.len();
        let record = Record {
            at: Tick::from_millis(7),
            entry: entry(*act, *milligrams, *flag, tasks, steps),
        };
        assert!(book.has_steps_of(&record.entry));
        book.fold(&record);
        let rows = rows(head.id, &book, &[record], AT);
        log.append(head.id, rows).await.unwrap();
    }
    let closed = "2026-03-02T10:00:00Z".to_owned();
    log.close_batch(head.id, Vec::new(), Ending::Complete, closed)
        .await
        .unwrap();
    let batch = log.batch(head.id).await.unwrap();
    translate::kept_batch(log, batch).await.unwrap()
}

fn booked(moving: &Moving) -> Vec<Vec<NewTransfer>> {
    let entries = moving.entries.iter();
    entries.map(|entry| entry.transfers.clone()).collect()
}

/// Adds to one of all figures of a batch, also of those inside its entries; `None` where what is left is no batch.
fn with_another_figure(kept: &KeptBatch, which: Index, by: i64) -> Option<KeptBatch> {
    fn figures<'v>(value: &'v mut Value, found: &mut Vec<&'v mut Value>) {
        match value {
            Value::Number(_) => found.push(value),
            Value::Array(list) => list.iter_mut().for_each(|one| figures(one, found)),
            Value::Object(table) => table.values_mut().for_each(|one| figures(one, found)),
            _ => {}
        }
    }
    let mut whole = serde_json::to_value(kept).unwrap();
    let entries = whole["entries"].as_array_mut().unwrap();
    for entry in entries {
        let body: Value = serde_json::from_str(entry["body"].as_str().unwrap()).unwrap();
        entry["body"] = body;
    }
    let mut found = Vec::new();
    figures(&mut whole, &mut found);
    let figure = which.get_mut(&mut found);
    **figure = match figure.as_i64() {
        Some(whole) => (whole + by).into(),
        None => (figure.as_f64().unwrap() + 1.5).into(),
    };
    for entry in whole["entries"].as_array_mut().unwrap() {
        entry["body"] = entry["body"].to_string().into();
    }
    serde_json::from_value(whole).ok()
}

async fn check(kind: Kind, acts: Vec<(Act, i64, bool)>, changes: Vec<(Index, i64)>) {
    let folder = tempfile::tempdir().unwrap();
    let here = log(&folder, "here.db");
    let kept = match kind {
        // What an amendment does it does to a jar that is there.
        Kind::Amends | Kind::OfSet => {
            let other = |mark: &str| Moving {
                mark: mark.parse().unwrap(),
                state: crate::log::BatchState::Ended(Ending::Complete),
                closed: Some("2026-03-02T07:00:00Z".to_owned()),
                new: NewBatch {
                    opened: "2026-03-02T06:00:00Z".to_owned(),
                    ..new_batch()
                },
                entries: Vec::new(),
                trace: Vec::new(),
            };
            for mark in [OTHER, AMENDED] {
                here.take_in(other(mark)).await.unwrap();
            }
            exported(&here, kind, &acts).await
        }
        Kind::Own => {
            let no_other: Vec<_> = acts
                .into_iter()
                .filter(|(act, ..)| !matches!(act, Act::Moved(0)))
                .collect();
            exported(&here, kind, &no_other).await
        }
    };
    let came = translate::moving(kept.clone()).unwrap();
    let moving = founded(came.clone()).unwrap();
    assert_eq!(moving, came, "what is founded comes as it is");
    let there = log(&folder, "there.db");
    assert_eq!(there.take_in(moving.clone()).await.unwrap(), Moved::In);
    for (which, by) in changes {
        let Some(changed) = with_another_figure(&kept, which, by) else {
            continue;
        };
        let Ok(came) = translate::moving(changed) else {
            continue;
        };
        if let Ok(changed) = founded(came) {
            assert_eq!(booked(&changed), booked(&moving));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn an_export_of_any_batch_comes_in_and_a_changed_figure_is_refused_or_books_nothing_else(
        kind in kind(),
        acts in prop::collection::vec(act(), 0..25),
        changes in prop::collection::vec((any::<Index>(), prop_oneof![Just(1_i64), Just(-1), -50_000_000_i64..50_000_000]), 40),
    ) {
        let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
        runtime.block_on(check(kind, acts, changes));
    }
}

/// A batch of one pour, which is told to have gone on into another jar.
async fn kept() -> KeptBatch {
    let folder = tempfile::tempdir().unwrap();
    let here = log(&folder, "here.db");
    let acts = [(Act::Poured(0), 12_500, true), (Act::Moved(1), 4_000, true)];
    exported(&here, Kind::Own, &acts).await
}

#[tokio::test]
async fn what_does_not_follow_is_said_with_its_entry_and_what_is_different() {
    let kept = kept().await;
    let mark = kept.mark.clone();
    let said = |change: &dyn Fn(&mut KeptBatch)| {
        let mut changed = kept.clone();
        change(&mut changed);
        let error = founded(translate::moving(changed).unwrap()).unwrap_err();
        error.to_string().replace(&mark, "MARK")
    };
    insta::assert_snapshot!(said(&|kept| kept.entries[1].transfers[0].mass_ug = 13_000_000), @"entry 1 (`poured`) moves 12.5 g of chalk from the shelf's `chalk` to the jar of MARK, but its ledger says 13 g of chalk from the shelf's `chalk` to the jar of MARK");
    insta::assert_snapshot!(said(&|kept| kept.entries[1].transfers.clear()), @"entry 1 (`poured`) moves 12.5 g of chalk from the shelf's `chalk` to the jar of MARK, but its ledger says nothing");
    insta::assert_snapshot!(said(&|kept| kept.entries[1].transfers[0].substance = "soot".to_owned()), @"entry 1 (`poured`) moves 12.5 g of chalk from the shelf's `chalk` to the jar of MARK, but its ledger says 12.5 g of soot from the shelf's `chalk` to the jar of MARK");
    insta::assert_snapshot!(said(&|kept| kept.entries[2].transfers[0].to = KeptVessel::Waste), @"entry 2 (`moved`) moves 4 g of the mixture from the jar of MARK to the cup `jar FAR7P`, unseen, but its ledger says 4 g of the mixture from the jar of MARK to waste, unseen");
    insta::assert_snapshot!(said(&|kept| {
        let more = kept.entries[1].transfers[0].clone();
        kept.entries[0].transfers.push(more);
    }), @"entry 0 (`opened`) moves nothing, but its ledger says 12.5 g of chalk from the shelf's `chalk` to the jar of MARK");
    insta::assert_snapshot!(said(&|kept| kept.entries[1].kind = "moved".to_owned()), @"entry 1 is called `moved`, and says `poured`");
    insta::assert_snapshot!(said(&|kept| drop(kept.entries.remove(0))), @"entry 0 (`poured`) books something, but the journal does not begin with its opening");
    insta::assert_snapshot!(said(&|kept| kept.planned_ug += 1_000_000), @"what was planned is 101 g, but it was opened with 100 g");
    insta::assert_snapshot!(said(&|kept| kept.recipe = "Another".to_owned()), @"its recipe is `Another`, but it was opened with `any`");
    insta::assert_snapshot!(said(&|kept| {
        let body = &mut kept.entries[1].body;
        *body = r#"{"what":"was-other","from":0,"to":8,"mass":1,"new":[{"task":8,"step":99,"target":1},{"kind":{"note":{"text":"x"}},"note":null}]}"#.to_owned();
        kept.entries[1].kind = "was-other".to_owned();
    }), @"entry 1 (`was-other`) speaks of a step that this batch does not have");
}

#[tokio::test]
async fn a_jar_that_schema_2_kept_as_a_cup_is_the_jar_that_the_entry_names_and_a_cup_of_that_name_stays_one()
 {
    let folder = tempfile::tempdir().unwrap();
    let here = log(&folder, "here.db");
    let mut early = exported(&here, Kind::Own, &[(Act::Moved(1), 4_000, true)]).await;
    let cup = KeptVessel::Cup(format!("jar {OTHER}"));
    assert_eq!(early.entries[1].transfers[0].to, cup);
    let stays = founded(translate::moving(early.clone()).unwrap()).unwrap();
    let is = |moving: &Moving| moving.entries[1].transfers[0].to.clone();
    assert_eq!(is(&stays), Vessel::Cup(format!("jar {OTHER}")));
    early.entries[1].body = early.entries[1].body.replace(
        &format!(r#"{{"cup":"jar {OTHER}"}}"#),
        &format!(r#"{{"jar":"{OTHER}"}}"#),
    );
    let named = founded(translate::moving(early).unwrap()).unwrap();
    assert_eq!(is(&named), Vessel::JarOf(OTHER.to_owned()));
}

#[test]
fn a_batch_without_a_journal_books_nothing_and_comes_in() {
    let empty = Moving {
        mark: OTHER.parse().unwrap(),
        state: crate::log::BatchState::Ended(Ending::Aborted),
        closed: Some("2026-03-02T07:00:00Z".to_owned()),
        new: new_batch(),
        entries: Vec::new(),
        trace: Vec::new(),
    };
    assert_eq!(founded(empty.clone()), Ok(empty));
}
