use std::num::NonZeroU64;

use tarehand_mixing::procedure::{Amends, Procedure};
use tarehand_mixing::session::{Entry, Limits};
use tarehand_mixing::weighing::Scale;
use tempfile::TempDir;

use super::*;
use crate::log::{NewBatch, NewEntry, NewTransfer, Seen, Vessel};

const AT: &str = "2026-03-02T08:00:00Z";

fn procedure(amends: Option<&str>) -> Procedure {
    let amends = amends.map(|mark| {
        Box::new(Amends {
            mark: mark.to_owned(),
            recipe: "any".to_owned(),
            tare: Mass::ZERO,
            holds: Mass::ZERO,
            within: Mass::ZERO,
            out_of: std::collections::BTreeMap::new(),
        })
    });
    Procedure {
        amends,
        ..Procedure::of_steps("any", Mass::ZERO, Vec::new())
    }
}

fn written(entry: &Entry, transfers: Vec<NewTransfer>) -> NewEntry {
    NewEntry {
        tick_us: 0,
        at: AT.to_owned(),
        kind: entry.kind().to_owned(),
        body: serde_json::to_string(entry).unwrap(),
        transfers,
        words: None,
    }
}

/// Makes a batch to its end, which moves so many grams from one vessel to another; returns its mark.
async fn made(log: &Log, amends: Option<&str>, from: &Vessel, to: Option<&Vessel>) -> String {
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
        opened: AT.to_owned(),
        procedure: NewBatch::IN_JOURNAL.to_owned(),
        recipe_text: String::new(),
        shelf_text: String::new(),
        profile_text: String::new(),
        things: String::new(),
    };
    let first = written(&opened, Vec::new());
    let head = log.begin_batch(new, |_| vec![first]).await.unwrap();
    let transfer = NewTransfer {
        from: from.clone(),
        to: to.cloned().unwrap_or(Vessel::Jar(head.id)),
        substance: "chalk".to_owned(),
        mass_ug: NonZeroU64::new(5_000_000).unwrap(),
        seen: Seen::Seen,
    };
    let last = vec![written(&Entry::Completed, vec![transfer])];
    log.close_batch(head.id, last, Ending::Complete, AT.to_owned())
        .await
        .unwrap();
    head.mark.as_str().to_owned()
}

#[tokio::test]
async fn however_often_a_jar_was_amended_and_others_emptied_it_is_known() {
    let folder = TempDir::new().unwrap();
    let log = Log::open(&folder.path().join("log.db")).unwrap();
    let shelf = Vessel::Shelf("chalk".to_owned());
    let kept = made(&log, None, &shelf, None).await;
    let jar = Vessel::JarOf(kept.clone());
    for _ in 0..REMEMBERED {
        made(&log, Some(&kept), &shelf, Some(&jar)).await;
    }
    for _ in 0..REMEMBERED / 2 {
        let emptied = made(&log, None, &shelf, None).await;
        let emptied = Vessel::JarOf(emptied);
        made(&log, Some(&kept), &emptied, Some(&jar)).await;
    }
    let known = finished(&log).await.unwrap();
    let marks: Vec<&str> = known.iter().map(|jar| jar.what.mark.as_str()).collect();
    assert_eq!(marks, [kept.as_str()]);
    assert_eq!(known[0].gross, Mass::from_grams(5 * (1 + 60 + 30)));
}
