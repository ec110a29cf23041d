//! Worked slips, each with figures from elsewhere.
//!
//! Those of the first tests were computed with scipy's HiGHS, OR-tools and exact rationals, which agree; the
//! worked corrections were published for pharmacy, casting and concrete.

mod any_jar;

use super::*;
use crate::procedure::{
    Addition, Amount, Ingredient, Premix, Procedure, Step, StepKind, Weigh, Within,
};
use crate::weighing::Scales;
use tarehand_protocol::Mass;

fn mass(text: &str) -> Mass {
    format!("{text} g").parse().unwrap()
}

fn add(key: &str, share: Ratio, within: Ratio, planned: Mass) -> Step {
    let target = (&share * &Ratio::from_mass(planned)).to_mass();
    Step {
        kind: StepKind::Add(Addition {
            ingredient: Ingredient::by_name(key),
            amount: Amount::Weighed {
                share,
                target,
                within: Within::Fraction(within),
            },
            weigh: Weigh::Jar,
        }),
        note: None,
    }
}

/// A recipe of parts, planned 100 g: name, parts, tolerance in percent.
fn recipe(rows: &[(&str, i64, i64)]) -> Procedure {
    let sum: i64 = rows.iter().map(|row| row.1).sum();
    let planned = mass("100");
    let step = |&(key, parts, percent): &(&str, i64, i64)| {
        add(
            key,
            Ratio::new(parts, sum),
            Ratio::new(percent, 100),
            planned,
        )
    };
    Procedure::of_steps("Test", planned, rows.iter().map(step).collect())
}

fn four(bands: [i64; 4]) -> Procedure {
    let [a, b, c, d] = bands;
    recipe(&[("a", 50, a), ("b", 30, b), ("c", 15, c), ("d", 5, d)])
}

/// Base .60, a premix of four parts varnish and one part water .30, colour .10.
fn nested() -> Procedure {
    let part = |key: &str, fifths| (Ingredient::by_name(key), Ratio::new(fifths, 5));
    Procedure {
        premixes: vec![Premix {
            key: "premix".to_owned(),
            parts: vec![part("varnish", 4), part("water", 1)],
        }],
        ..recipe(&[("base", 60, 0), ("premix", 30, 0), ("colour", 10, 0)])
    }
}

fn jar(procedure: &Procedure, poured: &[(&str, &str)]) -> Situation {
    let told = Told {
        poured: poured
            .iter()
            .map(|(key, grams)| ((*key).to_owned(), Some(mass(grams))))
            .collect(),
        ..Told::default()
    };
    fill(procedure, &told).unwrap().situation
}

fn way(situation: &Situation, kind: RescueKind) -> Way {
    let all = ways(situation).ways;
    all.into_iter().find(|way| way.kind == kind).unwrap()
}

#[track_caller]
fn check(situation: &Situation, kind: RescueKind, total: &str, pours: &[(&str, &str)]) {
    let way = way(situation, kind);
    assert_eq!(way.obstacle, None);
    assert_eq!(way.total.to_mass().grams_text(4), total);
    let got: Vec<(&str, String)> = way
        .pours
        .iter()
        .map(|(at, mass)| {
            (
                situation.sources[*at].key.as_str(),
                mass.to_mass().grams_text(4),
            )
        })
        .collect();
    let expect: Vec<(&str, String)> = pours
        .iter()
        .map(|&(key, grams)| (key, grams.to_owned()))
        .collect();
    assert_eq!(got, expect);
}

#[test]
fn exact_top_ups_agree_with_the_solvers() {
    let exact = RescueKind::TopUpExact;
    check(
        &jar(&four([0; 4]), &[("a", "54")]),
        exact,
        "108.0000",
        &[("b", "32.4000"), ("c", "16.2000"), ("d", "5.4000")],
    );
    check(
        &jar(&four([0; 4]), &[("a", "50"), ("b", "37")]),
        exact,
        "123.3333",
        &[("a", "11.6667"), ("c", "18.5000"), ("d", "6.1667")],
    );
    check(
        &jar(
            &four([0; 4]),
            &[("a", "50"), ("b", "30"), ("c", "15"), ("d", "7")],
        ),
        exact,
        "140.0000",
        &[("a", "20.0000"), ("b", "12.0000"), ("c", "6.0000")],
    );
    let two = recipe(&[("a", 80, 0), ("b", 20, 0)]);
    check(
        &jar(&two, &[("a", "80"), ("b", "23")]),
        exact,
        "115.0000",
        &[("a", "12.0000")],
    );
}

