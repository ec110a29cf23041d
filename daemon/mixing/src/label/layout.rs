//! Where everything on a label stands.
//!
//! Sizes of type step down together until all fits. What does not fit at the smallest is shortened from its end and said to be
//! so, the lesser things first; the QR code has it still, as far as that has room. Nothing is cut, nothing overlaps.

use super::content::Content;
use super::font::{ABOVE, BELOW, Font};
use super::frame::frame;
use super::remark::Remark;
use super::sheet::{Sheet, Size};
use super::words::{About, Says, Section, sections};
use super::wrap::Column;

/// The smallest type, in points: what a healthy eye reads at arm's length (common practice).
pub const SMALLEST_PT: f64 = 6.0;
/// The sizes of type that are tried, in points.
const SIZES_PT: [f64; 9] = [10.0, 9.5, 9.0, 8.5, 8.0, 7.5, 7.0, 6.5, SMALLEST_PT];
/// How much larger the name is than the rest.
const NAME: f64 = 1.35;
/// A point in millimetres: 72 of them are an inch.
pub(super) const PT: f64 = 25.4 / 72.0;
/// Between two sections, in lines.
const BETWEEN: f64 = 0.18;
/// The least room inside a border, in millimetres: a mark of twelve signs and two lines of text at the smallest size.
pub(super) const LEAST_INSIDE: Size = Size {
    width: 18.0,
    height: 9.0,
};
/// Rounding of positions, in millimetres; far below what a printer can do.
pub(super) const ROUNDING: f64 = 1e-9;

/// A label, laid out.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// The mark of the batch.
    pub mark: String,
    /// Every line of text, from above.
    pub lines: Vec<Line>,
    /// The QR code, where there is room for one.
    pub code: Option<CodeBox>,
    /// What is not on it as it should be.
    pub remarks: Vec<Remark>,
}

/// One line of text; lengths in millimetres from the label's upper left corner.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// The text, with a box in the place of a letter that the font does not have.
    pub text: String,
    /// The left edge of its ink.
    pub x: f64,
    /// The upper edge of its box.
    pub y: f64,
    /// How wide its ink is.
    pub width: f64,
    /// How high its box is; no ink leaves it.
    pub height: f64,
    /// The size of its type.
    pub size: f64,
    /// Whether it is drawn strongly.
    pub strong: bool,
}

/// A QR code; lengths in millimetres from the label's upper left corner.
#[derive(Clone, Debug, PartialEq)]
pub struct CodeBox {
    /// What it says.
    pub text: String,
    /// The left edge, the white round it included.
    pub x: f64,
    /// The upper edge.
    pub y: f64,
    /// How wide and high it is, the white round it included.
    pub side: f64,
    /// How many modules a side has, the white round it included.
    pub modules: u16,
    /// The dark modules in runs along a line: line, first column and length, counted with the white round it.
    pub runs: Vec<(u16, u16, u16)>,
}

impl Line {
    /// Returns where the letters stand.
    #[must_use]
    pub fn baseline(&self) -> f64 {
        self.y + ABOVE * self.size
    }
}

/// A rectangle inside the label.
#[derive(Clone, Copy, Debug)]
pub(super) struct Room {
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) width: f64,
    pub(super) height: f64,
}

/// Lays a label out.
pub(super) fn layout(content: &Content, says: Says, sheet: &Sheet, font: &Font) -> Label {
    let border = sheet.border();
    let inside = Room {
        x: border,
        y: border,
        width: sheet.label().width - 2.0 * border,
        height: sheet.label().height - 2.0 * border,
    };
    let mut label = Label {
        mark: content.mark.clone(),
        lines: Vec::new(),
        code: None,
        remarks: Vec::new(),
    };
    let said = sections(content, says);
    let (room, only_here) = frame(&mut label, inside, &said, font);
    let mut boxed: Vec<Boxed> = Vec::new();
    let drawable: Vec<Section> = said
        .into_iter()
        .map(|section| {
            let mut letters = Vec::new();
            let about = section.about;
            let section = section.map(|text| {
                let (text, missing) = font.drawable(text);
                letters.extend(missing);
                text
            });
            boxed.extend((!letters.is_empty()).then_some(Boxed { about, letters }));
            section
        })
        .collect();
    let whole = |boxed: &Boxed| !only_here.contains(&boxed.about);
    let remarks = boxed
        .iter()
        .map(|boxed| Remark::boxed(boxed.about, &boxed.letters, whole(boxed)));
    label.remarks.extend(remarks);
    write(&mut label, room, &drawable, &only_here, font);
    label
}

/// What of a section the font cannot draw: letters that it does not have, or that are written from the right or change with
/// their neighbours, and would come out wrong letter by letter.
struct Boxed {
    about: About,
    letters: Vec<char>,
}

