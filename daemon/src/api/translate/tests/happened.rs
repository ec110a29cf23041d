//! Everything that can happen in a batch, and the ways out that were taken in one.

use std::collections::BTreeSet;

use serde_json::{Value, json};
use tarehand_mixing::flow_cup::FlowCup;
use tarehand_mixing::learnt::StopLead;
use tarehand_mixing::outcome::{Outcome, Room};
use tarehand_mixing::procedure::Weigh;
use tarehand_mixing::rescue::RescueKind;
use tarehand_mixing::session::{
    Answer, Book, By, Cause, Destination, Entry, JarThen, Limits, Question, Seen, Slip, Taken,
    TaskId, Verdict, ZeroCause,
};
use tarehand_mixing::weighing::Scale;
use tarehand_protocol::Mass;

use super::asked::{option, options};
use super::{MEDIUM, THIN, book, book_of, finished, g, procedure};
use crate::api::document;
use crate::api::translate::{entry_said, entry_text, record};

/// The steps that are decanted, and one that was never planned.
const DECANT: TaskId = TaskId(13);
const UNKNOWN: TaskId = TaskId(99);

/// Everything that can happen, as the journal's text and as data.
pub(super) fn happened() -> Vec<Value> {
    let alone = book(Vec::new());
    let line = |book: &Book, entry: &Entry| json!({"text": entry_text(book, entry), "said": entry_said(book, entry)});
    let mut lines: Vec<Value> = all().iter().map(|entry| line(&alone, entry)).collect();
    // A finished jar that is lighter than its record says, and one that is heavier.
    for jar in [g(140_000), g(148_700)] {
        let placed = Entry::JarPlaced {
            empty: Mass::ZERO,
            gross: jar,
        };
        let mut procedure = procedure();
        procedure.amends = Some(Box::new(finished()));
        let book = book_of(procedure, vec![Entry::JarMistaken, placed.clone()]);
        lines.push(line(&book, &placed));
    }
    let said: BTreeSet<String> = lines
        .iter()
        .map(|line| line["said"]["what"].as_str().unwrap().to_owned())
        .collect();
    assert_eq!(said, kinds(), "every kind of entry is told here");
    lines
}

/// Returns the kinds of entries as the document of the API has them.
fn kinds() -> BTreeSet<String> {
    let document = serde_json::to_value(document()).unwrap();
    let variants = document["components"]["schemas"]["EntrySaid"]["oneOf"].clone();
    let words = variants.as_array().unwrap().iter().map(|variant| {
        let word = &variant["properties"]["what"]["enum"][0];
        word.as_str().unwrap().to_owned()
    });
    words.collect()
}

fn all() -> Vec<Entry> {
    let (before, after) = (g(150_000), g(151_275));
    let mut all = opened_and_scales(before, after);
    all.extend(poured(before, after));
    all.extend(judged());
    all.extend(asked());
    all.extend(rescued());
    all.extend(thinned());
    all.extend(ended());
    all
}

fn opened_and_scales(before: Mass, after: Mass) -> Vec<Entry> {
    let scale = |division| Scale {
        division,
        capacity: None,
    };
    let opened = |limits| Entry::Opened {
        procedure: procedure(),
        limits,
        scale: Scale::default(),
    };
    let mut learnt = Limits::default();
    for key in ["night-paste", "clear-medium"] {
        learnt
            .stop_leads
            .insert(key.to_owned(), StopLead::default());
    }
    let zero = |cause| Entry::ZeroMoved {
        before,
        after: g(-120),
        cause,
    };
    let fits = |weigh| Entry::WeighFits {
        task: MEDIUM,
        weigh,
    };
    let chosen = |weigh| Entry::WeighChosen {
        tasks: vec![MEDIUM],
        weigh,
    };
    vec![
        opened(Limits::default()),
        opened(learnt),
        Entry::ScaleKnown {
            scale: scale(Some(g(10))),
        },
        Entry::ScaleKnown { scale: scale(None) },
        Entry::JarPlaced {
            empty: g(500),
            gross: g(60_500),
        },
        chosen(Weigh::Bottle),
        chosen(Weigh::Jar),
        chosen(Weigh::Fine),
        fits(Weigh::Fine),
        fits(Weigh::Jar),
        Entry::FineKnown { scale: None },
        Entry::FineKnown {
            scale: Some(scale(Some(g(1)))),
        },
        Entry::FineKnown {
            scale: Some(scale(None)),
        },
        Entry::FineLost,
        Entry::FineBack,
        Entry::FineCleared,
        Entry::FineZeroMoved {
            before: g(20),
            after: g(-5),
            cause: ZeroCause::TareKey,
        },
        Entry::JarCompared { before, after },
        Entry::JarSetAside { gross: before },
        Entry::JarReturned { gross: after },
        Entry::BottlePlaced {
            task: MEDIUM,
            empty: g(0),
            gross: before,
        },
        Entry::BottleLifted { gross: before },
        Entry::BottleBack { gross: before },
        Entry::LoadGone { gross: g(0) },
        Entry::JarBack { gross: before },
        Entry::JarMistaken,
        zero(ZeroCause::TareKey),
        zero(ZeroCause::EmptyPan),
        zero(ZeroCause::Power),
        Entry::ScaleLost,
        Entry::ScaleBack,
    ]
}

