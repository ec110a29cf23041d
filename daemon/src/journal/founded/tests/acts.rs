//! Batches of every kind, and anything that may be written down of them.

use std::collections::BTreeMap;

use proptest::prelude::*;
use tarehand_mixing::procedure::{Amends, Decanted, OfSet, Procedure, Step, StepKind};
use tarehand_mixing::ratio::Ratio;
use tarehand_mixing::rescue::{RescueKind, RescueOption};
use tarehand_mixing::session::{By, Cause, Destination, Extra, Seen as Watched, TaskId, Verdict};
use tarehand_mixing::{Addition, Amount, Ingredient, Weigh, Within};

use super::*;

/// What kind of batch it is.
#[derive(Clone, Copy, Debug)]
pub(super) enum Kind {
    /// A jar of its own.
    Own,
    /// A jar of a set that pours a premix of the same run.
    OfSet,
    /// A finished jar that is opened again, and another poured into it.
    Amends,
}

/// The marks of other batches.
pub(super) const OTHER: &str = "FAR7P";

pub(super) const AMENDED: &str = "DD6JK";

/// Something that is written down, with a mass in milligrams. Nothing of a journal is judged when it is read.
#[derive(Clone, Copy, Debug)]
pub(super) enum Act {
    Poured(u32),
    PouredOut(u32),
    Filled(u32),
    Changed(Cause),
    Decanted(u32),
    WasOther { from: u32, to: u32, new: bool },
    Rescued { new: bool },
    Judged(u32),
    Undone,
    Moved(u8),
    Silent,
}

const STEPS: u32 = 8;

pub(super) fn act() -> impl Strategy<Value = (Act, i64, bool)> {
    let task = 0..STEPS + 2;
    let cause = prop_oneof![
        Just(Cause::Residue),
        Just(Cause::TakenOut),
        Just(Cause::Foreign)
    ];
    let act = prop_oneof![
        5 => task.clone().prop_map(Act::Poured),
        2 => task.clone().prop_map(Act::PouredOut),
        1 => task.clone().prop_map(Act::Filled),
        2 => cause.prop_map(Act::Changed),
        2 => (5..7_u32).prop_map(Act::Decanted),
        1 => (task.clone(), task.clone(), any::<bool>()).prop_map(|(from, to, new)| Act::WasOther { from, to, new }),
        2 => any::<bool>().prop_map(|new| Act::Rescued { new }),
        1 => task.prop_map(Act::Judged),
        1 => Just(Act::Undone),
        2 => (0..4_u8).prop_map(Act::Moved),
        1 => Just(Act::Silent),
    ];
    (act, -9_000_i64..40_000, any::<bool>())
}

pub(super) fn kind() -> impl Strategy<Value = Kind> {
    prop_oneof![Just(Kind::Own), Just(Kind::OfSet), Just(Kind::Amends)]
}

fn add(key: &str, amount: Amount) -> StepKind {
    StepKind::Add(Addition {
        ingredient: Ingredient::by_name(key),
        amount,
        weigh: Weigh::Jar,
    })
}

