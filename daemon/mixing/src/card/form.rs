//! In which form a card is written.

use super::{Card, Country, SetCard, json_ld, markdown, set_json_ld, set_markdown, set_text, text};

/// In which form a card is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// Plain text.
    Text,
    /// Markdown.
    Markdown,
    /// JSON-LD, a `HowTo` of schema.org.
    JsonLd,
}

impl Form {
    /// Writes a card in this form, with an end of line.
    #[must_use]
    pub fn write(self, card: &Card, country: Option<Country>) -> String {
        match self {
            Self::Text => text(card, country),
            Self::Markdown => markdown(card, country),
            // The alternate form of a JSON value is the one with lines and indents.
            Self::JsonLd => format!("{:#}\n", json_ld(card, country)),
        }
    }

    /// Writes the card of a set in this form, with an end of line.
    #[must_use]
    pub fn write_set(self, card: &SetCard, country: Option<Country>) -> String {
        match self {
            Self::Text => set_text(card, country),
            Self::Markdown => set_markdown(card, country),
            Self::JsonLd => format!("{:#}\n", set_json_ld(card, country)),
        }
    }

    /// Returns its media type.
    #[must_use]
    pub const fn media_type(self) -> &'static str {
        match self {
            Self::Text => "text/plain",
            Self::Markdown => "text/markdown",
            Self::JsonLd => "application/ld+json",
        }
    }
}
