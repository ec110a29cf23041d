//! What came into a jar or out of it after its batch was finished, and how that is told of the batch.

use tarehand_protocol::Mass;

use crate::card::{grams, tidy};
use crate::procedure::Ingredient;

/// All that became of a jar since its batch made it, in the order of time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Later {
    /// What was done, each thing of each batch once.
    pub changes: Vec<Change>,
    /// What may have come in, also through other jars: whatever it is that is warned of.
    pub may_hold: Vec<Ingredient>,
}

/// One change of a finished jar.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// The day of the last of it, UTC.
    pub day: String,
    /// How much, above nothing.
    pub mass: Mass,
    /// What it was.
    pub what: What,
}

/// What changed a finished jar.
#[derive(Clone, Debug, PartialEq)]
pub enum What {
    /// An ingredient was added.
    Added(Ingredient),
    /// Some of the mix of another jar was poured in, by that jar's name.
    Joined(String),
    /// Some of the mix was poured into another jar, by that jar's name.
    PouredInto(String),
    /// Some of the mix was taken out: into this, where it is known.
    TakenOut(Option<String>),
}

impl Later {
    /// Returns what was added, an ingredient and how much.
    pub fn added(&self) -> impl Iterator<Item = (&Change, &Ingredient)> {
        self.changes.iter().filter_map(|change| match &change.what {
            What::Added(ingredient) => Some((change, ingredient)),
            What::Joined(_) | What::PouredInto(_) | What::TakenOut(_) => None,
        })
    }

    /// Returns what was poured in from other jars, over into them, or taken out, a sentence each with its day.
    pub fn moved(&self) -> impl Iterator<Item = String> {
        let moved = self.changes.iter();
        let moved = moved.filter(|change| !matches!(change.what, What::Added(_)));
        moved.map(|change| format!("{}: {}", change.day, change.sentence()))
    }

    /// Returns what is not done again when the batch is made again as it was poured, and why.
    #[must_use]
    pub fn not_repeated(&self) -> Vec<String> {
        let moved = self.changes.iter().filter_map(|change| {
            let why = match change.what {
                What::Added(_) => return None,
                What::Joined(_) => {
                    "that is not repeated, the other jar is a batch of its own: `tarehand join` pours one over"
                }
                What::PouredInto(_) | What::TakenOut(_) => {
                    "that is not repeated, all of it stays in the jar"
                }
            };
            Some(format!("{}: {}; {why}", change.day, change.sentence()))
        });
        moved.collect()
    }

    /// Says that the jar was opened later, of a batch that is made again as it was planned; `None` where it was not.
    #[must_use]
    pub fn beyond_the_plan(&self) -> Option<String> {
        let last = self.changes.last()?;
        let added: Vec<String> = self
            .added()
            .map(|(change, ingredient)| {
                format!("{} {}", grams(change.mass), tidy(&ingredient.name))
            })
            .collect();
        let added = match added.is_empty() {
            true => String::new(),
            false => format!(
                ", {} were added: `tarehand repeat --as-poured` has it too",
                added.join(" and ")
            ),
        };
        Some(format!(
            "the jar was opened again later, last on {}{added}; this is what was planned",
            last.day
        ))
    }
}

impl Change {
    fn sentence(&self) -> String {
        let mass = grams(self.mass);
        match &self.what {
            What::Added(ingredient) => format!("{mass} {} were added", tidy(&ingredient.name)),
            What::Joined(jar) => format!("{mass} of the jar of {}, were poured in", tidy(jar)),
            What::PouredInto(jar) => format!(
                "{mass} of the mix were poured into the jar of {}",
                tidy(jar)
            ),
            What::TakenOut(Some(vessel)) => {
                format!("{mass} of the mix were taken out into {}", tidy(vessel))
            }
            What::TakenOut(None) => format!("{mass} of the mix were taken out"),
        }
    }
}

#[cfg(test)]
mod tests;
