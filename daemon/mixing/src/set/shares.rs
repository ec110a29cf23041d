//! Works out the shares of a set's jars: percent first, parts share what is left.

use crate::ratio::Ratio;

/// How much of the pour a jar is, as written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum WrittenShare {
    /// A percentage of the pour, as a fraction.
    Percent(Ratio),
    /// Parts of what the percentages leave.
    Parts(Ratio),
}

/// Why shares make no whole.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum SharesError {
    /// The percentages are not a hundred, and nothing takes the rest.
    NotWhole { sum: Ratio },
    /// The percentages leave nothing for the parts.
    NothingLeft { sum: Ratio },
}

/// Returns the shares, which sum to exactly one.
pub(super) fn shares(written: &[WrittenShare]) -> Result<Vec<Ratio>, SharesError> {
    let mut percent = Ratio::zero();
    let mut parts = Ratio::zero();
    for share in written {
        match share {
            WrittenShare::Percent(fraction) => percent = &percent + fraction,
            WrittenShare::Parts(number) => parts = &parts + number,
        }
    }
    let left = &Ratio::one() - &percent;
    let Some(one_part) = left.checked_div(&parts) else {
        return if left.is_zero() || written.is_empty() {
            Ok(written.iter().map(|share| of(share, &left)).collect())
        } else {
            Err(SharesError::NotWhole { sum: percent })
        };
    };
    if left <= Ratio::zero() {
        return Err(SharesError::NothingLeft { sum: percent });
    }
    Ok(written.iter().map(|share| of(share, &one_part)).collect())
}

fn of(share: &WrittenShare, one_part: &Ratio) -> Ratio {
    match share {
        WrittenShare::Percent(fraction) => fraction.clone(),
        WrittenShare::Parts(number) => number * one_part,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn percent(number: i64) -> WrittenShare {
        WrittenShare::Percent(Ratio::new(number, 100))
    }

    fn parts(number: i64) -> WrittenShare {
        WrittenShare::Parts(Ratio::new(number, 1))
    }

    #[test]
    fn parts_share_what_the_percentages_leave() {
        assert_eq!(
            shares(&[percent(40), parts(2), parts(1)]),
            Ok(vec![Ratio::new(2, 5), Ratio::new(2, 5), Ratio::new(1, 5)])
        );
    }

    #[test]
    fn percentages_alone_are_a_hundred_or_an_error() {
        assert!(shares(&[percent(60), percent(40)]).is_ok());
        let sum = Ratio::new(99, 100);
        assert_eq!(
            shares(&[percent(60), percent(39)]),
            Err(SharesError::NotWhole { sum })
        );
        let sum = Ratio::new(105, 100);
        assert_eq!(
            shares(&[percent(105), parts(1)]),
            Err(SharesError::NothingLeft { sum })
        );
    }
}