#[test]
fn tolerances_make_the_top_up_smaller() {
    let situation = jar(
        &four([2, 2, 2, 10]),
        &[("a", "50"), ("b", "30"), ("c", "15"), ("d", "7")],
    );
    let least = way(&situation, RescueKind::TopUpLeast);
    assert_eq!(least.total.to_mass().grams_text(4), "127.2727");
    assert!(least.is_within(&situation));
}

#[test]
fn what_is_within_its_tolerance_needs_nothing() {
    let situation = jar(
        &four([2, 2, 2, 10]),
        &[("a", "50"), ("b", "30"), ("c", "15"), ("d", "5.3")],
    );
    check(&situation, RescueKind::TopUpLeast, "100.3000", &[]);
    let found = ways(&situation);
    assert_eq!(found.ways[0].kind, RescueKind::Accept);
    assert_eq!(found.reason, Some(Reason::WithinTolerance));
}

#[test]
fn a_full_jar_gives_some_of_its_mix_away() {
    let mut situation = jar(
        &four([0; 4]),
        &[("a", "50"), ("b", "30"), ("c", "15"), ("d", "7")],
    );
    situation.room = Some(Room::Mass(mass("120")));
    let exact = way(&situation, RescueKind::TopUpExact);
    assert_eq!(
        exact.obstacle.unwrap().to_string(),
        "the jar holds 120.0 g and this comes to 140.0 g"
    );
    let out = way(&situation, RescueKind::TakeOut);
    assert_eq!(out.take_out.to_mass().grams_text(4), "14.5714");
    check(
        &situation,
        RescueKind::TakeOut,
        "120.0000",
        &[("a", "17.1429"), ("b", "10.2857"), ("c", "5.1429")],
    );
    assert_eq!(ways(&situation).ways[0].kind, RescueKind::TakeOut);
}

#[test]
fn premixes_are_poured_as_wholes_where_they_fit() {
    let exact = RescueKind::TopUpExact;
    check(
        &jar(&nested(), &[("base", "60"), ("premix", "40")]),
        exact,
        "133.3333",
        &[("base", "20.0000"), ("colour", "13.3333")],
    );
    check(
        &jar(&nested(), &[("base", "60")]),
        exact,
        "100.0000",
        &[("premix", "30.0000"), ("colour", "10.0000")],
    );
}

#[test]
fn a_raw_ingredient_poured_alone_is_met_by_the_others_alone_and_not_recommended() {
    let situation = jar(&nested(), &[("base", "60"), ("water", "20")]);
    check(
        &situation,
        RescueKind::TopUpExact,
        "333.3333",
        &[
            ("base", "140.0000"),
            ("colour", "33.3333"),
            ("varnish", "80.0000"),
        ],
    );
    assert_eq!(ways(&situation).ways[0].kind, RescueKind::TakeOut);
}

// 480 g of 20 % to 31 % by pure drug takes 76.52 g; 30 g of 0.25 % to 0.1 % takes 45 g of base.
#[test]
fn exact_top_ups_agree_with_published_corrections() {
    let mut drug = jar(
        &recipe(&[("drug", 31, 0), ("base", 69, 0)]),
        &[("drug", "96"), ("base", "384")],
    );
    drug.planned = Mass::ZERO;
    check(
        &drug,
        RescueKind::TopUpExact,
        "556.5217",
        &[("drug", "76.5217")],
    );
    let mut drug = jar(
        &recipe(&[("drug", 1, 0), ("base", 999, 0)]),
        &[("drug", "0.075"), ("base", "29.925")],
    );
    drug.planned = Mass::ZERO;
    check(
        &drug,
        RescueKind::TopUpExact,
        "75.0000",
        &[("base", "45.0000")],
    );
}

// The premix-water problem of concrete: 38.6 gal wanted, 12 are in the wet aggregate, 26.6 are still to come
// (army engineer manual EN5466).
#[test]
fn water_that_came_with_something_else_is_counted() {
    let mut procedure = recipe(&[("cement", 614, 0), ("water", 386, 0)]);
    procedure.planned = mass("100");
    let situation = jar(&procedure, &[("water", "12")]);
    check(
        &situation,
        RescueKind::TopUpExact,
        "100.0000",
        &[("cement", "61.4000"), ("water", "26.6000")],
    );
}

