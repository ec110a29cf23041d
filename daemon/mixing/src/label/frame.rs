//! Where the mark and the QR code of a label stand.

use super::code::{self, Code};
use super::font::Font;
use super::layout::{CodeBox, Label, PT, ROUNDING, Room, SMALLEST_PT, Text, line_height, push};
use super::remark::Remark;
use super::words::{About, Section};

/// The sizes of the mark, in points.
const MARKS_PT: [f64; 7] = [16.0, 14.0, 12.0, 10.0, 8.0, 7.0, SMALLEST_PT];
/// What lies between the text and the code, in millimetres.
const GUTTER: f64 = 2.0;
/// The largest code, in millimetres: no phone needs a larger one.
const LARGEST_CODE: f64 = 30.0;

/// Puts the mark and the code in their places, and returns the room that is left for text, and what the code does not say whole.
pub(super) fn frame(
    label: &mut Label,
    inside: Room,
    said: &[Section],
    font: &Font,
) -> (Room, Vec<About>) {
    let wide = inside.height <= inside.width;
    // Beside the text with the mark under it, beside the text alone, below the text.
    let ways: &[Way] = if wide {
        &[Way::BesideWithMark, Way::Beside]
    } else {
        &[Way::Below, Way::BesideWithMark]
    };
    for way in ways {
        let (side, mark) = way.sides(inside, &label.mark, font);
        if side + ROUNDING < code::least_side_mm() {
            continue;
        }
        // A mark above the text must not reach into the code beside it.
        let smallest = font.width(&label.mark, true) * SMALLEST_PT * PT;
        if *way == Way::Beside && beside(inside, side).width < smallest {
            continue;
        }
        let Some(code) = code::code(&label.mark, said, side) else {
            continue;
        };
        if !code.left_out.is_empty() {
            label.remarks.push(Remark::CodeLacks(code.left_out.clone()));
        }
        let right = inside.x + inside.width - side;
        let room = match (way, mark) {
            (Way::BesideWithMark, Some(size)) => {
                let high = side + line_height(size);
                let y = inside.y + (inside.height - high) / 2.0;
                label.code = Some(boxed(&code, right, y, side));
                let width = font.width(&label.mark, true) * size;
                let x = right + (side - width) / 2.0;
                push(
                    label,
                    font,
                    Text {
                        text: label.mark.clone(),
                        size,
                        strong: true,
                    },
                    x,
                    y + side,
                );
                beside(inside, side)
            }
            (Way::Below, _) => {
                label.code = Some(boxed(
                    &code,
                    inside.x + (inside.width - side) / 2.0,
                    inside.y + inside.height - side,
                    side,
                ));
                mark_above(
                    label,
                    Room {
                        height: inside.height - side,
                        ..inside
                    },
                    font,
                )
            }
            _ => {
                label.code = Some(boxed(
                    &code,
                    right,
                    inside.y + (inside.height - side) / 2.0,
                    side,
                ));
                mark_above(label, beside(inside, side), font)
            }
        };
        return (room, code.left_out);
    }
    label.remarks.push(Remark::NoCode);
    let all = said.iter().map(|section| section.about).collect();
    (mark_above(label, inside, font), all)
}

/// Where the code stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Way {
    BesideWithMark,
    Beside,
    Below,
}

impl Way {
    /// Returns how large the code may be, and the mark's size of type where it stands under the code.
    fn sides(self, inside: Room, mark: &str, font: &Font) -> (f64, Option<f64>) {
        match self {
            Self::BesideWithMark => {
                let widest = (inside.width * 0.40).min(LARGEST_CODE);
                for size in MARKS_PT.map(|size| size * PT) {
                    let side = (inside.height - line_height(size)).min(widest);
                    let fits = font.width(mark, true) * size <= side;
                    // A small label keeps its code and has a small mark, not the other way round.
                    let enough = 1.6 * code::least_side_mm() <= side || size <= SMALLEST_PT * PT;
                    if fits && enough {
                        return (side, Some(size));
                    }
                }
                (0.0, None)
            }
            Self::Beside => (
                (inside.width * 0.45).min(inside.height).min(LARGEST_CODE),
                None,
            ),
            Self::Below => (
                (inside.height * 0.42).min(inside.width).min(LARGEST_CODE),
                None,
            ),
        }
    }
}

const fn beside(inside: Room, side: f64) -> Room {
    Room {
        width: inside.width - side - GUTTER,
        ..inside
    }
}

/// Puts the mark above the text, as large as it can be, and returns the room below it.
fn mark_above(label: &mut Label, room: Room, font: &Font) -> Room {
    let fits = |size: &f64| {
        font.width(&label.mark, true) * size <= room.width
            && line_height(*size) <= room.height * 0.3
    };
    let size = MARKS_PT
        .map(|size| size * PT)
        .into_iter()
        .find(fits)
        .unwrap_or(SMALLEST_PT * PT);
    let text = Text {
        text: label.mark.clone(),
        size,
        strong: true,
    };
    push(label, font, text, room.x, room.y);
    let height = line_height(size);
    Room {
        y: room.y + height,
        height: room.height - height,
        ..room
    }
}

fn boxed(code: &Code, x: f64, y: f64, side: f64) -> CodeBox {
    let mut runs: Vec<(u16, u16, u16)> = Vec::new();
    for (row, line) in (code::QUIET..).zip(code.dark.chunks(usize::from(code.side))) {
        let mut column = code::QUIET;
        for run in line.chunk_by(|one, next| one == next) {
            let length = u16::try_from(run.len()).unwrap_or(code.side);
            if run.first() == Some(&true) {
                runs.push((row, column, length));
            }
            column += length;
        }
    }
    CodeBox {
        text: code.text.clone(),
        x,
        y,
        side,
        modules: code.side + 2 * code::QUIET,
        runs,
    }
}
