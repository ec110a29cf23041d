//! Why an option cannot be done.

use std::fmt;

use serde::{Deserialize, Serialize};
use tarehand_protocol::Mass;

use crate::ratio::Ratio;

use super::situation::{Room, Situation};
use super::sourcing::Short;

/// Why an option cannot be done.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "what")]
pub enum Obstacle {
    /// The jar is too small, in microlitres.
    Jar {
        /// What it would have to hold.
        needs_ul: u64,
        /// What it holds.
        holds_ul: u64,
    },
    /// The jar is too small, by weight.
    JarWeight {
        /// What it would have to hold.
        needs: Mass,
        /// What it holds.
        holds: Mass,
    },
    /// The shelf has too little of an ingredient.
    Stock {
        /// The ingredient's name.
        name: String,
        /// How much is still needed.
        needs: Mass,
        /// How much there is.
        has: Mass,
    },
    /// There is so much of an ingredient in the jar that a smaller batch is out of reach.
    TooMuchIn {
        /// The ingredient's name.
        name: String,
        /// The batch that this much of it makes.
        makes: Mass,
        /// The largest batch that was looked for.
        most: Mass,
    },
    /// What there is of one ingredient serves less than what is in the jar of another.
    Outrun {
        /// The ingredient that is short.
        name: String,
        /// The batch that what there is of it is enough for.
        enough_for: Mass,
        /// The ingredient that is in already.
        of: String,
        /// The batch that this much of it makes.
        makes: Mass,
    },
}

impl fmt::Display for Obstacle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let grams = |mass: &Mass| mass.grams_text(1);
        match self {
            Self::Jar { needs_ul, holds_ul } => {
                write!(
                    f,
                    "the jar holds {} ml and this needs {} ml",
                    millilitres(*holds_ul),
                    millilitres(*needs_ul)
                )
            }
            Self::JarWeight { needs, holds } => {
                write!(
                    f,
                    "the jar holds {} g and this comes to {} g",
                    grams(holds),
                    grams(needs)
                )
            }
            Self::Stock { name, needs, has } => {
                write!(
                    f,
                    "this needs {} g more {name} and the shelf has {} g",
                    grams(needs),
                    grams(has)
                )
            }
            Self::TooMuchIn { name, makes, most } => {
                write!(
                    f,
                    "the {name} in the jar makes {} g, more than {} g",
                    grams(makes),
                    grams(most)
                )
            }
            Self::Outrun {
                name,
                enough_for,
                of,
                makes,
            } => {
                write!(
                    f,
                    "the {name} there is serves {} g, and the {of} in the jar makes {} g",
                    grams(enough_for),
                    grams(makes)
                )
            }
        }
    }
}

/// Millilitres to a tenth, without a tenth that is none.
fn millilitres(microlitres: u64) -> String {
    let tenths = microlitres.div_ceil(100);
    match tenths % 10 {
        0 => (tenths / 10).to_string(),
        tenth => format!("{}.{tenth}", tenths / 10),
    }
}

impl Obstacle {
    /// Returns that the jar is too small for this content, where it is.
    pub(super) fn jar(situation: &Situation, content: &[Ratio]) -> Option<Self> {
        let (needs, holds) = situation.room_taken(content)?;
        if needs <= holds {
            return None;
        }
        Some(match situation.room? {
            Room::Mass(holds) => Self::JarWeight {
                needs: needs.to_mass(),
                holds,
            },
            Room::Volume(holds_ul) => Self::Jar {
                needs_ul: u64::try_from(needs.to_mass().micrograms()).unwrap_or(0),
                holds_ul,
            },
        })
    }

    pub(super) fn short(situation: &Situation, short: &Short) -> Self {
        Self::Stock {
            name: situation.sources[short.source].name.clone(),
            needs: short.needs.to_mass(),
            has: short.has(situation),
        }
    }
}