// Resin to hardener 100 to 44, 144 g of resin make 207.36 g; with only 50 g of hardener the ratio becomes 0.3472, and
// 50 g would have served 113.64 g of resin.
#[test]
fn a_bottle_that_is_empty_makes_less_or_is_told_with_its_ratio() {
    let mut procedure = recipe(&[("resin", 100, 0), ("hardener", 44, 0)]);
    procedure.planned = mass("207.36");
    let mut situation = jar(&procedure, &[("resin", "144")]);
    situation.sources[1].stock = Some(mass("50"));
    let less = way(&situation, RescueKind::MakeLess);
    assert_eq!(
        less.obstacle.unwrap().to_string(),
        "the hardener there is serves 163.6 g, and the resin in the jar makes 207.4 g"
    );
    let accept = way(&situation, RescueKind::Accept);
    let [resin, hardener] = accept.content.as_slice() else {
        panic!("two ingredients")
    };
    assert_eq!(
        format!("{:.4}", hardener.to_f64() / resin.to_f64()),
        "0.3472"
    );
    let mut early = situation.clone();
    early.components[0].in_jar = Ratio::from_mass(mass("100"));
    check(
        &early,
        RescueKind::MakeLess,
        "163.6364",
        &[("resin", "13.6364"), ("hardener", "50.0000")],
    );
}

#[test]
fn less_than_the_scale_can_tell_is_no_overshoot() {
    let on = |division: &str| {
        let told = Told {
            poured: vec![("a".to_owned(), Some(mass("50.7")))],
            division: Some(mass(division)),
            ..Told::default()
        };
        ways(&fill(&four([0; 4]), &told).unwrap().situation)
    };
    let coarse = on("1");
    assert_eq!(coarse.ways[0].kind, RescueKind::Accept);
    assert_eq!(coarse.reason, Some(Reason::BelowUncertainty));
    assert_eq!(on("0.1").ways[0].kind, RescueKind::TopUpExact);
}

#[test]
fn what_the_scale_cannot_show_is_rounded_and_the_true_shares_are_told() {
    let mut situation = jar(&four([0; 4]), &[("a", "50"), ("b", "37")]);
    situation.scales = Scales::alone(Some(mass("1")));
    let told = way(&situation, RescueKind::TopUpExact).told(&situation);
    let pours: Vec<String> = told
        .pours
        .iter()
        .map(|pour| pour.mass.grams_text(1))
        .collect();
    // 18.5 is rounded half to even.
    assert_eq!(pours, ["12.0", "18.0", "6.0"]);
    assert_eq!(told.total, mass("123"));
    assert_eq!(told.shares[0].result, Ratio::new(62, 123));
}

#[test]
fn one_amount_that_nobody_knows_follows_from_the_whole() {
    let told = |poured: &[(&str, Option<&str>)], in_jar: Option<&str>| Told {
        poured: poured
            .iter()
            .map(|(key, grams)| ((*key).to_owned(), grams.map(mass)))
            .collect(),
        in_jar: in_jar.map(mass),
        ..Told::default()
    };
    let filled = fill(
        &four([0; 4]),
        &told(&[("a", Some("50")), ("b", None)], Some("83")),
    )
    .unwrap();
    assert_eq!(filled.poured, [(0, mass("50")), (1, mass("33"))]);
    let refused = |told: &Told| fill(&four([0; 4]), told).unwrap_err().to_string();
    assert_eq!(
        refused(&told(&[("a", None), ("b", None)], Some("83"))),
        "the amounts of `a` and `b` are both unknown: only one can be worked out"
    );
    assert_eq!(
        refused(&told(&[("a", None)], None)),
        "the amount of `a` is unknown, and so is what all of it weighs"
    );
    assert_eq!(
        refused(&told(&[("a", Some("50")), ("b", None)], Some("40"))),
        "all of it is said to weigh 40 g, but what is known of it comes to 50 g"
    );
}

#[test]
fn what_was_taken_out_left_every_ingredient_the_same_part() {
    let told = Told {
        poured: vec![
            ("a".to_owned(), Some(mass("50"))),
            ("b".to_owned(), Some(mass("30"))),
        ],
        taken_out: mass("8"),
        ..Told::default()
    };
    let situation = fill(&four([0; 4]), &told).unwrap().situation;
    let left: Vec<Mass> = situation
        .components
        .iter()
        .map(|one| one.in_jar.to_mass())
        .collect();
    assert_eq!(left[..2], [mass("45"), mass("27")]);
}
