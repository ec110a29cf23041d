use proptest::prelude::*;

use super::*;

fn grams(grams: i64) -> LineAmount {
    LineAmount::Fixed(Ratio::from_mass(Mass::from_grams(grams)))
}

fn of_total(hundredths: i64) -> LineAmount {
    LineAmount::OfTotal(Ratio::new(hundredths, 100))
}

fn of(hundredths: i64, name: &str) -> LineAmount {
    LineAmount::Of {
        fraction: Ratio::new(hundredths, 100),
        name: name.to_owned(),
    }
}

fn parts(parts: i64) -> LineAmount {
    LineAmount::Parts(Ratio::new(parts, 1))
}

/// Lines are named a, b, c … in their order.
fn solved(amounts: Vec<LineAmount>, makes: Option<i64>) -> Result<Shares, SharesError> {
    let names = ('a'..='z').map(String::from);
    let lines: Vec<Line> = names
        .zip(amounts)
        .map(|(name, amount)| Line { name, amount })
        .collect();
    let makes = makes.map(|makes| Ratio::from_mass(Mass::from_grams(makes)));
    solve(&lines, makes.as_ref())
}

#[track_caller]
fn check(amounts: Vec<LineAmount>, makes: Option<i64>, expect: &[(i64, i64)]) -> Option<Remark> {
    let shares = solved(amounts, makes).unwrap();
    let expect: Vec<Ratio> = expect
        .iter()
        .map(|&(over, under)| Ratio::new(over, under))
        .collect();
    assert_eq!(shares.shares, expect);
    shares.remark
}

#[track_caller]
fn refuse(amounts: Vec<LineAmount>, makes: Option<i64>, expect: &str) {
    let error = solved(amounts, makes).unwrap_err();
    assert_eq!(error.to_string(), expect);
}

#[test]
fn weights_come_first_then_percentages_then_parts_of_what_is_left() {
    // 200 g: 20 g, a tenth is 20 g, 5 % of the first is 1 g; 159 g are left for 2 : 1.
    let remark = check(
        vec![grams(20), of_total(10), of(5, "a"), parts(2), parts(1)],
        Some(200),
        &[(1, 10), (1, 10), (1, 200), (53, 100), (53, 200)],
    );
    assert_eq!(remark, None);
}

#[test]
fn a_percentage_of_something_given_in_parts_is_solved_together() {
    // p + 10 % of p = 110 g.
    check(vec![parts(1), of(10, "a")], Some(110), &[(10, 11), (1, 11)]);
}

#[test]
fn without_a_total_the_weights_are_their_own_total() {
    let shares = solved(vec![grams(30), of_total(25), of(50, "b")], None).unwrap();
    // 37.5 % are shares, so 30 g are 62.5 %.
    assert_eq!(shares.base, Some(Ratio::from_mass(Mass::from_grams(48))));
    assert_eq!(shares.shares[0], Ratio::new(5, 8));
}

#[test]
fn only_parts_or_only_percent_are_normalised_and_said() {
    let remark = check(vec![parts(4), parts(1)], None, &[(4, 5), (1, 5)]);
    assert_eq!(remark, Some(Remark::OnlyShares));
    let sum = Ratio::new(90, 100);
    let remark = check(vec![of_total(60), of_total(30)], None, &[(2, 3), (1, 3)]);
    assert_eq!(remark, Some(Remark::PercentNotWhole { sum: sum.clone() }));
    let remark = check(
        vec![of_total(60), of_total(30)],
        Some(50),
        &[(2, 3), (1, 3)],
    );
    assert_eq!(remark, Some(Remark::PercentNotWhole { sum }));
}

#[test]
fn percent_and_parts_alone_need_no_total() {
    let remark = check(
        vec![of_total(40), parts(2), parts(1)],
        None,
        &[(2, 5), (2, 5), (1, 5)],
    );
    assert_eq!(remark, Some(Remark::OnlyShares));
}

#[test]
fn weights_that_miss_the_total_keep_their_ratio_and_are_said() {
    let remark = check(vec![grams(60), grams(30)], Some(100), &[(2, 3), (1, 3)]);
    let sum = Ratio::from_mass(Mass::from_grams(90));
    assert_eq!(remark, Some(Remark::WeightsNotMakes { sum }));
}

#[test]
fn amounts_that_make_no_recipe_are_refused() {
    refuse(
        vec![grams(120), parts(1)],
        Some(100),
        "the amounts come to 120 g of the 100 g it makes, and leave nothing for the parts",
    );
    refuse(
        vec![grams(50), of_total(40)],
        Some(100),
        "the amounts come to 90 g but the recipe makes 100 g",
    );
    refuse(
        vec![of_total(110), parts(1)],
        None,
        "the percentages come to 110 %, which leaves no room for the rest",
    );
    refuse(
        vec![grams(1), of_total(100)],
        None,
        "the percentages come to 100 %, which leaves no room for the rest",
    );
    refuse(
        vec![grams(50), parts(1)],
        None,
        "parts share what is left, but the recipe does not say of how much",
    );
    refuse(
        vec![grams(50), of(5, "z")],
        None,
        "`z` is not added in this recipe by weight or share",
    );
    refuse(
        vec![grams(9), of(5, "c"), of(5, "b")],
        None,
        "`b` is given as a share of itself",
    );
    refuse(
        vec![grams(9), of(5, "b")],
        None,
        "`b` is given as a share of itself",
    );
}

#[test]
fn a_long_chain_of_references_is_followed_to_its_end() {
    let lines: Vec<Line> = (0..400)
        .map(|index| Line {
            name: index.to_string(),
            amount: match index {
                399 => grams(1),
                _ => LineAmount::Of {
                    fraction: Ratio::one(),
                    name: (index + 1).to_string(),
                },
            },
        })
        .collect();
    let shares = solve(&lines, None).unwrap();
    assert!(
        shares
            .shares
            .iter()
            .all(|share| *share == Ratio::new(1, 400))
    );
}

fn any_amount() -> impl Strategy<Value = LineAmount> {
    prop_oneof![
        (1..50_000_000_i64).prop_map(|micrograms| LineAmount::Fixed(Ratio::new(micrograms, 1))),
        (1..3_000_i64).prop_map(|share| LineAmount::OfTotal(Ratio::new(share, 10_000))),
        (1..20_000_i64, "[a-h]").prop_map(|(share, name)| LineAmount::Of {
            fraction: Ratio::new(share, 10_000),
            name,
        }),
        (1..9_000_i64).prop_map(|parts| LineAmount::Parts(Ratio::new(parts, 1_000))),
    ]
}

proptest! {
    #[test]
    fn shares_sum_to_exactly_one_and_each_is_above_zero(
        amounts in prop::collection::vec(any_amount(), 1..8),
        makes in prop::option::of(1..1_000_i64),
    ) {
        if let Ok(solved) = solved(amounts, makes) {
            prop_assert!(solved.shares.iter().all(|share| Ratio::zero() < *share));
            prop_assert_eq!(solved.shares.into_iter().sum::<Ratio>(), Ratio::one());
        }
    }
}