fn poured(before: Mass, after: Mass) -> Vec<Entry> {
    const WAYS: [Seen; 4] = [Seen::Watched, Seen::Unseen, Seen::InHand, Seen::Told];
    let poured = WAYS.map(|seen| Entry::Poured {
        task: MEDIUM,
        before,
        after,
        seen,
        stop: None,
    });
    let out = WAYS.map(|seen| Entry::PouredOut {
        task: MEDIUM,
        before: after,
        after: before,
        from_cup: Mass::ZERO,
        seen,
        stop: None,
    });
    let changed = [
        (Cause::Residue, after),
        (Cause::TakenOut, g(149_500)),
        (Cause::Foreign, after),
    ]
    .map(|(cause, after)| Entry::Changed {
        before,
        after,
        cause,
    });
    let decanted = |task, before, after| Entry::Decanted {
        task,
        before,
        after,
        seen: Seen::Watched,
    };
    let others = [
        Entry::Began { task: MEDIUM },
        Entry::Began { task: TaskId(4) },
        Entry::Filled {
            task: MEDIUM,
            before,
            after,
            seen: Seen::Watched,
        },
        Entry::LaidOn { before, after },
        decanted(DECANT, after, before),
        decanted(DECANT, before, after),
        decanted(UNKNOWN, after, before),
        Entry::RanOut { task: MEDIUM },
        Entry::WasOther {
            from: MEDIUM,
            to: TaskId(0),
            mass: g(1_275),
            new: None,
        },
        Entry::WentBack { task: MEDIUM },
        Entry::Undone,
        Entry::Paused,
        Entry::Resumed,
    ];
    poured
        .into_iter()
        .chain(out)
        .chain(changed)
        .chain(others)
        .collect()
}

fn judged() -> Vec<Entry> {
    let verdicts = [
        Verdict::Within,
        Verdict::Overshoot,
        Verdict::Shortfall,
        Verdict::Recorded,
        Verdict::Skipped,
    ];
    let weighed = |verdict, poured, target| Entry::Judged {
        task: MEDIUM,
        verdict,
        poured,
        target: Some(target),
        within: Some(g(500)),
    };
    let by_eye = |verdict| Entry::Judged {
        task: MEDIUM,
        verdict,
        poured: g(0),
        target: None,
        within: None,
    };
    let all = verdicts.map(|verdict| weighed(verdict, g(99_560), g(99_500)));
    let out = weighed(Verdict::Within, g(-12_300), g(-12_345));
    all.into_iter()
        .chain([out])
        .chain(verdicts.map(by_eye))
        .collect()
}

