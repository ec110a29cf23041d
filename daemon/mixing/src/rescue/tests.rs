use proptest::prelude::*;

use super::*;

fn mass(text: &str) -> Mass {
    format!("{text} g").parse().unwrap()
}

/// A recipe in percent, planned 100 g, with grams in the jar and grams still open.
fn situation(rows: &[(&str, i64, &str, &str)]) -> Situation {
    let part = |&(key, percent, poured, open): &(&str, i64, &str, &str)| Part {
        key: key.to_owned(),
        name: key.to_owned(),
        share: Ratio::new(percent, 100),
        poured: mass(poured),
        open: mass(open),
        stock: None,
        density_ug_per_ml: None,
    };
    Situation {
        planned: mass("100"),
        parts: rows.iter().map(part).collect(),
        jar_ul: None,
        outside: Mass::ZERO,
        least_pour: Mass::ZERO,
    }
}

#[track_caller]
fn check(situation: &Situation, total: &str, pours: &[(&str, &str)]) {
    let option = top_up::option(situation);
    assert_eq!(option.total.grams_text(4), total);
    let got: Vec<(&str, String)> = option
        .pours
        .iter()
        .map(|pour| (pour.key.as_str(), pour.mass.grams_text(4)))
        .collect();
    let expect: Vec<(&str, String)> = pours
        .iter()
        .map(|&(key, grams)| (key, grams.to_owned()))
        .collect();
    assert_eq!(got, expect);
}

// The rows of this test were computed with scipy's HiGHS, OR-tools and exact rationals, which agree.
#[test]
fn exact_top_ups_agree_with_the_solvers() {
    check(
        &situation(&[
            ("a", 50, "54", "0"),
            ("b", 30, "0", "30"),
            ("c", 15, "0", "15"),
            ("d", 5, "0", "5"),
        ]),
        "108.0000",
        &[("b", "32.4000"), ("c", "16.2000"), ("d", "5.4000")],
    );
    check(
        &situation(&[
            ("a", 50, "50", "0"),
            ("b", 30, "37", "0"),
            ("c", 15, "0", "15"),
            ("d", 5, "0", "5"),
        ]),
        "123.3333",
        &[("a", "11.6667"), ("c", "18.5000"), ("d", "6.1667")],
    );
    check(
        &situation(&[
            ("a", 50, "50", "0"),
            ("b", 30, "30", "0"),
            ("c", 15, "15", "0"),
            ("d", 5, "7", "0"),
        ]),
        "140.0000",
        &[("a", "20.0000"), ("b", "12.0000"), ("c", "6.0000")],
    );
    let mut two = situation(&[("a", 80, "80", "0"), ("b", 20, "23", "0")]);
    check(&two, "115.0000", &[("a", "12.0000")]);
    two.jar_ul = Some(110_000);
    assert_eq!(
        top_up::option(&two).obstacle,
        Some(Obstacle::Jar {
            needs_ul: 115_000,
            holds_ul: 110_000
        })
    );
}

/// A situation in parts of any whole, with nothing planned beyond what the jar forces.
fn forced(rows: &[(&str, i64, &str)]) -> Situation {
    let sum = rows.iter().map(|row| row.1).sum();
    let part = |&(key, share, poured): &(&str, i64, &str)| Part {
        key: key.to_owned(),
        name: key.to_owned(),
        share: Ratio::new(share, sum),
        poured: mass(poured),
        open: Mass::ZERO,
        stock: None,
        density_ug_per_ml: None,
    };
    Situation {
        planned: Mass::ZERO,
        parts: rows.iter().map(part).collect(),
        ..situation(&[])
    }
}

// The project's handbook of figures, rescue arithmetic: the row of the premix poured as a whole (HiGHS, OR-tools and
// exact rationals agree).
#[test]
fn a_premix_that_is_poured_as_a_whole_is_one_ingredient() {
    check(
        &situation(&[
            ("base", 60, "60", "0"),
            ("premix", 30, "40", "0"),
            ("colour", 10, "0", "10"),
        ]),
        "133.3333",
        &[("base", "20.0000"), ("colour", "13.3333")],
    );
}

