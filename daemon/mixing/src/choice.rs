//! A choice that a recipe leaves to whoever makes it, and what was chosen.

use std::collections::BTreeMap;
use std::fmt;

use serde::{Deserialize, Serialize};

use crate::diagnostic::nearest;

/// What was chosen, option by choice; what nobody chooses is the first option of its choice.
pub type Choices = BTreeMap<String, String>;

/// A choice of a recipe, made: `finish: glossy (or matt)`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Choice {
    /// What is chosen: `finish`.
    pub name: String,
    /// What was chosen: `glossy`.
    pub chosen: String,
    /// What could have been chosen instead, in the order of the recipe.
    pub others: Vec<String>,
}

impl fmt::Display for Choice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.name, self.chosen)?;
        if self.others.is_empty() {
            return Ok(());
        }
        write!(f, " (or {})", self.others.join(", "))
    }
}

/// Why something cannot be chosen.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ChooseError {
    /// The recipe leaves no such choice.
    #[error("`{recipe}` leaves no choice `{name}`")]
    NoChoice {
        /// The recipe's stem.
        recipe: String,
        /// What was to be chosen.
        name: String,
        /// The choices it leaves.
        known: Vec<Choice>,
    },
    /// No jar of a set leaves such a choice.
    #[error("no jar of the set leaves a choice `{name}`")]
    NoJar {
        /// What was to be chosen.
        name: String,
        /// The choices its jars leave.
        known: Vec<Choice>,
    },
    /// The choice has no such option.
    #[error("`{name}` has no option `{option}`")]
    NoOption {
        /// What was to be chosen.
        name: String,
        /// What was asked for.
        option: String,
        /// What there is, in the order of the recipe.
        options: Vec<String>,
    },
}

impl ChooseError {
    /// Returns what the choice is called that it is about.
    #[must_use]
    pub fn name(&self) -> &str {
        match self {
            Self::NoChoice { name, .. }
            | Self::NoJar { name, .. }
            | Self::NoOption { name, .. } => name,
        }
    }

    /// Returns what would be right.
    #[must_use]
    pub fn hint(&self) -> String {
        match self {
            Self::NoChoice { name, known, .. } | Self::NoJar { name, known } => {
                let names = || known.iter().map(|choice| choice.name.as_str());
                match nearest(name, names()) {
                    Some(meant) => format!("did you mean `{meant}`?"),
                    None if known.is_empty() => {
                        "nothing is left to choose there: make it without".to_owned()
                    }
                    None => format!("choose {}", names().collect::<Vec<_>>().join(" or ")),
                }
            }
            Self::NoOption {
                option, options, ..
            } => match nearest(option, options.iter().map(String::as_str)) {
                Some(meant) => format!("did you mean `{meant}`?"),
                None => format!("choose {}", options.join(" or ")),
            },
        }
    }
}
