//! Lines of the screen: text with a tone, cut to the width it has.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use crate::words::shown;

/// How a text is meant; the words say the same.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Tone {
    /// As it is.
    #[default]
    Plain,
    /// What is to be read first.
    Strong,
    /// What may be passed over.
    Faint,
    /// As wanted.
    Good,
    /// Take care.
    Care,
    /// Not as wanted.
    Bad,
}

/// A text in one tone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Span {
    /// The text, without control characters.
    pub(crate) text: String,
    /// Its tone.
    pub(crate) tone: Tone,
}

/// One line of the screen.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Line {
    /// Its parts from left to right.
    pub(crate) spans: Vec<Span>,
}

impl Line {
    /// Makes a line of one text.
    pub(crate) fn new(text: impl AsRef<str>, tone: Tone) -> Self {
        Self::default().with(text, tone)
    }

    /// Adds a text to the right.
    pub(crate) fn with(mut self, text: impl AsRef<str>, tone: Tone) -> Self {
        let text = shown(text.as_ref()).into_owned();
        match self.spans.last_mut() {
            Some(last) if last.tone == tone => last.text.push_str(&text),
            _ => self.spans.push(Span { text, tone }),
        }
        self
    }

    /// Returns how many columns it takes.
    pub(crate) fn width(&self) -> usize {
        self.spans.iter().map(|span| span.text.width()).sum()
    }

    /// Fills with blanks up to a column.
    pub(crate) fn padded(self, width: usize) -> Self {
        let room = width.saturating_sub(self.width());
        self.with(" ".repeat(room), Tone::Plain)
    }

    /// Cuts what does not fit, and says so with `…`.
    pub(crate) fn cut(self, width: usize, ellipsis: char) -> Self {
        if self.width() <= width {
            return self;
        }
        let mut room = width.saturating_sub(1);
        let mut line = Self::default();
        for span in self.spans {
            let mut text = String::new();
            for letter in span.text.chars() {
                let columns = letter.width().unwrap_or(0);
                if room < columns {
                    text.push(ellipsis);
                    return line.with(text, span.tone);
                }
                room -= columns;
                text.push(letter);
            }
            line = line.with(text, span.tone);
        }
        line
    }

    /// Returns the text alone.
    #[cfg(test)]
    pub(crate) fn text(&self) -> String {
        self.spans.iter().map(|span| span.text.as_str()).collect()
    }
}

/// Breaks a text between words into at most `most` lines.
pub(crate) fn wrapped(text: &str, width: usize, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in shown(text)
        .split([' ', '\t'])
        .filter(|word| !word.is_empty())
    {
        match lines.last_mut() {
            Some(line) if line.width() + 1 + word.width() <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    if most < lines.len() {
        let rest = lines.split_off(most.max(1) - 1).join(" ");
        lines.push(rest);
    }
    // They have done their work: keeping a number with its unit.
    for line in &mut lines {
        *line = line.replace('\u{a0}', " ");
    }
    lines
}

/// Sets parts beside each other, two blanks apart, in as few lines as the width allows.
pub(crate) fn packed(parts: &[String], width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for part in parts {
        match lines.last_mut() {
            Some(line) if line.width() + 2 + part.width() <= width => {
                line.push_str("  ");
                line.push_str(part);
            }
            _ => lines.push(part.clone()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_that_is_too_long_is_cut_and_says_so() {
        let line = Line::new("Chalk ", Tone::Plain).with("white, matt", Tone::Good);
        assert_eq!(line.clone().cut(17, '…').text(), "Chalk white, matt");
        assert_eq!(line.cut(9, '…').text(), "Chalk wh…");
        assert_eq!(Line::new("白白白", Tone::Plain).cut(4, '…').text(), "白…");
    }

    #[test]
    fn text_is_broken_between_words() {
        assert_eq!(
            wrapped("slowly into the jar", 10, 3),
            ["slowly", "into the", "jar"]
        );
        assert_eq!(
            wrapped("slowly into the jar", 10, 2),
            ["slowly", "into the jar"]
        );
    }
}
