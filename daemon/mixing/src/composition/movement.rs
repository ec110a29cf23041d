//! A transfer of mass as all vessels see it.

use tarehand_protocol::Mass;

/// The name under which the log keeps a mixture.
const MIXTURE: &str = "the mixture";

/// Returns the name under which the log keeps a mixture of whatever composition.
#[must_use]
pub const fn mixture() -> &'static str {
    MIXTURE
}

/// Where mass can be, the same for every batch.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Place {
    /// The packs of an ingredient on the shelf, by its key.
    Shelf(String),
    /// The jar of a batch, by its mark.
    Jar(String),
    /// A cup or another vessel that no batch made, by its name.
    Cup(String),
    /// Lost.
    Waste,
    /// Nobody knows.
    Unknown,
}

/// What is moved.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Moved {
    /// An ingredient or a premix, by its key.
    Ingredient(String),
    /// What is in the vessel it comes from.
    Mixture,
    /// Something that is not part of any mix.
    Foreign,
}

/// A transfer of mass.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Movement {
    /// The batch in whose journal it is, by its mark.
    pub batch: String,
    /// The jar that this batch fills: its own, or the finished one that it amends.
    pub fills: String,
    /// From where.
    pub from: Place,
    /// To where.
    pub to: Place,
    /// What.
    pub what: Moved,
    /// How much, above nothing.
    pub mass: Mass,
}

impl Movement {
    /// Returns whether something that came into the jar goes back to where it came from: of what was poured, not of
    /// the mixture as it is by now.
    pub(super) fn is_taken_back(&self) -> bool {
        let own = Place::Jar(self.fills.clone());
        match &self.what {
            Moved::Ingredient(_) => self.from == own,
            Moved::Mixture => self.to == own,
            Moved::Foreign => false,
        }
    }
}
