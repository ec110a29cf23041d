//! What the terminal can show.

use crate::output::Ink;

/// How many columns and rows there are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Size {
    /// Columns.
    pub(crate) columns: usize,
    /// Rows.
    pub(crate) rows: usize,
}

/// What the terminal can show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Style {
    /// Whether there is colour.
    pub(crate) ink: Ink,
    /// The marks to draw with.
    pub(crate) marks: &'static Marks,
}

/// The marks to draw with.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Marks {
    /// A solid cell of a big digit.
    pub(crate) block: char,
    /// The arm of the beam.
    pub(crate) arm: char,
    /// Where the arm hangs.
    pub(crate) pivot: char,
    /// The notch: left lip, right lip, left foot, floor, right foot.
    pub(crate) notch: [char; 5],
    /// The poise: left, middle, right.
    pub(crate) poise: [char; 3],
    /// A step that is done, being done, open.
    pub(crate) done: char,
    /// The step that is being done.
    pub(crate) now: char,
    /// A step that is still to be done.
    pub(crate) open: char,
    /// Between parts of a line.
    pub(crate) dot: char,
    /// Where a line was cut.
    pub(crate) ellipsis: char,
    /// Before a trouble.
    pub(crate) warning: char,
}

/// For terminals that show Unicode.
pub(crate) static DRAWN: Marks = Marks {
    block: '█',
    arm: '━',
    pivot: '▲',
    notch: ['┓', '┏', '┗', '━', '┛'],
    poise: ['▐', '█', '▌'],
    done: '✓',
    now: '▸',
    open: '·',
    dot: '·',
    ellipsis: '…',
    warning: '!',
};

/// For all others.
pub(crate) static TYPED: Marks = Marks {
    block: '#',
    arm: '=',
    pivot: '^',
    notch: ['.', '.', '`', '-', '\''],
    poise: ['[', '#', ']'],
    done: '+',
    now: '>',
    open: '.',
    dot: '-',
    ellipsis: '~',
    warning: '!',
};

impl Style {
    /// Returns what this process's terminal can show.
    pub(crate) fn of_process(ink: Ink) -> Self {
        let locale = ["LC_ALL", "LC_CTYPE", "LANG"]
            .into_iter()
            .filter_map(std::env::var_os)
            .find(|value| !value.is_empty());
        let locale = locale.map(|value| value.to_string_lossy().to_ascii_lowercase());
        let unicode = locale.is_some_and(|locale| locale.contains("utf"));
        let marks = if unicode { &DRAWN } else { &TYPED };
        Self { ink, marks }
    }
}
