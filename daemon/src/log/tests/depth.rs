use std::sync::atomic::{AtomicU64, Ordering};

use super::super::{drawn, journal as entries, ledger as transfers, lineage, register as batches};
use super::*;

type Question = fn(&Connection, &BatchHead);

/// What is asked of one batch, of its jar, or of the newest of a pack.
const QUESTIONS: [(&str, Question); 18] = [
    ("a batch", |conn, head| {
        batches::read(conn, &head.mark.clone().into()).unwrap();
    }),
    ("its journal", |conn, head| {
        entries::read(conn, head.id).unwrap();
    }),
    ("its transfers", |conn, head| {
        transfers::transfers(conn, head.id).unwrap();
    }),
    ("its jar", |conn, head| {
        transfers::jar(conn, head.id).unwrap();
    }),
    ("what led to its jar", |conn, head| {
        assert_eq!(lineage::upstream(conn, head.id).unwrap().len(), POURS + 2);
    }),
    (
        "what led through a cup that all batches use to the jar of the first one",
        |conn, _| {
            let found = lineage::upstream(conn, BatchId::from_number(1)).unwrap();
            assert_eq!(found.len(), 2 * POURS + 3);
        },
    ),
    ("what was written when it was opened", |conn, head| {
        let found = batches::opened(conn, std::slice::from_ref(&head.mark));
        assert_eq!(found.unwrap().len(), 1);
    }),
    ("what its jar went into", |conn, head| {
        let found = lineage::downstream(conn, std::slice::from_ref(&head.mark));
        // Through the cup also the first, although it took from it before: that it got nothing is found by looking into it.
        assert_eq!(found.unwrap().len(), 3);
    }),
    ("its run", |conn, head| {
        batches::run_of(conn, &head.mark.clone().into()).unwrap();
    }),
    ("a bench's unfinished ones", |conn, _| {
        batches::unfinished(conn, "elsewhere").unwrap();
    }),
    ("the newest", |conn, _| {
        let newest = BatchFilter {
            at_most: Some(3),
            ..BatchFilter::default()
        };
        assert_eq!(batches::list(conn, &newest).unwrap().len(), 3);
    }),
    ("the newest before one", |conn, _| {
        let before = BatchFilter {
            before: Some(BatchId::from_number(4)),
            at_most: Some(3),
            ..BatchFilter::default()
        };
        assert_eq!(batches::list(conn, &before).unwrap().len(), 3);
    }),
    ("the newest that hold anything", |conn, _| {
        let holding = BatchFilter {
            holds_above_ug: Some(0),
            at_most: Some(3),
            ..BatchFilter::default()
        };
        assert_eq!(batches::list(conn, &holding).unwrap().len(), 3);
    }),
    (
        "the earlier ones of a recipe that is made for the first time",
        |conn, _| {
            let of_recipe = BatchFilter {
                recipe: Some("Slate".to_owned()),
                state: Some(BatchState::Ended(Ending::Complete)),
                reality: Some(Reality::Real),
                at_most: Some(5),
                ..BatchFilter::default()
            };
            assert_eq!(batches::list(conn, &of_recipe).unwrap(), []);
        },
    ),
    ("those of an hour long ago", |conn, _| {
        let of_hour = BatchFilter {
            opened_from: Some("2025-03-02T09:00:00Z".to_owned()),
            opened_until: Some("2025-03-02T10:00:00Z".to_owned()),
            ..BatchFilter::default()
        };
        assert_eq!(batches::list(conn, &of_hour).unwrap(), []);
    }),
    ("those opened last", |conn, _| {
        let last = BatchFilter {
            reality: Some(Reality::Real),
            at_most: Some(3),
            order: BatchOrder::OpenedLast,
            ..BatchFilter::default()
        };
        assert_eq!(batches::list(conn, &last).unwrap().len(), 3);
    }),
    ("the draws of some", |conn, head| {
        let found = drawn::by_some(conn, "chalk-white", std::slice::from_ref(&head.mark));
        assert_eq!(found.unwrap().len(), POURS);
    }),
    ("the draws of an ingredient nobody poured", |conn, _| {
        assert_eq!(drawn::by_batch(conn, "soot", None).unwrap(), []);
    }),
];

const POURS: usize = 12;

/// Writes so many batches, every second one poured on into the one before it and a little of each into one cup, from which
/// the first takes some; returns the last.
async fn written(place: &Place, many: usize) -> BatchHead {
    let log = place.open();
    let mut heads: Vec<BatchHead> = Vec::new();
    for number in 0..many {
        let new = NewBatch {
            opened: format!("2026-03-02T09:{:02}:{:02}Z", number / 60, number % 60),
            ..harbour_grey()
        };
        let head = log.open_batch(new).await.unwrap();
        let pours = (0..POURS).map(|place| pour(i64::try_from(place).unwrap(), head.id));
        let mut pours: Vec<NewEntry> = pours.collect();
        // Pairs: the second of each is poured into the first.
        if let Some(first) = heads.last().filter(|_| heads.len() % 2 == 1) {
            let place = i64::try_from(POURS).unwrap();
            let mut on = pour(place, head.id);
            on.transfers[0].from = Vessel::Jar(head.id);
            on.transfers[0].to = Vessel::Jar(first.id);
            pours.push(on);
        }
        let cup = || Vessel::Cup("first panel's jar".to_owned());
        let mut into_cup = pour(50, head.id);
        into_cup.transfers[0].from = Vessel::Jar(head.id);
        into_cup.transfers[0].to = cup();
        pours.push(into_cup);
        if heads.is_empty() {
            let mut out_of_cup = pour(51, head.id);
            out_of_cup.transfers[0].from = cup();
            pours.push(out_of_cup);
        }
        for pour in &mut pours {
            let minute = pour.at.split_off("2026-03-02T09:00".len());
            pour.at = format!(
                "2026-03-02T{:02}:{:02}{minute}",
                10 + number / 60,
                number % 60
            );
        }
        log.append(head.id, pours).await.unwrap();
        heads.push(head);
    }
    log.stop().await.unwrap();
    heads.pop().unwrap()
}

/// Counts what the database does for a question.
fn steps(conn: &mut Connection, question: Question, head: &BatchHead) -> u64 {
    static STEPS: AtomicU64 = AtomicU64::new(0);
    // What is looked up once is known the next time.
    question(conn, head);
    STEPS.store(0, Ordering::Relaxed);
    let count = || {
        STEPS.fetch_add(1, Ordering::Relaxed);
        false
    };
    conn.progress_handler(1, Some(count)).unwrap();
    question(conn, head);
    conn.progress_handler(0, None::<fn() -> bool>).unwrap();
    STEPS.load(Ordering::Relaxed)
}

#[tokio::test]
async fn what_is_asked_of_one_batch_is_no_more_work_in_a_long_log() {
    let (short, long) = (Place::new(), Place::new());
    let (in_short, in_long) = (written(&short, 4).await, written(&long, 200).await);
    let mut short = Connection::open(short.path()).unwrap();
    let mut long = Connection::open(long.path()).unwrap();
    for (what, question) in QUESTIONS {
        let (little, much) = (
            steps(&mut short, question, &in_short),
            steps(&mut long, question, &in_long),
        );
        assert!(
            much < 2 * little + 200,
            "{what}: {little} steps among 4 batches, {much} among 200"
        );
    }
}
