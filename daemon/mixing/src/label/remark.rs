//! What is not on a label as it should be.

use std::fmt;

use super::code;
use super::layout::SMALLEST_PT;
use super::words::About;

/// How many letters that cannot be drawn are named of a section.
const MOST_LETTERS: usize = 12;

/// One thing that is not on a label as it should be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Remark {
    /// The code has no room for all of these.
    CodeLacks(Vec<About>),
    /// The label is too small for a code.
    NoCode,
    /// Letters that the font cannot draw stand as boxes.
    Boxed {
        /// In which section.
        about: About,
        /// Which, once each; the first of them.
        letters: Vec<char>,
        /// How many more there are.
        more: usize,
        /// Whether the code says them.
        in_code: bool,
    },
    /// Until when the mix is good has no room.
    KeepsCut(String),
    /// These have no room at the smallest type.
    Cut(Vec<About>),
}

impl Remark {
    /// Returns the remark on letters that cannot be drawn, each named once.
    pub(super) fn boxed(about: About, all: &[char], in_code: bool) -> Self {
        let mut letters: Vec<char> = Vec::new();
        for letter in all {
            if !letters.contains(letter) {
                letters.push(*letter);
            }
        }
        let more = letters.len().saturating_sub(MOST_LETTERS);
        letters.truncate(MOST_LETTERS);
        Self::Boxed {
            about,
            letters,
            more,
            in_code,
        }
    }
}

/// Returns the narrowest code that a phone reads, in millimetres.
#[must_use]
pub fn least_code_mm() -> f64 {
    code::least_side_mm()
}

/// Names a letter by itself and by its number.
#[must_use]
pub fn letter_named(letter: char) -> String {
    format!("{letter} (U+{:04X})", u32::from(letter))
}

impl fmt::Display for Remark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::CodeLacks(about) => {
                write!(f, "the code has no room for all of {}", listed(about))
            }
            Self::NoCode => write!(
                f,
                "it is too small for a QR code, which needs {:.1} mm",
                least_code_mm()
            ),
            Self::Boxed {
                about,
                letters,
                more,
                in_code,
            } => {
                let letters: Vec<String> = letters.iter().copied().map(letter_named).collect();
                let more = match more {
                    0 => String::new(),
                    more => format!(" and {more} more"),
                };
                let elsewhere = if *in_code {
                    "the code on the label says them"
                } else {
                    "and the code on the label does not say all of them: write them on by hand"
                };
                write!(
                    f,
                    "{} has letters that the label's font cannot draw, they stand as □: {}{more}; {elsewhere}",
                    about.word(),
                    letters.join(" ")
                )
            }
            Self::KeepsCut(whole) => write!(f, "it has no room for all of: {whole}"),
            Self::Cut(about) => write!(
                f,
                "at {SMALLEST_PT} points it has no room for all of {}",
                listed(about)
            ),
        }
    }
}

fn listed(about: &[About]) -> String {
    let words: Vec<&str> = about.iter().map(|about| about.word()).collect();
    words.join(", ")
}
