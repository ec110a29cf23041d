//! The texts a check works on; whoever calls has read them already.

use std::collections::BTreeMap;

use crate::shelf::Draw;

/// One file's text, under the name that messages call it by.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    file: String,
    text: String,
    /// Where the bytes stop being UTF-8, if they do.
    broken_at: Option<usize>,
}

impl Source {
    /// Makes a source of text.
    #[must_use]
    pub fn new(file: impl Into<String>, text: impl Into<String>) -> Self {
        Self {
            file: file.into(),
            text: text.into(),
            broken_at: None,
        }
    }

    /// Makes a source of a file's bytes; bytes that are not UTF-8 become a diagnostic later.
    #[must_use]
    pub fn from_bytes(file: impl Into<String>, bytes: &[u8]) -> Self {
        let broken_at = std::str::from_utf8(bytes).err();
        Self {
            file: file.into(),
            text: String::from_utf8_lossy(bytes).into_owned(),
            broken_at: broken_at.map(|error| error.valid_up_to()),
        }
    }

    /// Returns the name that messages call it by.
    #[must_use]
    pub fn file(&self) -> &str {
        &self.file
    }

    /// Returns the text.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    pub(crate) const fn broken_at(&self) -> Option<usize> {
        self.broken_at
    }
}

/// The recipes of one folder and the shelf that goes with them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sources {
    recipes: BTreeMap<String, Source>,
    shelf: Option<Source>,
    drawn: BTreeMap<String, Vec<Draw>>,
}

impl Sources {
    /// Makes an empty set: no recipe, no shelf.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a recipe under its file's stem (`harbour.toml` is `harbour`).
    #[must_use]
    pub fn with_recipe(mut self, stem: impl Into<String>, source: Source) -> Self {
        self.recipes.insert(stem.into(), source);
        self
    }

    /// Sets the shelf.
    #[must_use]
    pub fn with_shelf(self, source: Source) -> Self {
        Self {
            shelf: Some(source),
            ..self
        }
    }

    /// Says what batches drew from the shelf, by ingredient: every stock is then less by what was drawn since it was
    /// known.
    #[must_use]
    pub fn with_drawn(self, drawn: BTreeMap<String, Vec<Draw>>) -> Self {
        Self { drawn, ..self }
    }

    /// Returns what batches drew from the shelf; nothing where nobody said.
    #[must_use]
    pub const fn drawn(&self) -> &BTreeMap<String, Vec<Draw>> {
        &self.drawn
    }

    /// Returns the recipe of that stem.
    #[must_use]
    pub fn recipe(&self, stem: &str) -> Option<&Source> {
        self.recipes.get(stem)
    }

    /// Returns the stems of all recipes, sorted.
    pub fn stems(&self) -> impl Iterator<Item = &str> {
        self.recipes.keys().map(String::as_str)
    }

    /// Returns the shelf.
    #[must_use]
    pub const fn shelf(&self) -> Option<&Source> {
        self.shelf.as_ref()
    }

    pub(crate) fn text_of(&self, file: &str) -> Option<&str> {
        let mut all = self.recipes.values().chain(&self.shelf);
        all.find(|source| source.file == file)
            .map(|source| source.text.as_str())
    }
}
