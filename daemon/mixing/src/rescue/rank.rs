//! Which way out comes first, and why.

use std::cmp::Ordering;
use std::fmt;

use crate::ratio::Ratio;

use super::RescueKind;
use super::situation::{Level, Situation};
use super::way::Way;

/// A batch that would grow by more than this fraction of what was planned has grown absurdly (our own choice: half).
const ABSURD: (i64, i64) = (1, 2);
/// Totals this near to the smallest one, as a fraction of what was planned, count as equal (our own choice).
const NEAR: (i64, i64) = (1, 20);

/// Why a way out is the recommended one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reason {
    /// It comes out as planned: what is off is less than the weighing can tell.
    BelowUncertainty,
    /// Every share stays within its tolerance as it is.
    WithinTolerance,
    /// The ratio holds exactly, for little more than the least.
    Exact,
    /// The exact ratio would make the batch clearly larger.
    LeastTotal,
    /// There is not enough of something, or too little room, for more.
    Less,
    /// Topping up would not fit, or make far too much.
    TakesOut,
    /// Nothing better can be done.
    Remains,
    /// Nothing else can be done, though the batch grows a lot.
    GrowsALot,
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::BelowUncertainty => {
                "it comes out as planned, as far as the scale can tell: there is nothing to rescue"
            }
            Self::WithinTolerance => "every share stays within its tolerance as it is",
            Self::Exact => "the ratio holds exactly, for little more than the least",
            Self::LeastTotal => {
                "every share is within its tolerance, and the exact ratio would make clearly more"
            }
            Self::Less => {
                "this is the largest batch that jar and shelf allow at the recipe's ratio"
            }
            Self::TakesOut => "topping up alone would not fit, or would make far too much",
            Self::Remains => "the ratio cannot be held with what there is and what fits",
            Self::GrowsALot => "nothing else holds the ratio, though the batch grows a lot",
        })
    }
}

/// How much a person would rather do this than that: classes first, then what tells two of a class apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Class {
    NothingToDo,
    Holds,
    TakesOut,
    OffTheRatio,
    Absurd,
    Impossible,
}

/// Sorts the ways, the one to be recommended first, and says why it is.
///
/// Within a class: totals near the smallest count as equal; then fewer pours of what the recipe does not name,
/// fewer pours, the truer ratio, the smaller total.
pub(super) fn rank(situation: &Situation, ways: &mut [Way]) -> Option<Reason> {
    let classes: Vec<Class> = ways.iter().map(|way| class(situation, way)).collect();
    let planned = Ratio::from_mass(situation.planned);
    let near = &planned * &Ratio::new(NEAR.0, NEAR.1);
    let smallest = |of: Class| {
        let of_class = ways.iter().zip(&classes).filter(|(_, class)| **class == of);
        of_class
            .map(|(way, _)| &way.total)
            .min()
            .cloned()
            .unwrap_or_else(Ratio::zero)
    };
    let mut keys: Vec<Key> = ways
        .iter()
        .zip(&classes)
        .map(|(way, &class)| {
            let is_near = way.total <= &smallest(class) + &near;
            Key {
                class,
                larger: if is_near {
                    Ratio::zero()
                } else {
                    way.total.clone()
                },
                unnamed: way
                    .pours
                    .iter()
                    .filter(|(at, _)| situation.sources[*at].level != Level::Addition)
                    .count(),
                pours: way.pours.len(),
                deviation: way.worst_deviation(situation),
                total: way.total.clone(),
                kind: way.kind,
            }
        })
        .collect();
    keys.sort_by(Key::compare);
    ways.sort_by_key(|way| keys.iter().position(|key| key.kind == way.kind));
    let (first, class) = (ways.first()?, keys.first()?.class);
    Some(match (class, first.kind) {
        (Class::Impossible, _) => return None,
        (Class::NothingToDo, _) => Reason::BelowUncertainty,
        (Class::Holds, RescueKind::Accept) => Reason::WithinTolerance,
        (Class::Holds, _) if first.pours.is_empty() => Reason::WithinTolerance,
        (Class::Holds, RescueKind::TopUpLeast) => Reason::LeastTotal,
        (Class::Holds, RescueKind::MakeLess) => Reason::Less,
        (Class::Holds, _) => Reason::Exact,
        (Class::TakesOut, _) => Reason::TakesOut,
        (Class::OffTheRatio, _) => Reason::Remains,
        (Class::Absurd, _) => Reason::GrowsALot,
    })
}

fn class(situation: &Situation, way: &Way) -> Class {
    if !way.is_feasible() {
        return Class::Impossible;
    }
    let planned = Ratio::from_mass(situation.planned);
    let absurd = &planned + &(&planned * &Ratio::new(ABSURD.0, ABSURD.1));
    match way.kind {
        // It comes out as planned, as far as anybody can tell: there is nothing to put right.
        RescueKind::Accept if way.is_within(situation) => {
            if situation.is_as_planned(&way.content) {
                Class::NothingToDo
            } else {
                Class::Holds
            }
        }
        RescueKind::Accept => Class::OffTheRatio,
        RescueKind::TakeOut if !way.take_out.is_zero() => Class::TakesOut,
        _ if absurd < way.total => Class::Absurd,
        _ => Class::Holds,
    }
}

struct Key {
    class: Class,
    larger: Ratio,
    unnamed: usize,
    pours: usize,
    deviation: f64,
    total: Ratio,
    kind: RescueKind,
}

impl Key {
    fn compare(&self, other: &Self) -> Ordering {
        self.class
            .cmp(&other.class)
            .then_with(|| self.larger.cmp(&other.larger))
            .then(self.unnamed.cmp(&other.unnamed))
            .then(self.pours.cmp(&other.pours))
            .then_with(|| apart(self.deviation, other.deviation))
            .then_with(|| self.total.cmp(&other.total))
            .then(self.kind.cmp(&other.kind))
    }
}

/// Compares two deviations; what differs in the last digits of a float only is the same.
fn apart(one: f64, other: f64) -> Ordering {
    let rounded = |deviation: f64| (deviation * 1e9).round();
    rounded(one).total_cmp(&rounded(other))
}
