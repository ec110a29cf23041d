//! Putting a slip right: what can still be done with a jar, its shelf and its recipe.
//!
//! A rescue is a value: it is computed, compared, shown with its consequences, chosen, written down,
//! and can be taken back. [`ways`] finds all of them, the one to be proposed first.
//!
//! | file | idea |
//! |---|---|
//! | `situation`, `makeup` | what is in the jar, wanted, at hand; built from a procedure |
//! | `filled` | a jar as a person tells it, without a scale |
//! | `top_up`, `take_out`, `make_less`, `accept` | the ways out |
//! | `unthinned` | the ways out of a mix that is too thin, which is no matter of the ratio |
//! | `plain` | closed forms and breakpoints, exact |
//! | `linear`, `sourcing` | premixes: which bottles to pour from, by a linear program, then exactly |
//! | `rank` | which comes first, and why |
//! | `told` | a way as a person reads it: rounded to the scale, named |
//! | `uncertainty` | how well the shares will be known |

mod accept;
mod filled;
mod linear;
mod make_less;
mod makeup;
mod obstacle;
mod plain;
mod rank;
mod situation;
mod sourcing;
mod take_out;
mod told;
mod top_up;
mod uncertainty;
mod unthinned;
mod way;

use serde::{Deserialize, Serialize};

use crate::ratio::Ratio;

pub use filled::{FillError, Filled, Told, fill};
pub use obstacle::Obstacle;
pub use rank::Reason;
pub use situation::{Component, Level, Room, Situation, Source};
pub use told::{Cost, Pour, RescueOption, ShareLine};
pub use uncertainty::{Known, known, share_uncertainties};
pub use unthinned::unthinned;
pub use way::Way;

/// Which way out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RescueKind {
    /// Go on as planned and live with the shares that result.
    Accept,
    /// Add more of everything else until the ratio holds exactly.
    TopUpExact,
    /// Add as little as brings every share within its tolerance.
    TopUpLeast,
    /// Make a smaller batch.
    MakeLess,
    /// Take some of the mix out, then top up.
    TakeOut,
    /// Too much thinner is in: pour more of everything but the thinner.
    Unthinned,
    /// The same, from a jar of the same mix that was made before.
    ReadyMade,
}

impl RescueKind {
    /// Returns its word, as in files and messages.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Accept => "accept",
            Self::TopUpExact => "top-up-exact",
            Self::TopUpLeast => "top-up-least",
            Self::MakeLess => "make-less",
            Self::TakeOut => "take-out",
            Self::Unthinned => "unthinned",
            Self::ReadyMade => "ready-made",
        }
    }
}

/// All ways out of a situation.
#[derive(Clone, Debug, PartialEq)]
pub struct Ways {
    /// One of each kind, the one to be proposed first; those that cannot be done are last.
    pub ways: Vec<Way>,
    /// Why the first one is proposed; `None` when none can be done.
    pub reason: Option<Reason>,
}

/// Returns the ways out of a situation.
#[must_use]
pub fn ways(situation: &Situation) -> Ways {
    let jar = jar(situation);
    let exact_total = plain::exact_total(situation);
    let mut ways = vec![
        accept::way(situation, &jar),
        top_up::exact(situation, &jar, &exact_total),
        top_up::least(situation, &jar),
        make_less::way(situation, &jar),
        take_out::way(situation, &jar, &exact_total),
    ];
    let reason = rank::rank(situation, &mut ways);
    Ways { ways, reason }
}

/// Returns what comes of going on as planned, the one way that needs no other.
#[must_use]
pub fn going_on(situation: &Situation) -> Way {
    accept::way(situation, &jar(situation))
}

fn jar(situation: &Situation) -> Vec<Ratio> {
    let each = situation.components.iter();
    each.map(|component| component.in_jar.clone()).collect()
}

/// Returns the ways out as a person reads them; of those that come to the same, only the first.
#[must_use]
pub fn options(situation: &Situation) -> Vec<RescueOption> {
    let mut options: Vec<RescueOption> = Vec::new();
    for way in ways(situation).ways {
        let option = way.told(situation);
        let same = |other: &RescueOption| {
            let feasible = other.obstacle.is_none() && option.obstacle.is_none();
            feasible && other.pours == option.pours && other.take_out == option.take_out
        };
        if !options.iter().any(same) {
            options.push(option);
        }
    }
    options
}

#[cfg(test)]
mod tests;
