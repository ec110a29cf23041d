//! How an ingredient comes.

/// How an ingredient comes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// Dry: it is wetted to a paste before the medium (*common practice*).
    Powder,
    /// It stands on the stick.
    Paste,
    /// It runs.
    Fluid,
}

impl Form {
    /// Returns the form a word stands for.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        match word {
            "powder" => Some(Self::Powder),
            "paste" => Some(Self::Paste),
            "fluid" => Some(Self::Fluid),
            _ => None,
        }
    }
}
