//! Names that stay inside the folder.

use std::path::{Path, PathBuf};
use std::str::FromStr;

/// The longest name: with ending and marks it fits every file system.
const LONGEST: usize = 100;

/// The name of a file of the folder without its ending; it can name nothing outside of it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Stem(String);

/// Why a text is no name here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum StemError {
    /// There is nothing.
    #[error("a name is missing")]
    Empty,
    /// It is too long.
    #[error("the name is longer than {LONGEST} bytes")]
    Long,
    /// It has letters that could lead elsewhere.
    #[error("a name is made of letters, digits, blanks, `-` and `_`")]
    Letters,
}

impl Stem {
    /// The name of the shelf.
    pub const SHELF: &'static str = "shelf";

    /// Returns the name as text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Returns whether it is the shelf's.
    #[must_use]
    pub fn is_shelf(&self) -> bool {
        self.0 == Self::SHELF
    }

    /// Returns the file it names in a folder.
    #[must_use]
    pub fn file_in(&self, folder: &Path) -> PathBuf {
        folder.join(format!("{}.toml", self.0))
    }

    /// Reads the name of a file; `None` where it does not end in `.toml`.
    #[must_use]
    pub fn of_file(name: &str) -> Option<Result<Self, StemError>> {
        name.strip_suffix(".toml").map(str::parse)
    }
}

impl FromStr for Stem {
    type Err = StemError;

    fn from_str(text: &str) -> Result<Self, StemError> {
        let fits = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | ' ');
        if text.is_empty() {
            return Err(StemError::Empty);
        }
        if LONGEST < text.len() {
            return Err(StemError::Long);
        }
        if !text.chars().all(fits) || text.trim() != text {
            return Err(StemError::Letters);
        }
        Ok(Self(text.to_owned()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_leads_nowhere_else() {
        for good in ["lagoon-round", "Tür 2", "shelf", "a"] {
            assert!(good.parse::<Stem>().is_ok(), "{good}");
        }
        for bad in [
            "",
            ".",
            "..",
            "../a",
            "a/b",
            "/etc/passwd",
            ".hidden",
            "a.b",
            "a\0",
            "a\n",
            " a",
            "~",
            "C:",
        ] {
            assert!(bad.parse::<Stem>().is_err(), "{bad:?}");
        }
        assert!("x".repeat(101).parse::<Stem>().is_err());
        assert_eq!(Stem::of_file("notes.txt"), None);
        assert_eq!(Stem::of_file(".toml"), Some(Err(StemError::Empty)));
    }
}
