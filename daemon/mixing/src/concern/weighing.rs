//! What follows from how well a scale can know what was added.

use tarehand_protocol::Mass;

use crate::ratio::Ratio;
use crate::weighing::uncertainty;

/// Returns the smallest amount a scale weighs with a relative accuracy: 0.816 d / p (USP <41> form).
///
/// `None` for an accuracy of zero or less.
#[must_use]
pub fn smallest_worth_weighing(division: Mass, accuracy: &Ratio) -> Option<Mass> {
    let accuracy = accuracy.to_f64();
    (0.0 < accuracy).then(|| Mass::from_estimated_grams(uncertainty(division).grams() / accuracy))
}

/// Returns the tolerance in force: the larger of what the recipe asks and the weighing's uncertainty.
#[must_use]
pub fn in_force(asked: Mass, division: Mass) -> Mass {
    asked.max(uncertainty(division))
}

/// A ratio of two masses with its standard uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RatioEstimate {
    /// The first mass over the second.
    pub ratio: f64,
    /// Its standard uncertainty.
    pub uncertainty: f64,
}

/// Returns the ratio of two masses weighed one after the other into the same jar.
///
/// Three readings are taken: empty, after the first, after the second. The middle one serves both
/// differences, which correlates them (JCGM 100, 5.2): with x = r₁ − r₀ and y = r₂ − r₁ the
/// sensitivities of x/y are −1/y, 1/y + x/y² and −x/y². `None` when the second mass is nothing.
#[must_use]
pub fn ratio_uncertainty(first: Mass, second: Mass, division: Mass) -> Option<RatioEstimate> {
    if second.is_zero() {
        return None;
    }
    let (x, y) = (first.grams(), second.grams());
    let (by_empty, by_last) = (1.0 / y, x / (y * y));
    let by_middle = by_empty + by_last;
    let squares = by_empty * by_empty + by_middle * by_middle + by_last * by_last;
    Some(RatioEstimate {
        ratio: x / y,
        uncertainty: division.grams() * (squares / 12.0).sqrt(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check_smallest(division_mg: i64, expect_g: f64) {
        let division = Mass::from_milligrams(division_mg);
        let smallest = smallest_worth_weighing(division, &Ratio::new(1, 100)).unwrap();
        // The published figures are rounded to two digits.
        let off = (smallest.grams() - expect_g).abs() / expect_g;
        assert!(off < 0.01, "{smallest} is not about {expect_g} g");
    }

    // USP <41> form, rounding only, two readings: 0.82·d/p.
    #[test]
    fn the_smallest_amount_worth_weighing_at_one_percent() {
        check_smallest(1_000, 82.0);
        check_smallest(100, 8.2);
        check_smallest(10, 0.82);
    }

    #[test]
    fn the_coarser_of_recipe_and_scale_is_in_force() {
        let gram = Mass::from_grams(1);
        assert_eq!(
            in_force(Mass::from_milligrams(200), gram),
            Mass::from_micrograms(816_497)
        );
        assert_eq!(in_force(Mass::from_grams(3), gram), Mass::from_grams(3));
    }

    // JCGM 100; the same figures as PyPI `uncertainties` gives for three readings of 1/√12 each.
    #[test]
    fn a_shared_reading_makes_a_ratio_less_certain() {
        let gram = Mass::from_grams;
        let estimate = ratio_uncertainty(gram(80), gram(20), gram(1)).unwrap();
        assert!((estimate.ratio - 4.0).abs() < 1e-12);
        assert!((estimate.uncertainty - 0.0935).abs() < 0.000_05);
        // What two independent differences would have given.
        assert!(0.0842 < estimate.uncertainty);
        assert_eq!(ratio_uncertainty(gram(80), Mass::ZERO, gram(1)), None);
    }
}