fn asked() -> Vec<Entry> {
    let (before, after) = (g(150_000), g(151_275));
    let off = |slip| Question::OffRatio {
        task: MEDIUM,
        slip,
        options: Vec::new(),
    };
    let asked = [
        Question::Overshoot {
            task: MEDIUM,
            options: Vec::new(),
        },
        off(Slip::RanOut),
        off(Slip::TakenOut),
        Question::TooThin {
            task: THIN,
            options: Vec::new(),
        },
        Question::PouredUnseen { before, after },
        Question::AddedInHand { before, after },
        Question::Lighter { before, after },
        Question::BottleLighter { before, after },
        Question::ZeroLost { before, after },
    ];
    let answered = [
        (Answer::Yes, By::Person),
        (Answer::No, By::Person),
        (Answer::Option(2), By::Person),
        (Answer::Option(1), By::Limit),
    ];
    let asked = asked.map(|question| Entry::Asked { question });
    let answered = answered.map(|(answer, by)| Entry::Answered { answer, by });
    asked.into_iter().chain(answered).collect()
}

const KINDS: [RescueKind; 7] = [
    RescueKind::TopUpExact,
    RescueKind::TopUpLeast,
    RescueKind::MakeLess,
    RescueKind::TakeOut,
    RescueKind::Accept,
    RescueKind::Unthinned,
    RescueKind::ReadyMade,
];

fn taken(kind: RescueKind, by: By) -> Entry {
    Entry::Rescued {
        option: option(kind, None),
        targets: Vec::new(),
        extra: Vec::new(),
        steps: Vec::new(),
        premixes: Vec::new(),
        by,
    }
}

fn rescued() -> Vec<Entry> {
    let by_limit = taken(RescueKind::TopUpExact, By::Limit);
    let by_person = KINDS.map(|kind| taken(kind, By::Person));
    by_person.into_iter().chain([by_limit]).collect()
}

fn thinned() -> Vec<Entry> {
    let trail = |jar, taken| Entry::Trail {
        task: THIN,
        seconds: 2.5,
        jar,
        taken,
    };
    let then = JarThen {
        thinner: g(1_500),
        total: g(121_500),
    };
    vec![
        trail(None, Taken::Said),
        trail(Some(then), Taken::Tapped),
        Entry::ThinningKnown { slopes: vec![8.0] },
        Entry::ThinningKnown {
            slopes: vec![8.0, 9.5],
        },
        Entry::FlowTimed {
            task: THIN,
            cup: FlowCup::Iso4,
            seconds: 60.5,
            viscosity_mm2_s: 79.52,
        },
    ]
}

fn ended() -> Vec<Entry> {
    let text = str::to_owned;
    let moved = |to, seen| Entry::Moved {
        to,
        mass: g(12_345),
        seen,
    };
    let room = |celsius, humidity_percent| Entry::RoomKnown {
        room: Room {
            celsius,
            humidity_percent,
        },
    };
    vec![
        Entry::Remarked {
            text: text("label the jar"),
        },
        room(Some(21.5), Some(45.0)),
        room(Some(21.0), None),
        Entry::CameOut {
            outcome: Outcome {
                found: vec![text("dried clear"), text("cracked")],
                note: Some(text("beside the window")),
                pictures: vec![text("left.jpg"), text("right.jpg")],
                better_than: Some(text("8KER7")),
            },
        },
        moved(Destination::Jar(text("8KER7")), Seen::Told),
        moved(Destination::Cup(text("squeeze bottle")), Seen::Watched),
        moved(Destination::Shelf(text("dusk-left")), Seen::Told),
        moved(Destination::Waste, Seen::Told),
        Entry::Completed,
        Entry::Aborted,
    ]
}

/// Every way out that can be taken, out of every slip, as the record of a batch lists it.
pub(super) fn taken_ways() -> Vec<Value> {
    let overshoot = || Question::Overshoot {
        task: MEDIUM,
        options: options(),
    };
    let too_thin = || Question::TooThin {
        task: THIN,
        options: options(),
    };
    let asked = |question| Entry::Asked { question };
    let mut entries = Vec::new();
    for kind in KINDS {
        entries.extend([asked(overshoot()), taken(kind, By::Person)]);
    }
    entries.extend([asked(too_thin()), taken(RescueKind::Accept, By::Person)]);
    entries.push(taken(RescueKind::TopUpExact, By::Limit));
    let at = "2026-11-30T17:45:00Z".to_owned();
    let planned = procedure().planned;
    let ways = record::rescues(planned, entries.iter().map(|entry| (entry, &at)));
    ways.iter()
        .map(|way| json!({"planned_g": planned.grams(), "way": way}))
        .collect()
}
