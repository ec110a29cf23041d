//! From what a jar should become to what is poured of which bottle.

use tarehand_protocol::Mass;

use crate::ratio::Ratio;

use super::linear::{self, Aim, Shares, Totals};
use super::situation::Situation;

/// What is poured of each source, by its place in the list; sources that give nothing are left out.
pub(super) type Pours = Vec<(usize, Ratio)>;

/// Why a content cannot be reached: a source that is short.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Short {
    /// Which, by its place in the list.
    pub source: usize,
    /// How much of it is needed.
    pub needs: Ratio,
}

/// Returns what must be poured so that `jar` becomes `content`, exactly, and as far as can be from what the recipe names.
pub(super) fn pours(
    situation: &Situation,
    jar: &[Ratio],
    content: &[Ratio],
) -> Result<Pours, Short> {
    let wanted = missing(jar, content);
    let ideal = if situation.is_plain() {
        one_by_one(situation, &wanted)
    } else {
        choose(situation, &wanted, Stock::Counts)
            .or_else(|| choose(situation, &wanted, Stock::Ignored))
            .unwrap_or_else(|| raw_alone(situation, &wanted))
    };
    match short(situation, &ideal) {
        Some(short) => Err(short),
        None => Ok(ideal),
    }
}

/// Returns the same, whatever the shelf has: what would be needed.
pub(super) fn pours_whatever_the_stock(
    situation: &Situation,
    jar: &[Ratio],
    content: &[Ratio],
) -> Pours {
    let wanted = missing(jar, content);
    if situation.is_plain() {
        return one_by_one(situation, &wanted);
    }
    choose(situation, &wanted, Stock::Ignored).unwrap_or_else(|| raw_alone(situation, &wanted))
}

fn missing(jar: &[Ratio], content: &[Ratio]) -> Vec<Ratio> {
    let each = content.iter().zip(jar);
    each.map(|(content, jar)| content - jar).collect()
}

/// Returns the first source of which more is wanted than there is.
pub(super) fn short(situation: &Situation, pours: &Pours) -> Option<Short> {
    pours.iter().find_map(|(source, needs)| {
        let has = Ratio::from_mass(situation.sources[*source].stock?);
        (has < *needs).then(|| Short {
            source: *source,
            needs: needs.clone(),
        })
    })
}

/// Returns what these pours make of the jar.
pub(super) fn poured(situation: &Situation, jar: &[Ratio], pours: &Pours) -> Vec<Ratio> {
    let mut content = jar.to_vec();
    for (source, mass) in pours {
        for (component, fraction) in &situation.sources[*source].made_of {
            content[*component] = &content[*component] + &(mass * fraction);
        }
    }
    content
}

fn one_by_one(situation: &Situation, wanted: &[Ratio]) -> Pours {
    let pours = situation.sources.iter().enumerate();
    pours
        .filter_map(|(at, source)| {
            let mass = &wanted[source.made_of[0].0];
            (!mass.is_zero()).then(|| (at, mass.clone()))
        })
        .collect()
}

