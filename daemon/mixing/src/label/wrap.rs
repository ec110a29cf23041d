//! A text in lines that are no wider than there is room.

use super::font::{Font, Reach};

/// A width to write in.
pub(super) struct Column<'f> {
    pub(super) font: &'f Font,
    /// How wide it is, in ems of the text.
    pub(super) width: f64,
    pub(super) strong: bool,
}

impl Column<'_> {
    /// Breaks a text at its blanks, and within a word where that alone is wider than the column.
    pub(super) fn lines(&self, text: &str) -> Vec<String> {
        let mut lines = Vec::new();
        let (mut line, mut reach) = (String::new(), Reach::default());
        for word in text.split(' ').filter(|word| !word.is_empty()) {
            if !line.is_empty() {
                let longer = self.font.reach(self.font.reach(reach, " "), word);
                if self.fits(longer) {
                    line = line + " " + word;
                    reach = longer;
                    continue;
                }
                lines.push(std::mem::take(&mut line));
            }
            (line, reach) = self.broken(word, &mut lines);
        }
        lines.push(line);
        lines.retain(|line| !line.trim().is_empty());
        lines
    }

    /// Breaks a text into at most so many lines; what does not fit becomes a `…`. Says whether anything was left out.
    pub(super) fn at_most(&self, text: &str, most: usize) -> (Vec<String>, bool) {
        let mut lines = self.lines(text);
        if lines.len() <= most {
            return (lines, false);
        }
        lines.truncate(most);
        if let Some(last) = lines.last_mut() {
            *last = self.with_dots(last);
        }
        (lines, true)
    }

    /// Ends a line with a `…`: after a whole word where there is one, since half a number would be another number.
    fn with_dots(&self, line: &str) -> String {
        const LOOSE: [char; 4] = [' ', '·', ',', ';'];
        let mut kept = line.trim_end_matches(LOOSE);
        loop {
            let shorter = format!("{kept}…");
            if self.font.width(&shorter, self.strong) <= self.width || kept.is_empty() {
                return shorter;
            }
            kept = match kept.rsplit_once(' ') {
                Some((before, _)) => before.trim_end_matches(LOOSE),
                None => kept.char_indices().last().map_or("", |(at, _)| &kept[..at]),
            };
        }
    }

    fn fits(&self, reach: Reach) -> bool {
        reach.width(self.strong) <= self.width
    }

    /// Breaks a word that is too wide; whole lines go to `lines`, the rest is returned.
    fn broken(&self, word: &str, lines: &mut Vec<String>) -> (String, Reach) {
        let (mut line, mut reach) = (String::new(), Reach::default());
        for letter in word.chars() {
            let mut bytes = [0; 4];
            let one: &str = letter.encode_utf8(&mut bytes);
            let mut longer = self.font.reach(reach, one);
            // A column that is narrower than one letter holds one letter a line.
            if !self.fits(longer) && !line.is_empty() {
                lines.push(std::mem::take(&mut line));
                longer = self.font.reach(Reach::default(), one);
            }
            line.push(letter);
            reach = longer;
        }
        (line, reach)
    }
}