/// Writes the sections into their room.
fn write(label: &mut Label, room: Room, sections: &[Section], only_here: &[About], font: &Font) {
    let whole = SIZES_PT.iter().find_map(|size| {
        let texts = sections.iter().map(|section| {
            let size = size_of(section.about, *size);
            let column = column(font, room.width, size, section.about);
            (size, column.lines(&section.whole()))
        });
        let texts: Vec<(f64, Vec<String>)> = texts.collect();
        (height(&texts, size * PT) <= room.height + ROUNDING).then_some((*size, texts))
    });
    let (between, texts) = match whole {
        Some((size, texts)) => (BETWEEN * line_height(size * PT), texts),
        None => (0.0, shortened(label, room, sections, only_here, font)),
    };
    let mut y = room.y;
    for (section, (size, lines)) in sections.iter().zip(texts) {
        let any = !lines.is_empty();
        for text in lines {
            let strong = section.about == About::Name;
            push(label, font, Text { text, size, strong }, room.x, y);
            y += line_height(size);
        }
        if any {
            y += between;
        }
    }
}

/// Writes the sections at the smallest size, as far as there is room, what matters most first.
fn shortened(
    label: &mut Label,
    room: Room,
    sections: &[Section],
    only_here: &[About],
    font: &Font,
) -> Vec<(f64, Vec<String>)> {
    let size = SMALLEST_PT * PT;
    let column = |about| column(font, room.width, size, about);
    let needs: Vec<usize> = sections
        .iter()
        .map(|section| column(section.about).lines(&section.whole()).len())
        .collect();
    let mut left = lines_in(room.height, size);
    let mut by_weight: Vec<usize> = (0..sections.len()).collect();
    by_weight.sort_by_key(|place| sections[*place].about);
    let mut given = vec![0; sections.len()];
    // One line each, as long as there are any; then a few each; then all that each needs, a reason last.
    let mut reason_last = by_weight.clone();
    reason_last.sort_by_key(|place| sections[*place].about == About::Keeps);
    for (order, most) in [
        (&by_weight, 1),
        (&reason_last, 3),
        (&reason_last, usize::MAX),
    ] {
        for &place in order {
            // What a premix holds is no use while what is in the jar itself is not said.
            let waits = match sections[place].about {
                About::Premix => most < usize::MAX,
                About::Keeps => 1 < most && most < usize::MAX,
                _ => false,
            };
            if waits {
                continue;
            }
            let more =
                (needs[place].min(most) - given[place].min(needs[place].min(most))).min(left);
            given[place] += more;
            left -= more;
        }
    }
    let mut cut = Vec::new();
    let texts = sections
        .iter()
        .zip(&given)
        .zip(&needs)
        .map(|((section, &given), &need)| {
            let column = column(section.about);
            if need <= given {
                return (size, column.lines(&section.whole()));
            }
            if !cut.contains(&section.about) {
                cut.push(section.about);
            }
            if section.about == About::Keeps {
                let whole = section.whole().replace('\u{a0}', " ");
                label.remarks.push(Remark::KeepsCut(whole));
            }
            if given == 0 {
                return (size, Vec::new());
            }
            // Of a list whole things are left out, of a few words the end.
            let ways: &[&str] = match section.len() {
                1 => &[],
                // A date that is one of several more is none.
                _ if matches!(section.about, About::Made | About::Keeps) => &[],
                _ if only_here.contains(&section.about) => &[""],
                _ => &[" in the code", ""],
            };
            let shorter = std::iter::successors(section.shorter(), Section::shorter);
            let mut names = shorter.map(|section| column.lines(&section.whole()));
            let names = names.find(|lines| lines.len() <= given);
            let fewer = || {
                ways.iter().find_map(|elsewhere| {
                    (0..section.len()).rev().find_map(|few| {
                        let lines = column.lines(&section.with(few, elsewhere));
                        (lines.len() <= given).then_some(lines)
                    })
                })
            };
            let lines = names
                .or_else(fewer)
                .unwrap_or_else(|| column.at_most(&section.whole(), given).0);
            (size, lines)
        });
    let texts = texts.collect();
    cut.sort_unstable();
    if !cut.is_empty() {
        label.remarks.push(Remark::Cut(cut));
    }
    texts
}

pub(super) struct Text {
    pub(super) text: String,
    pub(super) size: f64,
    pub(super) strong: bool,
}

pub(super) fn push(
    label: &mut Label,
    font: &Font,
    Text { text, size, strong }: Text,
    x: f64,
    y: f64,
) {
    let text = text.replace('\u{a0}', " ");
    let width = font.width(&text, strong) * size;
    label.lines.push(Line {
        width,
        height: line_height(size),
        text,
        x,
        y,
        size,
        strong,
    });
}

fn column(font: &Font, width: f64, size: f64, about: About) -> Column<'_> {
    Column {
        font,
        width: width / size,
        strong: about == About::Name,
    }
}

fn size_of(about: About, pt: f64) -> f64 {
    let factor = if about == About::Name { NAME } else { 1.0 };
    pt * factor * PT
}

/// Returns how high all sections are, with what lies between them.
fn height(texts: &[(f64, Vec<String>)], size: f64) -> f64 {
    let lines: f64 = texts
        .iter()
        .map(|(size, lines)| lines.iter().map(|_| line_height(*size)).sum::<f64>())
        .sum();
    let gaps = texts.iter().skip(1).map(|_| BETWEEN * line_height(size));
    lines + gaps.sum::<f64>()
}

pub(super) fn line_height(size: f64) -> f64 {
    (ABOVE + BELOW) * size
}

/// Returns how many lines fit into a height.
fn lines_in(height: f64, size: f64) -> usize {
    (1..1000)
        .take_while(|lines| f64::from(*lines) * line_height(size) <= height + ROUNDING)
        .count()
}