/// Every component by itself: always possible, and what is left when a program finds nothing better.
fn raw_alone(situation: &Situation, wanted: &[Ratio]) -> Pours {
    let mut pours = Pours::new();
    for (component, mass) in wanted
        .iter()
        .enumerate()
        .filter(|(_, mass)| !mass.is_zero())
    {
        let alone =
            |made_of: &[(usize, Ratio)]| matches!(made_of, [(only, _)] if *only == component);
        if let Some(at) = situation
            .sources
            .iter()
            .position(|source| alone(&source.made_of))
        {
            pours.push((at, mass.clone()));
        }
    }
    pours
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Stock {
    Counts,
    Ignored,
}

/// Lets a linear program choose the sources, and works out exactly how much of each.
fn choose(situation: &Situation, wanted: &[Ratio], stock: Stock) -> Option<Pours> {
    let mut jar = situation.clone();
    let mut total = Ratio::zero();
    // The jar is taken as empty and what is wanted as the recipe: nothing but the pours counts.
    for (component, mass) in jar.components.iter_mut().zip(wanted) {
        total = &total + mass;
        component.in_jar = Ratio::zero();
    }
    if total.is_zero() {
        return Some(Pours::new());
    }
    for (component, mass) in jar.components.iter_mut().zip(wanted) {
        component.share = mass.checked_div(&total)?;
    }
    jar.room = None;
    if stock == Stock::Ignored {
        jar.sources
            .iter_mut()
            .for_each(|source| source.stock = None);
    }
    let aim = Aim::NamedSources { deviation: 0.0 };
    let found = linear::solve(&jar, Shares::Exact, &Totals::Just(total.clone()), aim)?;
    exactly(&jar, wanted, &found.pours, total.to_f64())
}

/// A number that a program found beside the pours, and that is to be known exactly.
#[derive(Clone, Debug)]
pub(super) enum Unknown {
    /// The total, of a jar whose whole content stays.
    Total,
    /// The fraction of the jar's content that stays, at this total.
    Kept { total: Ratio },
}

/// Returns the unknown number and the pours that a program found, exactly; every share is the recipe's.
pub(super) fn exactly_with(
    situation: &Situation,
    unknown: &Unknown,
    found: &[f64],
) -> Option<(Ratio, Pours)> {
    let components = &situation.components;
    let (column, wanted): (Vec<Ratio>, Vec<Ratio>) = match unknown {
        Unknown::Total => components
            .iter()
            .map(|component| {
                let nothing = Ratio::zero();
                (&nothing - &component.share, &nothing - &component.in_jar)
            })
            .unzip(),
        Unknown::Kept { total } => components
            .iter()
            .map(|component| (component.in_jar.clone(), &component.share * total))
            .unzip(),
    };
    let scale = situation
        .in_jar()
        .to_f64()
        .max(situation.planned.grams() * f64::from(MICROGRAMS));
    let (mut numbers, pours) = exactly_beside(situation, &wanted, found, scale, &[column])?;
    Some((numbers.pop()?, pours))
}

/// Solves for the sources that a program chose, exactly; `None` when they do not lead there.
fn exactly(situation: &Situation, wanted: &[Ratio], found: &[f64], scale: f64) -> Option<Pours> {
    exactly_beside(situation, wanted, found, scale, &[]).map(|(_, pours)| pours)
}

/// The same with further unknown numbers, each given by its column.
fn exactly_beside(
    situation: &Situation,
    wanted: &[Ratio],
    found: &[f64],
    scale: f64,
    beside: &[Vec<Ratio>],
) -> Option<(Vec<Ratio>, Pours)> {
    /// What is less than this part of the whole is the solver's rounding, not a pour.
    const NOTHING: f64 = 1e-9;
    let nothing = scale * NOTHING;
    let mut rest = wanted.to_vec();
    let mut pours = Pours::new();
    let mut chosen: Vec<usize> = Vec::new();
    for (at, &mass) in found
        .iter()
        .enumerate()
        .filter(|&(_, &mass)| nothing < mass)
    {
        let source = &situation.sources[at];
        let all = source.stock.map(Ratio::from_mass);
        match all.filter(|all| (all.to_f64() - mass).abs() <= nothing) {
            // All that there is of it.
            Some(all) => {
                for (component, fraction) in &source.made_of {
                    rest[*component] = &rest[*component] - &(&all * fraction);
                }
                pours.push((at, all));
            }
            None => chosen.push(at),
        }
    }
    // Sources of one component first: each settles its row and touches no other.
    chosen.sort_by_key(|&at| situation.sources[at].made_of.len());
    let column = |at: &usize| {
        let mut column = vec![Ratio::zero(); wanted.len()];
        for (component, fraction) in &situation.sources[*at].made_of {
            column[*component] = fraction.clone();
        }
        column
    };
    let mut columns: Vec<Vec<Ratio>> = chosen.iter().map(column).collect();
    columns.extend_from_slice(beside);
    let mut solved = solve(&columns, rest)?;
    let numbers = solved.split_off(chosen.len());
    for (at, mass) in chosen.into_iter().zip(solved) {
        if mass.is_negative() {
            return None;
        }
        if !mass.is_zero() {
            pours.push((at, mass));
        }
    }
    pours.sort_by_key(|(at, _)| *at);
    Some((numbers, pours))
}

/// Gaussian elimination, exact; `None` when there is not just one solution.
fn solve(columns: &[Vec<Ratio>], mut rest: Vec<Ratio>) -> Option<Vec<Ratio>> {
    let mut columns = columns.to_vec();
    let mut pivots: Vec<usize> = Vec::with_capacity(columns.len());
    for at in 0..columns.len() {
        let open = |row: &usize| !pivots.contains(row) && !columns[at][*row].is_zero();
        let pivot = (0..rest.len()).find(open)?;
        for row in (0..rest.len()).filter(|&row| row != pivot) {
            if columns[at][row].is_zero() {
                continue;
            }
            let factor = columns[at][row].checked_div(&columns[at][pivot])?;
            for column in &mut columns[at..] {
                if !column[pivot].is_zero() {
                    column[row] = &column[row] - &(&factor * &column[pivot]);
                }
            }
            rest[row] = &rest[row] - &(&factor * &rest[pivot]);
        }
        pivots.push(pivot);
    }
    let unmet = (0..rest.len()).any(|row| !pivots.contains(&row) && !rest[row].is_zero());
    if unmet {
        return None;
    }
    let numbers = pivots.iter().zip(&columns);
    numbers
        .map(|(&row, column)| rest[row].checked_div(&column[row]))
        .collect()
}

/// Returns a program's own pours, as they were found.
pub(super) fn as_found(found: &[f64]) -> Pours {
    let pours = found.iter().enumerate();
    pours
        .filter_map(|(at, &mass)| Some((at, as_exact(mass).filter(|mass| Ratio::zero() < *mass)?)))
        .collect()
}

/// Micrograms of a gram.
const MICROGRAMS: i32 = 1_000_000;

impl Short {
    /// Returns how much of it there is.
    pub(super) fn has(&self, situation: &Situation) -> Mass {
        situation.sources[self.source].stock.unwrap_or(Mass::ZERO)
    }
}

/// Returns an estimate of micrograms as an exact number, to a billionth of a gram.
pub(super) fn as_exact(micrograms: f64) -> Option<Ratio> {
    let grams = Ratio::from_estimate(micrograms / f64::from(MICROGRAMS))?;
    Some(&grams * &Ratio::new(i64::from(MICROGRAMS), 1))
}

/// Returns the worst relative deviation that a program's pours lead to.
pub(super) fn worst_deviation(situation: &Situation, found: &[f64]) -> f64 {
    let mut content: Vec<f64> = situation
        .components
        .iter()
        .map(|component| component.in_jar.to_f64())
        .collect();
    for (source, mass) in situation.sources.iter().zip(found) {
        for (component, fraction) in &source.made_of {
            content[*component] += mass * fraction.to_f64();
        }
    }
    let total: f64 = content.iter().sum();
    let deviations = situation
        .components
        .iter()
        .zip(content)
        .map(|(component, mass)| {
            let planned = component.share.to_f64() * total;
            if 0.0 < planned {
                (mass / planned - 1.0).abs()
            } else {
                0.0
            }
        });
    deviations.fold(0.0, f64::max)
}
