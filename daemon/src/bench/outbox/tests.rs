use std::path::PathBuf;

use tarehand_mixing::session::{Entry, Record};
use tarehand_mixing::tick::Tick;

use super::*;
use crate::bench::showing::empty_view;

fn record(text: &str) -> Written {
    let entry = Entry::Remarked {
        text: text.to_owned(),
    };
    Written {
        jar: 0,
        record: Record {
            at: Tick::ZERO,
            entry,
        },
    }
}

fn announcement(revision: u64) -> Announcement {
    Announcement {
        view: Arc::new(View {
            revision,
            ..empty_view("test")
        }),
        cues: Vec::new(),
        reply: None,
    }
}

fn full() -> LogError {
    LogError::Full {
        path: PathBuf::from("log.sqlite"),
    }
}

fn revisions(outcome: &Outcome) -> Vec<u64> {
    match outcome {
        Outcome::Written(announcements) => {
            announcements.iter().map(|one| one.view.revision).collect()
        }
        Outcome::Failed(..) => panic!("the write failed"),
    }
}

#[tokio::test(start_paused = true)]
async fn a_failed_write_is_never_overtaken_by_a_later_one() {
    let mut outbox = Outbox::default();
    outbox.add(vec![record("first")], announcement(1));
    outbox.send(|_| Box::pin(std::future::ready(Err(full()))));
    outbox.add(vec![record("second")], announcement(2));
    outbox.send(|_| panic!("one write at a time"));
    assert!(matches!(
        outbox.landed().await,
        Outcome::Failed(LogError::Full { .. }, _)
    ));
    let mut written = Vec::new();
    outbox.send(|records| {
        written = records.to_vec();
        Box::pin(std::future::ready(Ok(())))
    });
    assert_eq!(revisions(&outbox.landed().await), [1, 2]);
    assert_eq!(written, [record("first"), record("second")]);
    assert!(outbox.is_empty());
}

#[tokio::test(start_paused = true)]
async fn what_waits_for_a_write_is_shown_in_order_and_not_before() {
    let mut outbox = Outbox::default();
    let (disk, written) = tokio::sync::oneshot::channel::<()>();
    outbox.add(vec![record("first")], announcement(1));
    outbox.send(|_| {
        Box::pin(async {
            written.await.expect("the test holds the other end");
            Ok(())
        })
    });
    outbox.add(Vec::new(), announcement(2));
    let waited = tokio::time::timeout(Duration::from_secs(60), outbox.landed()).await;
    assert!(waited.is_err(), "nothing is shown before the disk has it");
    disk.send(()).expect("the write waits");
    assert_eq!(revisions(&outbox.landed().await), [1]);
    outbox.send(|_| panic!("there is nothing to write"));
    assert_eq!(revisions(&outbox.landed().await), [2]);
}
