use proptest::prelude::*;

use super::*;
use crate::shelf::Known;

fn moment(hour: u32) -> Moment {
    format!("2026-11-02T{hour:02}:00:00Z").parse().unwrap()
}

fn pack(lot: &str, grams: i64, opened: &str, weighed: Option<u32>) -> Pack {
    Pack {
        holds: Mass::from_grams(1_000),
        known: weighed.map(|hour| Known {
            left: Mass::from_grams(grams),
            weighed: moment(hour),
        }),
        empty: None,
        lot: Some(lot.to_owned()),
        opened: opened.parse().ok(),
        best_before: None,
        price: None,
    }
}

fn draw(hour: u32, batch: &str, grams: i64) -> Draw {
    Draw {
        at: moment(hour),
        batch: batch.to_owned(),
        mass: Mass::from_grams(grams),
    }
}

#[track_caller]
fn check(packs: &[Pack], drawn: &[Draw], expect: &[i64], beyond: i64) {
    let left = left(packs, drawn);
    let grams: Vec<i64> = left
        .packs
        .iter()
        .map(|mass| mass.micrograms() / 1_000_000)
        .collect();
    assert_eq!(grams, expect);
    assert_eq!(left.beyond, Mass::from_grams(beyond));
}

#[test]
fn the_oldest_pack_is_emptied_first_whatever_the_order_in_the_file() {
    let packs = [
        pack("unopened", 500, "", Some(1)),
        pack("young", 500, "2026-10-09", Some(1)),
        pack("old", 40, "2026-10-02", Some(1)),
    ];
    check(&packs, &[draw(2, "A", 30)], &[500, 500, 10], 0);
    check(&packs, &[draw(2, "A", 100)], &[500, 440, 0], 0);
    check(&packs, &[draw(2, "A", 600)], &[440, 0, 0], 0);
}

#[test]
fn more_than_there_was_is_said_and_never_below_zero() {
    let packs = [pack("one", 40, "2026-10-02", Some(1))];
    check(&packs, &[draw(2, "A", 30), draw(3, "B", 30)], &[0], 20);
}

#[test]
fn what_was_poured_before_the_pack_was_weighed_is_in_its_weight_already() {
    let packs = [pack("one", 400, "2026-10-02", Some(5))];
    check(&packs, &[draw(4, "A", 100), draw(6, "B", 30)], &[370], 0);
    // Never weighed: all that was poured since it was opened.
    check(
        &[pack("one", 0, "2026-11-02", None)],
        &[draw(4, "A", 100)],
        &[900],
        0,
    );
    check(
        &[pack("one", 0, "2026-11-03", None)],
        &[draw(4, "A", 100)],
        &[1_000],
        0,
    );
}

#[test]
fn a_draw_from_the_old_pack_before_its_weighing_is_not_taken_from_the_new_one() {
    let old = pack("old", 300, "2026-10-02", Some(5));
    let new = pack("new", 500, "2026-10-20", Some(1));
    check(&[old, new.clone()], &[draw(3, "A", 100)], &[300, 500], 0);
    // The old one was found empty: the rest came out of the new one, or nothing may be missed.
    let empty = pack("old", 0, "2026-10-02", Some(5));
    check(&[empty, new], &[draw(3, "A", 100)], &[0, 400], 0);
}

#[test]
fn what_is_taken_back_goes_back_where_that_batch_took_it() {
    let packs = [
        pack("old", 40, "2026-10-02", Some(1)),
        pack("young", 500, "2026-10-09", Some(1)),
    ];
    let drawn = [draw(2, "A", 60), draw(3, "B", 30), draw(4, "A", -60)];
    check(&packs, &drawn, &[40, 470], 0);
    let beyond = [draw(2, "A", 700), draw(3, "A", -200)];
    check(&packs, &beyond, &[0, 40], 0);
    // Taken back after a weighing that saw it: the scale knows better.
    let weighed = [pack("one", 400, "2026-10-02", Some(5))];
    check(
        &weighed,
        &[draw(4, "A", 100), draw(6, "A", -100)],
        &[400],
        0,
    );
}

