use proptest::prelude::*;

use super::*;

#[test]
fn thirds_add_up_to_exactly_one() {
    let third = Ratio::new(1, 3);
    assert_eq!(&(&third + &third) + &third, Ratio::one());
}

#[test]
fn masses_are_rounded_once_half_to_even() {
    assert_eq!(Ratio::new(5, 2).to_mass(), Mass::from_micrograms(2));
    assert_eq!(Ratio::new(7, 2).to_mass(), Mass::from_micrograms(4));
    assert_eq!(Ratio::new(-5, 2).to_mass(), Mass::from_micrograms(-2));
}

#[test]
fn a_fraction_survives_json() {
    let ratio = Ratio::new(2, 3);
    let text = serde_json::to_string(&ratio).unwrap();
    assert_eq!(text, "\"2/3\"");
    assert_eq!(serde_json::from_str::<Ratio>(&text).unwrap(), ratio);
    assert!(serde_json::from_str::<Ratio>("\"2/0\"").is_err());
}

#[test]
fn estimates_are_kept_to_a_billionth() {
    assert_eq!(Ratio::from_estimate(0.1), Some(Ratio::new(1, 10)));
    assert_eq!(Ratio::from_estimate(f64::NAN), None);
    assert_eq!(Ratio::from_estimate(f64::INFINITY), None);
}

#[test]
fn one_denominator_changes_no_value() {
    let ratios = [Ratio::new(1, 2), Ratio::new(3, 20), Ratio::new(6, 9)];
    let same = Ratio::on_one_denominator(&ratios);
    assert_eq!(same, ratios);
    let denominators = same.iter().map(|ratio| match ratio.0 {
        Form::Small { denominator, .. } => denominator,
        Form::Big(_) => 0,
    });
    assert_eq!(denominators.collect::<Vec<_>>(), [60, 60, 60]);
}

fn number() -> impl Strategy<Value = Ratio> {
    let small = (-1000_i64..1000, 1_i64..1000);
    let large = (i64::MIN..i64::MAX, 1..i64::MAX);
    prop_oneof![small, large]
        .prop_map(|(numerator, denominator)| Ratio::new(numerator, denominator))
}

proptest! {
    // Against num-rational's numbers of any size.
    #[test]
    fn small_and_large_numbers_follow_the_same_arithmetic(numbers in prop::collection::vec(number(), 1..8)) {
        let mut ours = Ratio::one();
        let mut theirs = BigRational::from_integer(BigInt::from(1));
        for (at, number) in numbers.iter().enumerate() {
            prop_assert_eq!(ours.cmp(number), theirs.cmp(&number.to_big()));
            (ours, theirs) = match at % 4 {
                0 => (&ours * number, theirs * number.to_big()),
                1 => (&ours + number, theirs + number.to_big()),
                2 => (&ours - number, theirs - number.to_big()),
                _ => match ours.checked_div(number) {
                    Some(quotient) => (quotient, theirs / number.to_big()),
                    None => (ours, theirs),
                },
            };
            prop_assert_eq!(&ours.to_big(), &theirs);
            prop_assert_eq!(ours.to_string(), format!("{}/{}", theirs.numer(), theirs.denom()));
            let (got, expect) = (ours.to_f64(), theirs.to_f64().unwrap());
            prop_assert!((got - expect).abs() <= expect.abs() * 1e-15);
        }
    }
}
