//! A jar as a person tells it: what was poured, in their words.

use tarehand_protocol::Mass;

use crate::diagnostic::nearest;
use crate::procedure::Procedure;
use crate::ratio::Ratio;
use crate::weighing::Scales;

use super::situation::{Room, Situation};

/// A jar as a person tells it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Told {
    /// What was poured, in order; `None` where nobody knows how much.
    pub poured: Vec<(String, Option<Mass>)>,
    /// What all of it weighs, before anything was taken out.
    pub in_jar: Option<Mass>,
    /// What was spilled or taken out of the mix since.
    pub taken_out: Mass,
    /// What is in it that the recipe does not know.
    pub outside: Mass,
    /// What the jar holds; what the recipe says by default.
    pub room: Option<Room>,
    /// The division of the scale.
    pub division: Option<Mass>,
}

/// A jar that is understood.
#[derive(Clone, Debug, PartialEq)]
pub struct Filled {
    /// What is in it, wanted, at hand.
    pub situation: Situation,
    /// What was poured, in order, by the place of its source.
    pub poured: Vec<(usize, Mass)>,
}

/// Why a telling makes no jar.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FillError {
    /// Not an ingredient.
    #[error("`{name}` is not in this recipe{}", meant.as_ref().map_or_else(String::new, |meant| format!("; did you mean `{meant}`?")))]
    NotInIt {
        /// What was said.
        name: String,
        /// What it may have meant.
        meant: Option<String>,
    },
    /// More than one amount that nobody knows.
    #[error("the amounts of `{one}` and `{other}` are both unknown: only one can be worked out")]
    TwoUnknown {
        /// One.
        one: String,
        /// The other.
        other: String,
    },
    /// An unknown amount and no total.
    #[error("the amount of `{name}` is unknown, and so is what all of it weighs")]
    NoTotal {
        /// Of what.
        name: String,
    },
    /// A total that does not fit the amounts.
    #[error("all of it is said to weigh {total}, but what is known of it comes to {known}")]
    Total {
        /// The total.
        total: Mass,
        /// The sum.
        known: Mass,
    },
    /// More taken out than was in.
    #[error("{taken_out} cannot have left a jar of {held}")]
    TakenOut {
        /// What is said to have left.
        taken_out: Mass,
        /// What was in it.
        held: Mass,
    },
}

impl FillError {
    /// Returns what would be right.
    #[must_use]
    pub const fn hint(&self) -> &'static str {
        match self {
            Self::NotInIt { .. } => {
                "name an ingredient of the recipe, a premix, or what a premix is made of; anything else in the jar lies outside the ratio"
            }
            Self::TwoUnknown { .. } => "weigh what is left in one of the bottles",
            Self::NoTotal { .. } => {
                "weigh the jar, take the empty jar off, and say what all of it weighs"
            }
            Self::Total { .. } => "weigh the jar again, or put the amounts right",
            Self::TakenOut { .. } => "say how much left the jar after everything was in",
        }
    }
}

/// Understands a jar.
///
/// # Errors
/// When a name is not in the recipe, or the amounts do not fit together.
pub fn fill(procedure: &Procedure, told: &Told) -> Result<Filled, FillError> {
    let mut situation = Situation::of(procedure, Scales::alone(told.division));
    if told.room.is_some() {
        situation.room = told.room;
    }
    situation.outside = told.outside;
    let mut poured: Vec<(usize, Mass)> = Vec::new();
    for (name, amount) in told.amounts()? {
        let place = situation
            .sources
            .iter()
            .position(|source| source.key == name);
        let Some(place) = place else {
            let known = situation.sources.iter().map(|source| source.key.as_str());
            return Err(FillError::NotInIt {
                meant: nearest(&name, known).map(str::to_owned),
                name,
            });
        };
        situation.put(&name, &Ratio::from_mass(amount));
        poured.push((place, amount));
    }
    let held = situation.in_jar().to_mass() + situation.outside;
    if held < told.taken_out {
        return Err(FillError::TakenOut {
            taken_out: told.taken_out,
            held,
        });
    }
    if let Some(kept) = Ratio::from_mass(held - told.taken_out).checked_div(&Ratio::from_mass(held))
    {
        situation.keep(&kept);
    }
    Ok(Filled { situation, poured })
}

impl Told {
    /// Returns the amounts, the unknown one worked out.
    fn amounts(&self) -> Result<Vec<(String, Mass)>, FillError> {
        let mut unknown = self
            .poured
            .iter()
            .filter(|(_, amount)| amount.is_none())
            .map(|(name, _)| name);
        let known: Mass = self.poured.iter().filter_map(|(_, amount)| *amount).sum();
        let known = known + self.outside;
        let missing = match (unknown.next(), unknown.next(), self.in_jar) {
            (Some(one), Some(other), _) => {
                return Err(FillError::TwoUnknown {
                    one: one.clone(),
                    other: other.clone(),
                });
            }
            (Some(name), None, None) => return Err(FillError::NoTotal { name: name.clone() }),
            (Some(_), None, Some(total)) if known <= total => total - known,
            (None, _, Some(total)) if total == known => Mass::ZERO,
            (_, _, Some(total)) => return Err(FillError::Total { total, known }),
            (None, _, None) => Mass::ZERO,
        };
        let amounts = self.poured.iter();
        Ok(amounts
            .map(|(name, amount)| (name.clone(), amount.unwrap_or(missing)))
            .collect())
    }
}
