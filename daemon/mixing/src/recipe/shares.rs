//! Turns the amounts of a recipe into exact shares of its total.
//!
//! Every amount is a sum of three things: micrograms, a multiple of the total `T`, and a multiple of
//! one part `p`. Adding them all up gives one equation, `fixed + total·T + parts·p = T`.

use std::collections::BTreeMap;

use tarehand_protocol::Mass;

use crate::ratio::Ratio;

/// One addition inside the ratio.
#[derive(Debug)]
pub(super) struct Line {
    /// What is added.
    pub name: String,
    /// How much.
    pub amount: LineAmount,
}

/// How much of it, in the terms of [`solve`].
#[derive(Debug)]
pub(super) enum LineAmount {
    /// Micrograms.
    Fixed(Ratio),
    /// This fraction of the total.
    OfTotal(Ratio),
    /// This fraction of another ingredient.
    Of { fraction: Ratio, name: String },
    /// So many parts of what is left.
    Parts(Ratio),
}

/// The solved shares.
#[derive(Debug, PartialEq)]
pub(super) struct Shares {
    /// One for each line; they sum to exactly one.
    pub shares: Vec<Ratio>,
    /// The micrograms absolute amounts refer to; `None` when there are none to refer to.
    pub base: Option<Ratio>,
    /// How the amounts were understood, where that needs saying.
    pub remark: Option<Remark>,
}

/// How the amounts were understood.
#[derive(Debug, PartialEq)]
pub(super) enum Remark {
    /// Only parts and percentages, and no `makes`.
    OnlyShares,
    /// Only percentages, which do not sum to a hundred.
    PercentNotWhole { sum: Ratio },
    /// Only weights, which do not sum to what the recipe makes.
    WeightsNotMakes { sum: Ratio },
}

/// Why the amounts make no recipe.
#[derive(Debug, PartialEq, thiserror::Error)]
pub(super) enum SharesError {
    /// No addition is inside the ratio.
    #[error(
        "nothing in the recipe has a share: by eye, ranges and whole vessels lie outside the ratio"
    )]
    Nothing,
    /// A percentage of something that is not added.
    #[error("`{of}` is not added in this recipe by weight or share")]
    OfWhat { line: usize, of: String },
    /// A percentage that leads back to itself.
    #[error("`{name}` is given as a share of itself")]
    Circle { line: usize, name: String },
    /// Amounts larger than the total.
    #[error("the amounts come to {sum} of the {makes} it makes, and leave nothing for the parts")]
    NothingLeft { sum: Mass, makes: Mass },
    /// Amounts that do not come to the total.
    #[error("the amounts come to {sum} but the recipe makes {makes}")]
    NotMakes { sum: Mass, makes: Mass },
    /// The percentages leave no room for the rest.
    #[error(
        "the percentages come to {}, which leaves no room for the rest",
        percent(sum)
    )]
    NoRoom { sum: Ratio },
    /// Parts beside weights, and no total.
    #[error("parts share what is left, but the recipe does not say of how much")]
    LeftOfWhat,
}

impl SharesError {
    pub(super) fn help(&self) -> Option<String> {
        let text = match self {
            Self::Nothing => "give at least one ingredient a weight, a percentage or parts",
            Self::OfWhat { .. } => return None,
            Self::NoRoom { .. } => "lower them, or give one ingredient `parts` instead",
            Self::Circle { .. } => {
                "give one of them by weight, by parts or as a percentage of the total"
            }
            Self::NothingLeft { sum, makes } => {
                let over = *sum - *makes;
                if Mass::ZERO < over {
                    return Some(format!("raise `makes`, or take {over} away"));
                }
                "raise `makes`, or make the amounts smaller"
            }
            Self::NotMakes { .. } => "give one ingredient `parts`: it takes what is left",
            Self::LeftOfWhat => "write makes = \"…\" under [recipe]",
        };
        Some(text.to_owned())
    }
}

/// Writes a fraction in percent with at most two decimals.
pub(crate) fn percent(fraction: &Ratio) -> String {
    let hundredths = (fraction * &Ratio::new(10_000, 1)).to_mass().micrograms();
    let text = Mass::from_micrograms(hundredths.saturating_mul(10_000)).grams_text(2);
    format!("{} %", text.trim_end_matches('0').trim_end_matches('.'))
}

/// `fixed` micrograms, and `total` times the total, and `parts` times one part.
#[derive(Clone)]
struct Sum {
    fixed: Ratio,
    total: Ratio,
    parts: Ratio,
}

impl Sum {
    fn zero() -> Self {
        Self {
            fixed: Ratio::zero(),
            total: Ratio::zero(),
            parts: Ratio::zero(),
        }
    }

    fn plus(&self, other: &Self) -> Self {
        Self {
            fixed: &self.fixed + &other.fixed,
            total: &self.total + &other.total,
            parts: &self.parts + &other.parts,
        }
    }

    fn times(&self, factor: &Ratio) -> Self {
        Self {
            fixed: &self.fixed * factor,
            total: &self.total * factor,
            parts: &self.parts * factor,
        }
    }

    fn at(&self, total: &Ratio, part: &Ratio) -> Ratio {
        &(&self.fixed + &(&self.total * total)) + &(&self.parts * part)
    }
}

