//! A ratio in parts, as people hand it on.

use crate::ratio::Ratio;

/// The largest whole number of parts that is still easier to read than a hundred for the largest.
const MOST: i64 = 100;

/// A ratio in parts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Parts {
    /// Whole numbers say it exactly, `4 : 1`.
    Whole(Vec<i64>),
    /// The largest is a hundred.
    OfHundred(Vec<Ratio>),
}

impl Parts {
    /// Returns shares in parts: whole numbers of at most a hundred where they are exact.
    pub(super) fn of(shares: &[Ratio]) -> Self {
        Self::whole(shares).map_or_else(|| Self::of_hundred(shares), Self::Whole)
    }

    fn whole(shares: &[Ratio]) -> Option<Vec<i64>> {
        let least = shares.iter().min()?;
        (1..=MOST).find_map(|factor| {
            let unit = least.checked_div(&Ratio::new(factor, 1))?;
            shares
                .iter()
                .map(|share| whole_number(&share.checked_div(&unit)?))
                .collect()
        })
    }

    fn of_hundred(shares: &[Ratio]) -> Self {
        let hundredth = shares
            .iter()
            .max()
            .map_or_else(Ratio::one, |largest| largest * &Ratio::new(1, MOST));
        let parts = shares
            .iter()
            .map(|share| share.checked_div(&hundredth).unwrap_or_else(Ratio::zero));
        Self::OfHundred(parts.collect())
    }
}

fn whole_number(ratio: &Ratio) -> Option<i64> {
    let whole = ratio.to_mass().micrograms();
    (*ratio == Ratio::new(whole, 1) && (1..=MOST).contains(&whole)).then_some(whole)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(shares: &[(i64, i64)]) -> Parts {
        let shares: Vec<Ratio> = shares.iter().map(|&(n, d)| Ratio::new(n, d)).collect();
        Parts::of(&shares)
    }

    #[test]
    fn whole_numbers_are_found_where_they_are_exact() {
        assert_eq!(of(&[(8, 10), (2, 10)]), Parts::Whole(vec![4, 1]));
        assert_eq!(of(&[(3, 5), (2, 5)]), Parts::Whole(vec![3, 2]));
        assert_eq!(
            of(&[(16, 100), (20, 100), (64, 100)]),
            Parts::Whole(vec![4, 5, 16])
        );
        assert_eq!(of(&[(1, 1)]), Parts::Whole(vec![1]));
        assert_eq!(of(&[]), Parts::OfHundred(vec![]));
    }

    #[test]
    fn otherwise_the_largest_is_a_hundred() {
        assert_eq!(
            of(&[(1000, 1001), (1, 1001)]),
            Parts::OfHundred(vec![Ratio::new(100, 1), Ratio::new(1, 10)])
        );
    }
}
