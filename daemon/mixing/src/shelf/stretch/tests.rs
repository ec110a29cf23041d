use std::collections::BTreeMap;

use proptest::prelude::*;

use super::*;
use crate::shelf::Known;
use crate::shelf::pack::known_since;
use crate::shelf::stock::{Left, Origin, left};

fn moment(minute: u32) -> Moment {
    format!("2026-11-02T{:02}:{:02}:00Z", minute / 60, minute % 60)
        .parse()
        .unwrap()
}

fn pack(place: usize, grams: i64, weighed: Option<u32>) -> Pack {
    Pack {
        holds: Mass::from_grams(grams),
        known: weighed.map(|minute| Known {
            left: Mass::from_grams(grams),
            weighed: moment(minute),
        }),
        empty: None,
        lot: Some(format!("lot {place}")),
        opened: format!("2026-10-{:02}", place + 1).parse().ok(),
        best_before: None,
        price: None,
    }
}

/// A batch's draws: minute and grams, below zero where they were taken back.
type Draws = Vec<(String, Vec<(u32, i64)>)>;

fn draws_of(batches: &Draws) -> Vec<Draw> {
    let draws = batches.iter().flat_map(|(batch, draws)| {
        draws.iter().map(|&(minute, grams)| Draw {
            at: moment(minute),
            batch: batch.clone(),
            mass: Mass::from_grams(grams),
        })
    });
    draws.collect()
}

fn stretches_of(batches: &Draws) -> Vec<Stretch> {
    let stretch = |(batch, draws): &(String, Vec<(u32, i64)>)| {
        let grams = |wanted: fn(i64) -> i64| {
            let grams = draws.iter().map(|&(_, grams)| wanted(grams));
            Mass::from_grams(grams.sum())
        };
        Some(Stretch {
            batch: batch.clone(),
            first: moment(draws.iter().map(|&(minute, _)| minute).min()?),
            last: moment(draws.iter().map(|&(minute, _)| minute).max()?),
            out: grams(|grams| grams.max(0)),
            back: grams(|grams| (-grams).max(0)),
        })
    };
    batches.iter().filter_map(stretch).collect()
}

/// What is left, and how much of each batch came from where.
fn told(left: &Left) -> (Vec<Mass>, Mass, BTreeMap<(String, String), Mass>) {
    let mut by_origin = BTreeMap::new();
    for taken in &left.taken {
        if taken.mass.is_zero() || taken.origin == Origin::Weighed {
            continue;
        }
        let from = (taken.batch.clone(), format!("{:?}", taken.origin));
        *by_origin.entry(from).or_insert(Mass::ZERO) += taken.mass;
    }
    (left.packs.clone(), left.beyond, by_origin)
}

fn read_shortened(packs: &[Pack], batches: &Draws) -> (Shortened, Vec<Draw>) {
    let found = shortened(packs, stretches_of(batches));
    let mut draws = found.whole.clone();
    let singly = draws_of(batches);
    draws.extend(
        singly
            .into_iter()
            .filter(|draw| found.singly.contains(&draw.batch)),
    );
    (found, draws)
}

#[test]
fn batches_one_after_another_are_one_draw_each_and_those_that_overlap_are_read_singly() {
    let packs = [pack(0, 100, None)];
    let batches = vec![
        ("A".to_owned(), vec![(1, 10), (4, 20)]),
        ("B".to_owned(), vec![(5, 10), (9, 10)]),
        ("C".to_owned(), vec![(7, 10)]),
        ("D".to_owned(), vec![(20, 5), (21, -5)]),
        ("E".to_owned(), vec![(30, 5)]),
    ];
    let (found, _) = read_shortened(&packs, &batches);
    let whole: Vec<&str> = found.whole.iter().map(|draw| &*draw.batch).collect();
    assert_eq!(whole, ["A", "E"]);
    assert_eq!(found.singly, ["B", "C", "D"]);
    assert_eq!(found.whole[0].mass, Mass::from_grams(30));
}

#[test]
fn a_pack_that_was_weighed_meanwhile_parts_a_batch() {
    let batches = vec![("A".to_owned(), vec![(1, 10), (4, 20)])];
    let weighed = |minute| read_shortened(&[pack(0, 100, Some(minute))], &batches).0;
    assert_eq!(weighed(1).singly, [""; 0]);
    assert_eq!(weighed(2).singly, ["A"]);
    assert_eq!(weighed(4).singly, ["A"]);
    assert_eq!(weighed(5).singly, [""; 0]);
}

fn packs() -> impl Strategy<Value = Vec<Pack>> {
    let one = (0_i64..200, prop::option::of(0_u32..120));
    prop::collection::vec(one, 1..5).prop_map(|packs| {
        let packs = packs.into_iter().enumerate();
        packs
            .map(|(place, (grams, weighed))| pack(place, grams, weighed))
            .collect()
    })
}

fn batches() -> impl Strategy<Value = Draws> {
    let one = (
        0_u32..110,
        prop::collection::vec((0_u32..6, -10_i64..60), 1..5),
    );
    prop::collection::vec(one, 1..8).prop_map(|batches| {
        let batches = batches.into_iter().enumerate();
        let batch = |(number, (begun, draws)): (usize, (u32, Vec<(u32, i64)>))| {
            let mut minute = begun;
            let draws = draws.into_iter().map(|(later, grams)| {
                minute += later;
                (minute, grams)
            });
            (format!("batch {number}"), draws.collect())
        };
        batches.map(batch).collect()
    })
}

proptest! {
    #[test]
    fn shortened_or_not_the_packs_come_to_the_same(packs in packs(), batches in batches()) {
        let (_, draws) = read_shortened(&packs, &batches);
        prop_assert_eq!(told(&left(&packs, &draws)), told(&left(&packs, &draws_of(&batches))));
    }

    #[test]
    fn what_was_drawn_before_the_packs_were_known_changes_nothing(packs in packs(), batches in batches()) {
        let Some(since) = known_since(&packs) else { return Ok(()) };
        let all = draws_of(&batches);
        let later: Vec<Draw> = all.iter().filter(|draw| since <= draw.at).cloned().collect();
        prop_assert_eq!(told(&left(&packs, &later)), told(&left(&packs, &all)));
    }

    #[test]
    fn what_others_drew_after_a_batchs_last_draw_is_nothing_to_it(packs in packs(), batches in batches()) {
        let all = draws_of(&batches);
        let last = all.iter().filter(|draw| draw.batch == "batch 0").map(|draw| draw.at.clone()).max();
        let until: Vec<Draw> = all.iter().filter(|draw| Some(&draw.at) <= last.as_ref()).cloned().collect();
        let own = |draws: &[Draw]| {
            let mut of_all = told(&left(&packs, draws)).2;
            of_all.retain(|(batch, _), _| batch == "batch 0");
            of_all
        };
        prop_assert_eq!(own(&until), own(&all));
    }
}