/// Solves for the shares, exactly.
pub(super) fn solve(lines: &[Line], makes: Option<&Ratio>) -> Result<Shares, SharesError> {
    if lines.is_empty() {
        return Err(SharesError::Nothing);
    }
    let sums = express(lines)?;
    let all = sums.iter().fold(Sum::zero(), |all, sum| all.plus(sum));
    let Solution {
        total,
        part,
        base,
        remark,
    } = balance(&all, makes)?;
    let whole = all.at(&total, &part);
    let shares = sums.iter().map(|sum| {
        let share = sum.at(&total, &part).checked_div(&whole);
        share.expect("amounts are above zero, so their sum is")
    });
    Ok(Shares {
        shares: shares.collect(),
        base,
        remark,
    })
}

struct Solution {
    total: Ratio,
    part: Ratio,
    base: Option<Ratio>,
    remark: Option<Remark>,
}

fn balance(all: &Sum, makes: Option<&Ratio>) -> Result<Solution, SharesError> {
    match makes {
        Some(makes) => balance_known(all, makes),
        None => balance_free(all),
    }
}

/// Balances against the total the recipe says it makes.
fn balance_known(all: &Sum, makes: &Ratio) -> Result<Solution, SharesError> {
    let sum = all.at(makes, &Ratio::zero());
    let solution = |part: Ratio, base: &Ratio, remark| Solution {
        total: makes.clone(),
        part,
        base: Some(base.clone()),
        remark,
    };
    if let Some(part) = (makes - &sum).checked_div(&all.parts) {
        return if Ratio::zero() < part {
            Ok(solution(part, makes, None))
        } else {
            Err(SharesError::NothingLeft {
                sum: sum.to_mass(),
                makes: makes.to_mass(),
            })
        };
    }
    if sum == *makes {
        return Ok(solution(Ratio::zero(), makes, None));
    }
    if all.fixed.is_zero() {
        let sum = all.total.clone();
        return Ok(solution(
            Ratio::zero(),
            makes,
            Some(Remark::PercentNotWhole { sum }),
        ));
    }
    if all.total.is_zero() {
        return Ok(solution(
            Ratio::zero(),
            &sum.clone(),
            Some(Remark::WeightsNotMakes { sum }),
        ));
    }
    Err(SharesError::NotMakes {
        sum: sum.to_mass(),
        makes: makes.to_mass(),
    })
}

/// Balances with nothing said: the total is the sum.
fn balance_free(all: &Sum) -> Result<Solution, SharesError> {
    let left = &Ratio::one() - &all.total;
    let free = |part: Ratio, remark| Solution {
        total: Ratio::one(),
        part,
        base: None,
        remark,
    };
    if !all.fixed.is_zero() {
        if !all.parts.is_zero() {
            return Err(SharesError::LeftOfWhat);
        }
        let total = all.fixed.checked_div(&left);
        return match total.filter(|total| Ratio::zero() < *total) {
            Some(total) => Ok(Solution {
                base: Some(total.clone()),
                total,
                part: Ratio::zero(),
                remark: None,
            }),
            None => Err(SharesError::NoRoom {
                sum: all.total.clone(),
            }),
        };
    }
    match (left.checked_div(&all.parts), all.total.is_zero()) {
        (Some(part), true) => Ok(free(part, Some(Remark::OnlyShares))),
        (Some(part), false) if Ratio::zero() < part => Ok(free(part, Some(Remark::OnlyShares))),
        (Some(_), false) => Err(SharesError::NoRoom {
            sum: all.total.clone(),
        }),
        (None, _) => {
            let sum = all.total.clone();
            let remark = if sum == Ratio::one() {
                Remark::OnlyShares
            } else {
                Remark::PercentNotWhole { sum }
            };
            Ok(free(Ratio::zero(), Some(remark)))
        }
    }
}

/// Expresses every line as a [`Sum`], following `% of` to what it refers to.
fn express(lines: &[Line]) -> Result<Vec<Sum>, SharesError> {
    let mut by_name: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (index, line) in lines.iter().enumerate() {
        by_name.entry(&line.name).or_default().push(index);
    }
    let mut done: Vec<Option<Sum>> = vec![None; lines.len()];
    let mut open = vec![false; lines.len()];
    // A stack of our own, so that a long chain of references cannot exhaust the thread's.
    for start in 0..lines.len() {
        let mut stack = vec![start];
        while let Some(&index) = stack.last() {
            if done[index].is_some() {
                stack.pop();
                continue;
            }
            let sum = match &lines[index].amount {
                LineAmount::Fixed(fixed) => Sum {
                    fixed: fixed.clone(),
                    ..Sum::zero()
                },
                LineAmount::OfTotal(total) => Sum {
                    total: total.clone(),
                    ..Sum::zero()
                },
                LineAmount::Parts(parts) => Sum {
                    parts: parts.clone(),
                    ..Sum::zero()
                },
                LineAmount::Of { fraction, name } => {
                    let referred =
                        by_name
                            .get(name.as_str())
                            .ok_or_else(|| SharesError::OfWhat {
                                line: index,
                                of: name.clone(),
                            })?;
                    open[index] = true;
                    let waiting: Vec<usize> = referred
                        .iter()
                        .copied()
                        .filter(|&other| done[other].is_none())
                        .collect();
                    if let Some(&circle) = waiting.iter().find(|&&other| open[other]) {
                        return Err(SharesError::Circle {
                            line: circle,
                            name: lines[circle].name.clone(),
                        });
                    }
                    if !waiting.is_empty() {
                        stack.extend(waiting);
                        continue;
                    }
                    let whole = referred.iter().filter_map(|&other| done[other].as_ref());
                    whole
                        .fold(Sum::zero(), |whole, sum| whole.plus(sum))
                        .times(fraction)
                }
            };
            open[index] = false;
            done[index] = Some(sum);
            stack.pop();
        }
    }
    Ok(done.into_iter().flatten().collect())
}

#[cfg(test)]
mod tests;
