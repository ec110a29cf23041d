//! Random procedures of every kind of step.

use std::time::Duration;

use proptest::prelude::*;
use tarehand_mixing::procedure::{Decanted, Origin, Step};
use tarehand_mixing::ratio::Ratio;
use tarehand_mixing::{
    Addition, Amount, CountUnit, Ingredient, Procedure, StepKind, Weigh, Within,
};
use tarehand_protocol::Mass;

/// What is planned of everything inside the ratio.
const PLANNED_G: i64 = 100;

#[derive(Clone, Debug)]
enum Draft {
    Weighed {
        key: usize,
        weight: i64,
        within: Within,
    },
    Counted {
        key: usize,
        weight: i64,
        within: Option<Within>,
    },
    Range {
        low: i64,
        more: i64,
    },
    ByEye,
    Whole,
    Thin {
        by: i64,
        at_most: Option<i64>,
        wanted_s: Option<f64>,
    },
    Stir(u64),
    Rest(u64),
    Strain,
    Look,
    Trail,
    Note,
    Decant(Option<i64>),
}

/// Returns procedures with at least one weighed addition.
pub(super) fn procedure() -> impl Strategy<Value = Procedure> {
    let jar = prop::option::weighted(0.3, 60_000_u64..200_000);
    let stock = prop::option::weighted(0.2, 1_i64..200);
    (
        weighed(),
        prop::collection::vec(draft(), 0..6),
        0_usize..6,
        jar,
        stock,
        out(),
        last(),
    )
        .prop_map(|(first, mut drafts, place, jar_ul, stock, out, last)| {
            drafts.insert(place.min(drafts.len()), first);
            drafts.extend(last);
            let procedure = size(&drafts, jar_ul, stock.map(Mass::from_grams));
            weighed_out(procedure, &out)
        })
}

/// Which steps are weighed out of their bottle: none, all, or here and there.
fn out() -> impl Strategy<Value = Vec<Weigh>> {
    let any = prop_oneof![Just(Weigh::Jar), Just(Weigh::Bottle)];
    prop_oneof![
        4 => Just(vec![Weigh::Jar; 7]),
        1 => Just(vec![Weigh::Bottle; 7]),
        2 => prop::collection::vec(any, 7),
    ]
}

/// What may come at the end: some or all of it into other vessels, and what changes no ratio.
fn last() -> impl Strategy<Value = Vec<Draft>> {
    let decant = prop_oneof![
        2 => (5_i64..40).prop_map(|grams| Draft::Decant(Some(grams))),
        1 => Just(Draft::Decant(None)),
    ];
    let after = prop_oneof![
        2 => decant.clone(),
        1 => Just(Draft::Look),
        1 => Just(Draft::Trail),
        1 => (1_i64..4, 0.0..19.0).prop_map(|(by, wanted_s)| Draft::Thin {
            by,
            at_most: Some(3 * by),
            wanted_s: Some(wanted_s),
        }),
    ];
    let some = (decant, prop::collection::vec(after, 0..3)).prop_map(|(first, mut after)| {
        after.insert(0, first);
        after
    });
    prop_oneof![2 => Just(Vec::new()), 1 => some]
}

fn weighed_out(mut procedure: Procedure, out: &[Weigh]) -> Procedure {
    for (step, chosen) in procedure.steps.iter_mut().zip(out) {
        match &mut step.kind {
            StepKind::Add(addition) => addition.weigh = *chosen,
            StepKind::Thin { weigh, .. } => *weigh = *chosen,
            _ => {}
        }
    }
    procedure
}

fn within() -> impl Strategy<Value = Within> {
    prop_oneof![
        (1_i64..10).prop_map(|percent| Within::Fraction(Ratio::new(percent, 100))),
        (0_i64..30).prop_map(|tenths| Within::Mass(Mass::from_milligrams(tenths * 100))),
    ]
}

fn weighed() -> impl Strategy<Value = Draft> {
    (0_usize..3, 1_i64..20, within()).prop_map(|(key, weight, within)| Draft::Weighed {
        key,
        weight,
        within,
    })
}

