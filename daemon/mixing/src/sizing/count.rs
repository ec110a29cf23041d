//! Counts as a person says them.

use std::fmt;

use serde::{Serialize, Serializer};
use tarehand_protocol::Mass;

use crate::procedure::CountUnit;
use crate::ratio::Ratio;

/// How many of a unit come nearest to a mass: whole drops, quarters of spoons.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Count {
    unit: CountUnit,
    quarters: i64,
    is_exact: bool,
}

impl Count {
    /// Returns the count nearest to a mass; `None` when one of the unit weighs nothing.
    #[must_use]
    pub fn nearest(expected: Mass, unit: CountUnit, each: Mass) -> Option<Self> {
        let count = Ratio::from_mass(expected).checked_div(&Ratio::from_mass(each))?;
        let steps = &count * &Ratio::new(4 / quarters_of_step(unit), 1);
        let whole = steps.to_mass().micrograms();
        // The masses were rounded to whole micrograms, so a count is exact up to a thousandth.
        let off = &steps - &Ratio::new(whole, 1);
        let thousandth = Ratio::new(1, 1_000);
        Some(Self {
            unit,
            quarters: whole.saturating_mul(quarters_of_step(unit)),
            is_exact: off <= thousandth && &Ratio::zero() - &thousandth <= off,
        })
    }

    /// Returns the count as a number; 0 where it is less than the least that is counted.
    #[must_use]
    pub fn number(self) -> Ratio {
        Ratio::new(self.quarters.max(0), 4)
    }

    /// Returns the least that is counted of this unit: a whole drop, a quarter of a spoon.
    #[must_use]
    pub fn least(self) -> Ratio {
        Ratio::new(quarters_of_step(self.unit), 4)
    }

    /// Returns the unit.
    #[must_use]
    pub const fn unit(self) -> CountUnit {
        self.unit
    }

    /// Returns whether the count is exact.
    #[must_use]
    pub const fn is_exact(self) -> bool {
        self.is_exact
    }
}

/// Returns the smallest step of a unit in quarters: whole drops, quarter spoons.
const fn quarters_of_step(unit: CountUnit) -> i64 {
    match unit {
        CountUnit::Drop => 4,
        CountUnit::Teaspoon | CountUnit::Tablespoon => 1,
    }
}

impl Serialize for Count {
    /// As it is said.
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl fmt::Display for Count {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (least, one, more) = match self.unit {
            CountUnit::Drop => ("1", "drop", "drops"),
            CountUnit::Teaspoon => ("0.25", "tsp", "tsp"),
            CountUnit::Tablespoon => ("0.25", "tbsp", "tbsp"),
        };
        if self.quarters <= 0 {
            return write!(f, "less than {least} {one}");
        }
        let about = if self.is_exact { "" } else { "about " };
        let part = match self.quarters % 4 {
            0 => "",
            1 => ".25",
            2 => ".5",
            _ => ".75",
        };
        let word = if self.quarters == 4 { one } else { more };
        write!(f, "{about}{}{part} {word}", self.quarters / 4)
    }
}

/// Writes how many of a unit come nearest to a mass: `6 drops`, `1.5 tsp`, `about 7 drops`.
///
/// Drops are whole, spoons go by quarters; `about` says that the count is not exact, and less than
/// half of the smallest step is `less than 1 drop`. Empty when one of the unit weighs nothing.
#[must_use]
pub fn count_text(expected: Mass, unit: CountUnit, each: Mass) -> String {
    Count::nearest(expected, unit, each).map_or_else(String::new, |count| count.to_string())
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
