//! The card of a batch: what was really poured.

use tarehand_protocol::Mass;

use crate::card::{Card, of_batch, text};
use crate::procedure::{Addition, Amount, Ingredient, Procedure, Step, StepKind, Weigh, Within};
use crate::provenance::{Provenance, Run};
use crate::ratio::Ratio;
use crate::rescue::{RescueKind, RescueOption};
use crate::session::{Book, By, Entry, Extra, Limits, Record, Seen, TaskId, Verdict};
use crate::tick::Tick;
use crate::weighing::Scale;

/// A batch of a hundred grams, half and half: too much of the second, rescued, and a little by eye.
fn batch() -> Card {
    let mass = Mass::from_grams;
    let add = |key: &str, amount| {
        StepKind::Add(Addition {
            ingredient: Ingredient::by_name(key),
            amount,
            weigh: Weigh::Jar,
        })
    };
    let half = || Amount::Weighed {
        share: Ratio::new(1, 2),
        target: mass(50),
        within: Within::Mass(mass(1)),
    };
    let steps = [add("a", half()), add("b", half()), add("c", Amount::ByEye)];
    let procedure = Procedure::of_steps(
        "Half and half",
        mass(100),
        steps.map(|kind| Step { kind, note: None }).into(),
    );
    let poured = |task, before, after| Entry::Poured {
        task: TaskId(task),
        before: mass(before),
        after: mass(after),
        seen: Seen::Watched,
        stop: None,
    };
    let judged = |task, verdict, poured, target: Option<i64>| Entry::Judged {
        task: TaskId(task),
        verdict,
        poured: mass(poured),
        target: target.map(mass),
        within: None,
    };
    let rescued = |kind| Entry::Rescued {
        option: RescueOption {
            kind,
            within: true,
            total: mass(120),
            take_out: Mass::ZERO,
            pours: Vec::new(),
            shares: Vec::new(),
            cost: None,
            obstacle: None,
        },
        targets: Vec::new(),
        extra: vec![Extra {
            task: TaskId(3),
            step: 0,
            target: mass(10),
        }],
        steps: Vec::new(),
        premixes: Vec::new(),
        by: By::Person,
    };
    let entries = vec![
        Entry::Opened {
            procedure,
            limits: Limits::default(),
            scale: Scale::default(),
        },
        poured(0, 0, 50),
        judged(0, Verdict::Within, 50, Some(50)),
        poured(1, 50, 110),
        judged(1, Verdict::Overshoot, 60, Some(50)),
        rescued(RescueKind::TopUpExact),
        poured(3, 110, 120),
        judged(3, Verdict::Within, 10, Some(10)),
        poured(2, 120, 121),
        judged(2, Verdict::Recorded, 1, None),
        Entry::Completed,
    ];
    let records: Vec<Record> = entries
        .into_iter()
        .map(|entry| Record {
            at: Tick::ZERO,
            entry,
        })
        .collect();
    let from = Provenance {
        mark: "K7F2A",
        day: "2026-11-25",
        run: Run::Real,
    };
    of_batch(from, &Book::rebuild(&records).unwrap(), &records)
}

#[test]
fn a_batch_says_what_was_poured_what_was_planned_and_what_went_wrong() {
    insta::assert_snapshot!(text(&batch(), None), @r"
    Half and half
    =============

    batch K7F2A of 2026-11-25, as really poured  ·  120 g inside the ratio, planned 100 g

             grams  planned  parts    %
      a         60       50      1   50
      b         60       50      1   50
      total    120                  100
      parts are by weight; % is percent by weight of what is inside the ratio

    Outside the ratio
      - c: 1 g (planned: some, by eye)

    Needed: scale, jar

    In order
       1. added 50 g a (wanted: 50 g)
       2. added 60 g b (wanted: 50 g)
       3. added 1 g c
       4. added 10 g more a (wanted: 10 g)

    What happened
      - overshoot: 60 g b, wanted were 50 g
      - rescued: the rest was resized to 120 g, the ratio holds

    Take care
      - The maker's safety sheet of everything used, and local rules, come first.
    ");
}
