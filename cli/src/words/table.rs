//! Tables of plain text, no wider than the terminal they are printed on.

use std::ops::Range;

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// What stands in a column: which side it is set against, and what may be done where there is no room for it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Column {
    /// Marks, keys, dates and single words: always whole.
    Left,
    /// Numbers with their units: always whole.
    Right,
    /// A name that may end early, with `…`: whoever wants all of it finds it by the mark beside it.
    Name,
    /// Words of which none may be lost: they go on below.
    Prose,
}

/// How much room there is from left to right.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Width {
    /// A terminal of so many columns.
    Columns(usize),
    /// A file or a program, for which nothing is shortened.
    Full,
}

/// The blanks before each column.
const GAP: usize = 2;
/// How much further in what stands below its row's first line.
const BELOW: usize = 4;
/// Less of a name is none (our own choice).
const LEAST_NAME: usize = 10;
/// Words in a narrower column are hard to read (our own choice).
const LEAST_PROSE: usize = 20;

/// Columns that stand side by side; those for which there is no room there stand below.
struct Band {
    columns: Range<usize>,
    indent: usize,
    widths: Vec<usize>,
}

/// Sets rows in columns, two blanks apart, no blanks at the ends of lines.
pub(crate) fn table(columns: &[Column], rows: &[Vec<String>], width: Width) -> String {
    let natural: Vec<usize> = (0..columns.len())
        .map(|column| {
            let cells = rows.iter().filter_map(|row| row.get(column));
            cells.map(|cell| cell.width()).max().unwrap_or(0)
        })
        .collect();
    let bands = match width {
        Width::Full => vec![Band {
            columns: 0..columns.len(),
            indent: 0,
            widths: natural,
        }],
        Width::Columns(room) => bands(columns, &natural, room),
    };
    let lines = rows.iter().flat_map(|row| {
        let bands = bands.iter();
        bands.flat_map(|band| lines(columns, row, band))
    });
    lines.collect::<Vec<_>>().join("\n")
}

/// Puts as many columns side by side as there is room for.
fn bands(columns: &[Column], natural: &[usize], room: usize) -> Vec<Band> {
    let least: Vec<usize> = columns
        .iter()
        .zip(natural)
        .map(|(column, &natural)| match column {
            Column::Left | Column::Right => natural,
            Column::Name => natural.min(LEAST_NAME),
            Column::Prose => natural.min(LEAST_PROSE),
        })
        .collect();
    let mut bands = Vec::new();
    let mut from = 0;
    while from < columns.len() {
        let indent = if from == 0 { 0 } else { BELOW };
        let mut used = indent;
        let mut to = from;
        while to < columns.len() && (to == from || used + GAP + least[to] <= room) {
            used += GAP + least[to];
            to += 1;
        }
        let widths = narrowed(&natural[from..to], &least[from..to], room, indent);
        bands.push(Band {
            columns: from..to,
            indent,
            widths,
        });
        from = to;
    }
    bands
}

/// Makes the widest columns narrower until all have room; none gets less than its least.
fn narrowed(natural: &[usize], least: &[usize], room: usize, indent: usize) -> Vec<usize> {
    let mut widths = natural.to_vec();
    let all: usize = widths.iter().map(|width| GAP + width).sum();
    for _ in room..indent + all {
        let wide = (0..widths.len()).filter(|&at| least[at] < widths[at]);
        match wide.max_by_key(|&at| widths[at]) {
            Some(widest) => widths[widest] -= 1,
            None => break,
        }
    }
    widths
}

/// Writes the cells of a row that stand side by side; nothing below a row where nothing stands there.
fn lines(columns: &[Column], row: &[String], band: &Band) -> Vec<String> {
    let cells: Vec<(Column, usize, Vec<String>)> = band
        .columns
        .clone()
        .zip(&band.widths)
        .map(|(at, &width)| {
            let cell = row.get(at).map_or("", String::as_str);
            let cell = match columns[at] {
                Column::Left | Column::Right => vec![cell.to_owned()],
                Column::Name => vec![cut(cell, width)],
                Column::Prose => flowed(cell, width),
            };
            (columns[at], width, cell)
        })
        .collect();
    let is_empty = cells.iter().all(|(.., cell)| cell.concat().is_empty());
    if 0 < band.indent && is_empty {
        return Vec::new();
    }
    let height = cells.iter().map(|(.., cell)| cell.len()).max().unwrap_or(0);
    let line = |nth: usize| {
        let mut line = " ".repeat(band.indent);
        for (column, width, cell) in &cells {
            let part = cell.get(nth).map_or("", String::as_str);
            let room = " ".repeat(width.saturating_sub(part.width()));
            let (before, after) = match column {
                Column::Right => (room.as_str(), ""),
                Column::Left | Column::Name | Column::Prose => ("", room.as_str()),
            };
            line.push_str(&format!("{}{before}{part}{after}", " ".repeat(GAP)));
        }
        line.trim_end().to_owned()
    };
    (0..height).map(line).collect()
}

/// Returns the beginning of a text that has room, with `…` where it is not all of it.
fn cut(text: &str, width: usize) -> String {
    if text.width() <= width {
        return text.to_owned();
    }
    let (begin, _) = split(text, width.saturating_sub(1));
    format!("{}…", begin.trim_end())
}

/// Returns the lines of a text that is no wider than so much; a number stays beside its unit.
fn flowed(text: &str, width: usize) -> Vec<String> {
    if text.width() <= width {
        return vec![text.to_owned()];
    }
    let mut lines = vec![String::new()];
    for word in kept_together(text) {
        let last = lines.last_mut().expect("there is one from the beginning");
        if last.is_empty() {
            *last = word;
        } else if last.width() + 1 + word.width() <= width {
            *last = format!("{last} {word}");
        } else {
            lines.push(word);
        }
        // What is wider than the whole column has no better place to break.
        while let Some(last) = lines.pop_if(|last| width < last.width()) {
            let (begin, rest) = split(&last, width);
            if begin.is_empty() || rest.is_empty() {
                lines.push(last);
                break;
            }
            lines.extend([begin.to_owned(), rest.to_owned()]);
        }
    }
    lines
}

/// Returns the words of a text, those that say one thing together as one: `± 0.4`, `12 g`, `45 %`.
fn kept_together(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let is_unit =
            word.chars().count() <= 3 && !word.contains(|c: char| c.is_ascii_digit() || c == '–');
        match words.last_mut() {
            Some(last)
                if (is_unit && last.ends_with(|c: char| c.is_ascii_digit())) || last == "±" =>
            {
                *last = format!("{last} {word}");
            }
            _ => words.push(word.to_owned()),
        }
    }
    words
}

/// Splits a text behind the last letter that has room.
fn split(text: &str, width: usize) -> (&str, &str) {
    let mut used = 0;
    let end = text.char_indices().find_map(|(at, letter)| {
        used += letter.width().unwrap_or(0);
        (width < used).then_some(at)
    });
    text.split_at(end.unwrap_or(text.len()))
}

#[cfg(test)]
mod tests;