pub(super) fn procedure(kind: Kind) -> Procedure {
    let weighed = |key: &str| {
        let amount = Amount::Weighed {
            share: Ratio::new(1, 2),
            target: Mass::from_grams(50),
            within: Within::Mass(Mass::from_grams(1)),
        };
        add(key, amount)
    };
    let whole = Amount::Whole {
        vessel: "the paste cup".to_owned(),
    };
    let out = |into: &str| StepKind::Decant {
        amount: Decanted::All,
        into: into.to_owned(),
    };
    let thin = StepKind::Thin {
        with: Ingredient::by_name("water"),
        by: Mass::from_grams(1),
        at_most: None,
        wanted_s: None,
        weigh: Weigh::Jar,
    };
    let kinds = [
        weighed("chalk"),
        weighed("soot"),
        weighed("premix"),
        add("paste", whole),
        thin,
        out("squeeze bottle"),
        out(ledger::POURED_AWAY),
        add("pinch", Amount::ByEye),
    ];
    let others = BTreeMap::from([("premix".to_owned(), OTHER.to_owned())]);
    Procedure {
        recipe: "any".to_owned(),
        planned: Mass::from_grams(100),
        jar_ul: None,
        trail_s: None,
        pot_life: None,
        choices: Vec::new(),
        premixes: Vec::new(),
        steps: kinds
            .into_iter()
            .map(|kind| Step { kind, note: None })
            .collect(),
        of_set: matches!(kind, Kind::OfSet).then(|| OfSet {
            set: "a pour".to_owned(),
            run: "a run".to_owned(),
            jars: 2,
            key: "own".to_owned(),
            turns: (0..STEPS).collect(),
            made: others.clone(),
            covers: None,
        }),
        amends: matches!(kind, Kind::Amends).then(|| {
            Box::new(Amends {
                mark: AMENDED.to_owned(),
                recipe: "before".to_owned(),
                tare: Mass::from_grams(60),
                holds: Mass::from_grams(80),
                within: Mass::from_grams(1),
                out_of: others,
            })
        }),
    }
}

/// What a person and a bench could have written, whether or not it makes sense.
pub(super) fn entry(act: Act, milligrams: i64, flag: bool, tasks: u32, steps: usize) -> Entry {
    let mass = Mass::from_milligrams(milligrams);
    let (before, after) = (Mass::from_grams(200), Mass::from_grams(200) + mass);
    let seen = if flag {
        Watched::Watched
    } else {
        Watched::Unseen
    };
    let extra = |step| Extra {
        task: TaskId(tasks),
        step,
        target: mass,
    };
    let more = || Step {
        kind: add(
            "dust",
            Amount::Weighed {
                share: Ratio::new(1, 2),
                target: mass,
                within: Within::Mass(Mass::from_grams(1)),
            },
        ),
        note: None,
    };
    match act {
        Act::Poured(task) => Entry::Poured {
            task: TaskId(task),
            before,
            after,
            seen,
            stop: None,
        },
        Act::PouredOut(task) => Entry::PouredOut {
            task: TaskId(task),
            before: after,
            after: before,
            from_cup: if flag {
                Mass::from_milligrams(milligrams / 3)
            } else {
                Mass::ZERO
            },
            seen,
            stop: None,
        },
        Act::Filled(task) => Entry::Filled {
            task: TaskId(task),
            before,
            after,
            seen,
        },
        Act::Changed(cause) => Entry::Changed {
            before,
            after,
            cause,
        },
        Act::Decanted(task) => Entry::Decanted {
            task: TaskId(task),
            before,
            after,
            seen,
        },
        Act::WasOther { from, to, new } => Entry::WasOther {
            from: TaskId(from),
            to: TaskId(if new { tasks } else { to }),
            mass: mass.abs(),
            new: new.then(|| (extra(steps), more())),
        },
        Act::Rescued { new } => Entry::Rescued {
            option: RescueOption {
                kind: RescueKind::TopUpExact,
                total: Mass::from_grams(120),
                take_out: Mass::ZERO,
                pours: Vec::new(),
                shares: Vec::new(),
                within: true,
                cost: None,
                obstacle: None,
            },
            targets: vec![(TaskId(0), mass.abs())],
            extra: vec![extra(if new { steps } else { 1 })],
            steps: if new { vec![more()] } else { Vec::new() },
            premixes: Vec::new(),
            by: By::Person,
        },
        Act::Judged(task) => Entry::Judged {
            task: TaskId(task),
            verdict: Verdict::Recorded,
            poured: mass,
            target: None,
            within: None,
        },
        Act::Undone => Entry::Undone,
        Act::Moved(where_to) => Entry::Moved {
            to: match where_to {
                0 => Destination::Jar(OTHER.to_owned()),
                1 => Destination::Cup(format!("jar {OTHER}")),
                2 => Destination::Shelf("left-any".to_owned()),
                _ => Destination::Waste,
            },
            mass: mass.abs(),
            seen: Watched::Told,
        },
        Act::Silent => Entry::Remarked {
            text: "slowly".to_owned(),
        },
    }
}