fn packs() -> impl Strategy<Value = Vec<Pack>> {
    let one = (
        0_i64..800,
        1_u32..28,
        any::<bool>(),
        prop::option::of(0_u32..12),
    );
    let one = one.prop_map(|(grams, day, opened, weighed)| {
        let date = if opened {
            format!("2026-10-{day:02}")
        } else {
            String::new()
        };
        pack("lot", grams, &date, weighed)
    });
    prop::collection::vec(one, 1..5)
}

fn draws() -> impl Strategy<Value = Vec<Draw>> {
    let one = (
        0_u32..24,
        prop::sample::select(vec!["A", "B"]),
        -200_i64..400,
    );
    let one = one.prop_map(|(hour, batch, grams)| draw(hour, batch, grams));
    prop::collection::vec(one, 0..12)
}

#[test]
fn each_draw_says_out_of_which_pack_it_came_and_what_was_taken_back_is_taken_off() {
    let packs = [
        pack("old", 100, "2026-10-02", Some(1)),
        pack("young", 500, "2026-10-09", Some(1)),
    ];
    let drawn = [draw(2, "A", 70), draw(3, "B", 60), draw(4, "B", -10)];
    let taken: Vec<(String, Origin, i64)> = left(&packs, &drawn)
        .taken
        .into_iter()
        .filter(|taken| !taken.mass.is_zero())
        .map(|taken| {
            (
                taken.batch,
                taken.origin,
                taken.mass.micrograms() / 1_000_000,
            )
        })
        .collect();
    let line = |batch: &str, place, grams| (batch.to_owned(), Origin::Pack(place), grams);
    assert_eq!(
        taken,
        [line("A", 0, 70), line("B", 0, 30), line("B", 1, 20)]
    );
}

#[test]
fn packs_that_are_used_up_cost_nothing_however_many_draws_pass_them() {
    let packs: Vec<Pack> = (0..100)
        .map(|_| pack("tiny", 1, "2026-10-02", Some(1)))
        .collect();
    let drawn: Vec<Draw> = (0..1_000).map(|_| draw(2, "A", 1)).collect();
    let left = left(&packs, &drawn);
    assert_eq!(left.taken.len(), 1_000);
    assert_eq!(
        (left.total(), left.beyond),
        (Mass::ZERO, Mass::from_grams(900))
    );
}

proptest! {
    #[test]
    fn no_pack_goes_below_zero_or_above_what_it_held(packs in packs(), draws in draws()) {
        let left = left(&packs, &draws);
        prop_assert!(Mass::ZERO <= left.beyond);
        for (left, pack) in left.packs.iter().zip(&packs) {
            prop_assert!(Mass::ZERO <= *left && *left <= pack.last_known());
        }
    }

    #[test]
    fn packs_and_what_was_drawn_since_balance(
        packs in packs(),
        draws in prop::collection::vec((12_u32..24, 1_i64..400), 0..12),
    ) {
        let draws: Vec<Draw> = draws.into_iter().map(|(hour, grams)| draw(hour, "A", grams)).collect();
        let left = left(&packs, &draws);
        let drawn: Mass = draws.iter().map(|draw| draw.mass).sum();
        let held: Mass = packs.iter().map(Pack::last_known).sum();
        prop_assert_eq!(left.total() - left.beyond, held - drawn);
    }

    #[test]
    fn taking_everything_back_leaves_what_there_was(packs in packs(), draws in draws()) {
        let mut draws: Vec<Draw> = draws.into_iter().filter(|draw| Mass::ZERO < draw.mass).collect();
        let back: Vec<Draw> = draws.iter().map(|taken| Draw {
            at: "2026-11-03T00:00:00Z".parse().unwrap(),
            batch: taken.batch.clone(),
            mass: Mass::ZERO - taken.mass,
        }).collect();
        draws.extend(back);
        let left = left(&packs, &draws);
        let held: Vec<Mass> = packs.iter().map(Pack::last_known).collect();
        prop_assert_eq!((left.packs, left.beyond), (held, Mass::ZERO));
    }
}
