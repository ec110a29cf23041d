//! Tables of plain text.

use unicode_width::UnicodeWidthStr;

/// Which side a column is set against.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Column {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

/// Sets rows in columns, two blanks apart, no blanks at the ends of lines.
pub(crate) fn table(columns: &[Column], rows: &[Vec<String>]) -> String {
    let widths: Vec<usize> = (0..columns.len())
        .map(|column| {
            let cells = rows.iter().filter_map(|row| row.get(column));
            cells.map(|cell| cell.width()).max().unwrap_or(0)
        })
        .collect();
    let lines = rows.iter().map(|row| {
        let mut line = String::new();
        for ((cell, column), width) in row.iter().zip(columns).zip(&widths) {
            let room = " ".repeat(width - cell.width());
            let (before, after) = match column {
                Column::Left => ("", room.as_str()),
                Column::Right => (room.as_str(), ""),
            };
            line.push_str(&format!("  {before}{cell}{after}"));
        }
        line.trim_end().to_owned()
    });
    lines.collect::<Vec<_>>().join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wide_letters_keep_the_columns_straight() {
        let row = |name: &str, grams: &str| vec![name.to_owned(), grams.to_owned()];
        let text = table(
            &[Column::Left, Column::Right],
            &[row("白", "1.0"), row("grey", "10.0")],
        );
        assert_eq!(text, "  白     1.0\n  grey  10.0");
    }
}
