//! The kinds of things that are learnt.

use super::Unit;
use crate::procedure::CountUnit;

/// What is learnt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// How much earlier or later than by the flow stop is said, of an ingredient and to a hand.
    StopLead,
    /// What a drop of an ingredient weighs.
    Drop,
    /// What a teaspoon of an ingredient weighs.
    Teaspoon,
    /// What a tablespoon of an ingredient weighs.
    Tablespoon,
    /// How much thinner a gram of a recipe's mix takes to the wanted trail.
    Thinner,
    /// What a stick carries away when a jar was stirred.
    Stick,
    /// What an area takes of a mix.
    Yield,
}

impl Kind {
    /// Every kind, in the order they are shown.
    pub const ALL: [Self; 7] = [
        Self::StopLead,
        Self::Drop,
        Self::Teaspoon,
        Self::Tablespoon,
        Self::Thinner,
        Self::Stick,
        Self::Yield,
    ];

    /// Returns it as one word, `stop-lead`.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::StopLead => "stop-lead",
            Self::Drop => "drop",
            Self::Teaspoon => "teaspoon",
            Self::Tablespoon => "tablespoon",
            Self::Thinner => "thinner",
            Self::Stick => "stick",
            Self::Yield => "yield",
        }
    }

    /// Returns the kind of that word; `None` when it is none of them.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }

    /// Returns whether the bench itself uses it; else it is advice, for the shelf or the person.
    #[must_use]
    pub const fn is_used_by_bench(self) -> bool {
        matches!(self, Self::StopLead)
    }

    /// Returns what an estimate of it is counted in, where every one is counted alike.
    #[must_use]
    pub const fn unit(self) -> Unit {
        match self {
            Self::StopLead => Unit::Seconds,
            Self::Drop | Self::Teaspoon | Self::Tablespoon | Self::Stick => Unit::Grams,
            Self::Thinner => Unit::GramsPerGram,
            Self::Yield => Unit::GramsPerSquareMetre,
        }
    }
}

impl From<CountUnit> for Kind {
    fn from(unit: CountUnit) -> Self {
        match unit {
            CountUnit::Drop => Self::Drop,
            CountUnit::Teaspoon => Self::Teaspoon,
            CountUnit::Tablespoon => Self::Tablespoon,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_is_found_by_its_word() {
        for kind in Kind::ALL {
            assert_eq!(Kind::from_word(kind.word()), Some(kind));
        }
        assert_eq!(Kind::from_word("luck"), None);
    }
}