// Worked corrections published for pharmacy and casting, as collected in the project's handbook of figures:
// 480 g of 20 % to 31 % by pure drug takes 76.52 g; 30 g of 0.25 % to 0.1 % takes 45 g of base; 50 g of hardener at
// 44 to 100 serve 113.64 g of resin.
#[test]
fn exact_top_ups_agree_with_published_corrections() {
    check(
        &forced(&[("drug", 31, "96"), ("base", 69, "384")]),
        "556.5217",
        &[("drug", "76.5217")],
    );
    check(
        &forced(&[("drug", 1, "0.075"), ("base", 999, "29.925")]),
        "75.0000",
        &[("base", "45.0000")],
    );
    check(
        &forced(&[("resin", 100, "0"), ("hardener", 44, "50")]),
        "163.6364",
        &[("resin", "113.6364")],
    );
}

#[test]
fn going_on_as_planned_is_never_barred() {
    let mut situation = situation(&[("a", 50, "70", "0"), ("b", 50, "0", "50")]);
    situation.jar_ul = Some(60_000);
    let options = options(&situation);
    assert_eq!(
        options
            .iter()
            .map(|option| (option.kind, option.obstacle.is_some()))
            .collect::<Vec<_>>(),
        [(RescueKind::Accept, false), (RescueKind::TopUpExact, true)]
    );
}

#[test]
fn accepting_shows_the_shares_that_result() {
    let situation = situation(&[("a", 80, "80", "0"), ("b", 20, "23", "0")]);
    let option = accept::option(&situation);
    assert_eq!(option.total, mass("103"));
    assert_eq!(option.shares[1].result, Ratio::new(23, 103));
    assert_eq!(option.pours, []);
}

#[test]
fn what_the_shelf_lacks_is_an_obstacle_and_goes_behind() {
    let mut situation = situation(&[("a", 80, "80", "0"), ("b", 20, "23", "0")]);
    situation.parts[0].stock = Some(mass("5"));
    let options = options(&situation);
    assert_eq!(options[0].kind, RescueKind::Accept);
    assert_eq!(
        options[1].obstacle.as_ref().unwrap().to_string(),
        "this needs 12.0 g more a and the shelf has 5.0 g"
    );
}

proptest! {
    /// A top-up never takes anything out, reaches the exact shares to the microgram, and is the smallest such total.
    #[test]
    fn a_top_up_is_exact_and_least(parts in prop::collection::vec((1_i64..1_000, 0_i64..500_000_000), 2..12)) {
        let sum: i64 = parts.iter().map(|part| part.0).sum();
        let situation = Situation {
            planned: mass("100"),
            parts: parts.iter().enumerate().map(|(index, &(weight, poured))| Part {
                key: index.to_string(),
                name: index.to_string(),
                share: Ratio::new(weight, sum),
                poured: Mass::from_micrograms(poured),
                open: Mass::ZERO,
                stock: None,
                density_ug_per_ml: None,
            }).collect(),
            jar_ul: None,
            outside: Mass::ZERO,
            least_pour: Mass::ZERO,
        };
        let option = top_up::option(&situation);
        let pour = |key: &str| option.pours.iter().find(|pour| pour.key == key).map_or(Mass::ZERO, |pour| pour.mass);
        let mut tight = option.total <= situation.planned + Mass::from_micrograms(12);
        for part in &situation.parts {
            let reached = part.poured + pour(&part.key);
            let exact = &Ratio::from_mass(option.total) * &part.share;
            let off = (Ratio::from_mass(reached) - exact).to_mass().abs();
            prop_assert!(off <= Mass::from_micrograms(12), "off by {off}");
            tight |= pour(&part.key) <= Mass::from_micrograms(1) && !part.poured.is_zero();
        }
        prop_assert!(tight, "nothing in the jar forces this total");
    }
}
