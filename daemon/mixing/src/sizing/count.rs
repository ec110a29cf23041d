//! Counts as a person says them.

use tarehand_protocol::Mass;

use crate::procedure::CountUnit;
use crate::ratio::Ratio;

/// Writes how many of a unit come nearest to a mass: `6 drops`, `1.5 tsp`, `about 7 drops`.
///
/// Drops are whole, spoons go by quarters; `about` says that the count is not exact, and less than
/// half of the smallest step is `less than 1 drop`.
#[must_use]
pub fn count_text(expected: Mass, unit: CountUnit, each: Mass) -> String {
    let (steps_each, one, more) = match unit {
        CountUnit::Drop => (1, "drop", "drops"),
        CountUnit::Teaspoon => (4, "tsp", "tsp"),
        CountUnit::Tablespoon => (4, "tbsp", "tbsp"),
    };
    let Some(count) = Ratio::from_mass(expected).checked_div(&Ratio::from_mass(each)) else {
        return format!("some {more}");
    };
    let steps = &count * &Ratio::new(steps_each, 1);
    let whole = steps.to_mass().micrograms();
    if whole <= 0 {
        let least = if steps_each == 1 { "1" } else { "0.25" };
        return format!("less than {least} {one}");
    }
    // The masses were rounded to whole micrograms, so a count is exact up to a thousandth.
    let off = &steps - &Ratio::new(whole, 1);
    let thousandth = Ratio::new(1, 1_000);
    let exact = off <= thousandth && &Ratio::zero() - &thousandth <= off;
    let about = if exact { "" } else { "about " };
    let number = quarters(whole * 4 / steps_each);
    let word = if whole == steps_each { one } else { more };
    format!("{about}{number} {word}")
}

fn quarters(quarters: i64) -> String {
    let part = match quarters % 4 {
        0 => "",
        1 => ".25",
        2 => ".5",
        _ => ".75",
    };
    format!("{}{part}", quarters / 4)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(expected_mg: i64, unit: CountUnit, each_mg: i64, expect: &str) {
        let mass = Mass::from_milligrams;
        assert_eq!(count_text(mass(expected_mg), unit, mass(each_mg)), expect);
    }

    #[test]
    fn drops_are_whole_and_spoons_go_by_quarters() {
        check(186, CountUnit::Drop, 31, "6 drops");
        check(31, CountUnit::Drop, 31, "1 drop");
        check(6_150, CountUnit::Teaspoon, 4_100, "1.5 tsp");
        check(3_075, CountUnit::Tablespoon, 12_300, "0.25 tbsp");
    }

    #[test]
    fn a_count_that_does_not_come_out_even_says_about() {
        check(210, CountUnit::Drop, 31, "about 7 drops");
        check(4_300, CountUnit::Teaspoon, 4_100, "about 1 tsp");
        check(10, CountUnit::Drop, 31, "less than 1 drop");
        check(100, CountUnit::Teaspoon, 4_100, "less than 0.25 tsp");
    }
}