fn draft() -> impl Strategy<Value = Draft> {
    prop_oneof![
        6 => weighed(),
        1 => (0_usize..3, 1_i64..6, prop::option::of(within()))
            .prop_map(|(key, weight, within)| Draft::Counted { key, weight, within }),
        1 => (1_i64..20, 1_i64..10).prop_map(|(low, more)| Draft::Range { low, more }),
        1 => Just(Draft::ByEye),
        1 => Just(Draft::Whole),
        2 => (1_i64..4, prop::option::of(4_i64..12), prop::option::weighted(0.8, 0.0..19.0))
            .prop_map(|(by, at_most, wanted_s)| Draft::Thin { by, at_most, wanted_s }),
        1 => (1_u64..60).prop_map(Draft::Stir),
        1 => (1_u64..90).prop_map(Draft::Rest),
        1 => Just(Draft::Strain),
        1 => Just(Draft::Look),
        1 => Just(Draft::Trail),
        1 => Just(Draft::Note),
    ]
}

fn size(drafts: &[Draft], jar_ul: Option<u64>, stock: Option<Mass>) -> Procedure {
    let sum = drafts
        .iter()
        .map(|draft| match draft {
            Draft::Weighed { weight, .. } | Draft::Counted { weight, .. } => *weight,
            _ => 0,
        })
        .sum::<i64>();
    let planned = Mass::from_grams(PLANNED_G);
    let share = |weight: i64| Ratio::new(weight, sum);
    let target = |weight: i64| (&share(weight) * &Ratio::from_mass(planned)).to_mass();
    let ingredient = |key: &str| Ingredient {
        key: key.to_owned(),
        name: key.to_owned(),
        origin: Origin::Name,
        density_ug_per_ml: None,
        stock: stock.filter(|_| key == "a"),
        price: None,
        cautions: Vec::new(),
        plain_water: key == "water",
    };
    let add = |key: &str, amount: Amount| {
        StepKind::Add(Addition {
            ingredient: ingredient(key),
            amount,
            weigh: Weigh::Jar,
        })
    };
    let kind = |draft: &Draft| match draft {
        Draft::Weighed {
            key,
            weight,
            within,
        } => add(
            ["a", "b", "c"][*key],
            Amount::Weighed {
                share: share(*weight),
                target: target(*weight),
                within: within.clone(),
            },
        ),
        Draft::Counted {
            key,
            weight,
            within,
        } => add(
            ["a", "b", "c"][*key],
            Amount::Counted {
                share: share(*weight),
                unit: CountUnit::Drop,
                each: Mass::from_milligrams(31),
                expected: target(*weight),
                within: within.clone(),
            },
        ),
        Draft::Range { low, more } => add(
            "extra",
            Amount::Range {
                low: Mass::from_grams(*low),
                high: Mass::from_grams(low + more),
            },
        ),
        Draft::ByEye => add("pinch", Amount::ByEye),
        Draft::Whole => add(
            "rest",
            Amount::Whole {
                vessel: "the paste cup".to_owned(),
            },
        ),
        Draft::Thin {
            by,
            at_most,
            wanted_s,
        } => StepKind::Thin {
            with: ingredient("water"),
            by: Mass::from_grams(*by),
            at_most: at_most.map(Mass::from_grams),
            wanted_s: *wanted_s,
            weigh: Weigh::Jar,
        },
        Draft::Stir(seconds) => StepKind::Stir {
            time: Duration::from_secs(*seconds),
        },
        Draft::Rest(seconds) => StepKind::Rest {
            time: Duration::from_secs(*seconds),
        },
        Draft::Strain => StepKind::Strain {
            through: "a fine sieve".to_owned(),
        },
        Draft::Look => StepKind::Look {
            expect: "no lumps".to_owned(),
        },
        Draft::Trail => StepKind::Trail {
            wanted_s: Some(3.0),
        },
        Draft::Decant(grams) => StepKind::Decant {
            amount: match grams {
                Some(grams) => Decanted::Weighed {
                    target: Mass::from_grams(*grams),
                    within: Within::Fraction(Ratio::new(2, 100)),
                },
                None => Decanted::All,
            },
            into: "squeeze bottle".to_owned(),
        },
        Draft::Note => StepKind::Note {
            text: "slowly".to_owned(),
        },
    };
    Procedure {
        jar_ul,
        ..Procedure::of_steps(
            "made up",
            planned,
            drafts
                .iter()
                .map(|draft| Step {
                    kind: kind(draft),
                    note: None,
                })
                .collect(),
        )
    }
}
