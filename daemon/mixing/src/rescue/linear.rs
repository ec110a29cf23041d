//! The same questions as linear programs: for premixes whose ingredients are not all at hand by themselves.
//!
//! Numbers here are estimates, in units of the batch so that they are near one; what must be exact is worked out
//! anew from the sources that the program chose (see `sourcing`).

use microlp::{ComparisonOp, OptimizationDirection, Problem, Variable};

use crate::ratio::Ratio;

use super::situation::{Level, Situation};

/// What a program found: estimates in micrograms.
#[derive(Clone, Debug)]
pub(super) struct Found {
    /// The total.
    pub total: f64,
    /// What is poured of each source.
    pub pours: Vec<f64>,
}

/// Which shares are allowed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shares {
    Exact,
    WithinTolerance,
}

/// Which totals are allowed.
#[derive(Clone, Debug)]
pub(super) enum Totals {
    AtLeast(Ratio),
    AtMost(Ratio),
    Just(Ratio),
}

/// What is wanted most.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Aim {
    /// The smallest total.
    LeastTotal,
    /// The largest total.
    MostTotal,
    /// As much of the jar's content as can stay.
    MostKept,
    /// The least worst relative deviation of any share.
    Nearest,
    /// As little as can be from sources that the recipe does not name.
    NamedSources {
        /// The worst relative deviation that was found to be necessary.
        deviation: f64,
    },
}

/// More than any deviation that is looked for, so that it forbids nothing.
const ANY: f64 = f64::INFINITY;
/// What the solver's own rounding may cost: a deviation that is just possible must stay so in the next program.
const SLACK: f64 = 1e-10;

/// Solves; `None` where it cannot be done.
pub(super) fn solve(
    situation: &Situation,
    shares: Shares,
    totals: &Totals,
    aim: Aim,
) -> Option<Found> {
    let unit = unit(situation, totals);
    let direction = match aim {
        Aim::MostTotal | Aim::MostKept => OptimizationDirection::Maximize,
        Aim::LeastTotal | Aim::Nearest | Aim::NamedSources { .. } => {
            OptimizationDirection::Minimize
        }
    };
    let mut problem = Problem::new(direction);
    let pours: Vec<Variable> = situation
        .sources
        .iter()
        .map(|source| {
            let most = source
                .stock
                .map_or(ANY, |stock| Ratio::from_mass(stock).to_f64() / unit);
            let weight = match (aim, source.level) {
                (Aim::NamedSources { .. }, Level::Premix) => 1.0,
                (Aim::NamedSources { .. }, Level::Raw) => 2.0,
                _ => 0.0,
            };
            problem.add_var(weight, (0.0, most))
        })
        .collect();
    let scaled = |total: &Ratio| total.to_f64() / unit;
    let range = match totals {
        Totals::AtLeast(least) => (scaled(least), ANY),
        Totals::AtMost(most) => (0.0, scaled(most)),
        Totals::Just(total) => (scaled(total), scaled(total)),
    };
    let weight = if matches!(aim, Aim::LeastTotal | Aim::MostTotal) {
        1.0
    } else {
        0.0
    };
    let total = problem.add_var(weight, range);
    let kept = match aim {
        Aim::MostKept => problem.add_var(1.0, (0.0, 1.0)),
        _ => problem.add_var(0.0, (1.0, 1.0)),
    };
    let deviation = match aim {
        Aim::Nearest => problem.add_var(1.0, (0.0, ANY)),
        Aim::NamedSources { deviation } => {
            problem.add_var(0.0, (deviation + SLACK, deviation + SLACK))
        }
        _ => problem.add_var(0.0, (0.0, 0.0)),
    };
    let room = situation.room_left();
    let mut taken: Vec<(Variable, f64)> = Vec::new();
    let mut whole: Vec<(Variable, f64)> = vec![(total, -1.0)];
    let mut in_jar = (0.0, 0.0);
    let known_total = scaled(match totals {
        Totals::AtLeast(total) | Totals::AtMost(total) | Totals::Just(total) => total,
    });
    for (at, component) in situation.components.iter().enumerate() {
        let jar = component.in_jar.to_f64() / unit;
        let mut content: Vec<(Variable, f64)> = vec![(kept, jar)];
        for (source, &pour) in situation.sources.iter().zip(&pours) {
            for (_, fraction) in source.made_of.iter().filter(|(part, _)| *part == at) {
                content.push((pour, fraction.to_f64()));
            }
        }
        let with = |share: &Ratio| {
            let mut row = content.clone();
            row.push((total, -share.to_f64()));
            row
        };
        match shares {
            Shares::Exact => problem.add_constraint(with(&component.share), ComparisonOp::Eq, 0.0),
            Shares::WithinTolerance => {
                problem.add_constraint(with(&component.low), ComparisonOp::Ge, 0.0);
                problem.add_constraint(with(&component.high), ComparisonOp::Le, 0.0);
            }
        }
        if matches!(aim, Aim::Nearest | Aim::NamedSources { .. })
            && shares == Shares::WithinTolerance
        {
            let off = component.share.to_f64() * known_total;
            let mut row = with(&component.share);
            row.push((deviation, -off));
            problem.add_constraint(&row, ComparisonOp::Le, 0.0);
            let mut row = with(&component.share);
            row.push((deviation, off));
            problem.add_constraint(&row, ComparisonOp::Ge, 0.0);
        }
        in_jar.0 += jar;
        if let Some((_, each)) = &room {
            let each = each[at].to_f64();
            in_jar.1 += jar * each;
            taken.extend(
                content
                    .iter()
                    .skip(1)
                    .map(|&(pour, fraction)| (pour, fraction * each)),
            );
        }
        whole.extend(content.into_iter().skip(1));
    }
    // A source made of several components stands in several rows; the solver wants each variable once a row.
    whole.push((kept, in_jar.0));
    problem.add_constraint(merged(whole), ComparisonOp::Eq, 0.0);
    if let Some((most, _)) = &room {
        taken.push((kept, in_jar.1));
        problem.add_constraint(merged(taken), ComparisonOp::Le, most.to_f64() / unit);
    }
    let solution = problem.solve().ok()?.into_solution().ok()?;
    Some(Found {
        total: solution.var_value(total) * unit,
        pours: pours
            .iter()
            .map(|&pour| solution.var_value(pour) * unit)
            .collect(),
    })
}

/// The batch, in micrograms: what numbers are measured in here.
fn unit(situation: &Situation, totals: &Totals) -> f64 {
    let (Totals::AtLeast(total) | Totals::AtMost(total) | Totals::Just(total)) = totals;
    total.to_f64().max(situation.in_jar().to_f64()).max(1.0)
}

fn merged(mut row: Vec<(Variable, f64)>) -> Vec<(Variable, f64)> {
    row.sort_by_key(|(variable, _)| variable.idx());
    row.dedup_by(|next, kept| {
        let same = next.0.idx() == kept.0.idx();
        if same {
            kept.1 += next.1;
        }
        same
    });
    row
}
