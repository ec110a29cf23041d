//! The beam: the arm of a steelyard, a poise that travels along it to a notch.
//!
//! The notch is as wide as the tolerance. Inside it the poise sinks in; past it the arm tips.

use super::line::{Line, Tone};
use super::style::Marks;

/// Rows of the picture.
pub(crate) const ROWS: usize = 5;

/// What the beam shows, in grams of the running step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Beam {
    /// Where the notch begins.
    pub(crate) low_g: f64,
    /// Where the notch ends.
    pub(crate) high_g: f64,
    /// Where the poise is; `None` while there is no weight.
    pub(crate) at_g: Option<f64>,
}

/// Where the poise is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Poise {
    /// Nobody knows.
    Away,
    /// Before the notch.
    Before,
    /// In the notch.
    Inside,
    /// Past the notch.
    Past,
}

/// How far the arm tips: every `1` is one step down along the arm.
type Tilt = usize;

impl Beam {
    /// Returns where the poise is.
    pub(crate) fn poise(&self) -> Poise {
        match self.at_g {
            None => Poise::Away,
            Some(at) if at < self.low_g => Poise::Before,
            Some(at) if at <= self.high_g => Poise::Inside,
            Some(_) => Poise::Past,
        }
    }

    /// Returns how many grams the whole arm is long.
    fn span_g(&self) -> f64 {
        let width = self.high_g - self.low_g;
        (self.high_g * 1.2).max(self.high_g + width).max(1e-6)
    }

    /// Returns how far the arm tips.
    fn tilt(&self) -> Tilt {
        let width = (self.high_g - self.low_g).max(0.02 * self.high_g);
        match self.at_g {
            Some(at) if self.high_g + width < at => 2,
            Some(at) if self.high_g < at => 1,
            _ => 0,
        }
    }

    /// Draws the beam into a width; five rows.
    pub(crate) fn draw(&self, width: usize, label: &str, marks: &Marks) -> Vec<Line> {
        let length = width.max(12);
        let column = |grams: f64| cell(grams / self.span_g(), length);
        // The arm needs room for both lips of the notch.
        let first = column(self.low_g).clamp(2, length - 3);
        let last = column(self.high_g).clamp(first, length - 3);
        let tilt = self.tilt();
        let row_of = |column: usize| 1 + (column * (tilt + 1) / length).min(tilt);
        let poise = self.poise();
        let tone = match poise {
            Poise::Away => Tone::Faint,
            Poise::Before => Tone::Strong,
            Poise::Inside => Tone::Good,
            Poise::Past => Tone::Bad,
        };

        let mut canvas = Canvas::new(length);
        for at in 0..length {
            if !(first..=last).contains(&at) {
                canvas.put(row_of(at), at, marks.arm, Tone::Plain);
            }
        }
        canvas.put(2, 0, marks.pivot, Tone::Faint);
        let [left, right, left_foot, floor, right_foot] = marks.notch;
        canvas.put(row_of(first - 1), first - 1, left, Tone::Strong);
        canvas.put(row_of(last + 1), last + 1, right, Tone::Strong);
        // The floor hangs together, whichever way the arm tips under it.
        let under = row_of(first) + 1;
        canvas.put(under, first - 1, left_foot, Tone::Strong);
        for at in first..=last {
            canvas.put(under, at, floor, Tone::Strong);
        }
        canvas.put(under, last + 1, right_foot, Tone::Strong);
        canvas.write(
            under,
            first.saturating_sub(2 + label.chars().count()),
            label,
        );
        if let Some(at_g) = self.at_g {
            let at = match poise {
                Poise::Away | Poise::Before => column(at_g).min(first - 1),
                Poise::Inside => column(at_g).clamp(first, last),
                Poise::Past => column(at_g).max(last + 1),
            };
            let [left, middle, right] = marks.poise;
            let row = match poise {
                Poise::Inside => row_of(first),
                Poise::Away | Poise::Before | Poise::Past => row_of(at) - 1,
            };
            canvas.put(row, at, middle, tone);
            if poise != Poise::Inside {
                if 0 < at {
                    canvas.put(row, at - 1, left, tone);
                }
                canvas.put(row, at + 1, right, tone);
            }
        }
        canvas.into_lines()
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "a float-to-integer `as` saturates, and columns are few"
)]
fn cell(fraction: f64, length: usize) -> usize {
    ((fraction * (length - 1) as f64).round() as usize).min(length - 1)
}

/// A few rows of cells to draw on.
struct Canvas {
    rows: Vec<Vec<(char, Tone)>>,
}

impl Canvas {
    fn new(width: usize) -> Self {
        Self {
            rows: vec![vec![(' ', Tone::Plain); width]; ROWS],
        }
    }

    /// Draws a mark; outside nothing is drawn.
    fn put(&mut self, row: usize, column: usize, mark: char, tone: Tone) {
        if let Some(cell) = self.rows.get_mut(row).and_then(|row| row.get_mut(column)) {
            *cell = (mark, tone);
        }
    }

    fn write(&mut self, row: usize, column: usize, text: &str) {
        for (offset, letter) in text.chars().enumerate() {
            self.put(row, column + offset, letter, Tone::Faint);
        }
    }

    fn into_lines(self) -> Vec<Line> {
        let lines = self.rows.into_iter().map(|row| {
            let end = row.iter().rposition(|&(mark, _)| mark != ' ');
            let cells = row.into_iter().take(end.map_or(0, |end| end + 1));
            cells.fold(Line::default(), |line, (mark, tone)| {
                line.with(mark.to_string(), tone)
            })
        });
        lines.collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::style::{DRAWN, TYPED};
    use super::*;

    fn drawn(at_g: Option<f64>, marks: &Marks) -> String {
        let beam = Beam {
            low_g: 56.0,
            high_g: 58.0,
            at_g,
        };
        let lines = beam.draw(48, "57.0 g", marks);
        lines.iter().map(Line::text).collect::<Vec<_>>().join("\n")
    }

    #[test]
    fn the_poise_travels_along_the_level_arm() {
        insta::assert_snapshot!(drawn(Some(20.0), &DRAWN), @r"
                     ▐█▌
        ━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━┓  ┏━━━━━━━
        ▲                             57.0 g ┗━━┛
        ");
    }

    #[test]
    fn the_poise_sinks_into_the_notch() {
        insta::assert_snapshot!(drawn(Some(57.2), &DRAWN), @r"
        ━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━┓ █┏━━━━━━━
        ▲                             57.0 g ┗━━┛
        ");
    }

    #[test]
    fn the_arm_tips_past_the_notch() {
        insta::assert_snapshot!(drawn(Some(58.5), &DRAWN), @r"
        ━━━━━━━━━━━━━━━━━━━━━━━━               ▐█▌
        ▲                       ━━━━━━━━━━━━━┓  ┏━━━━━━━
                                      57.0 g ┗━━┛
        ");
        insta::assert_snapshot!(drawn(Some(64.0), &DRAWN), @r"
        ━━━━━━━━━━━━━━━━
        ▲               ━━━━━━━━━━━━━━━━          ▐█▌
                                        ━━━━━┓  ┏━━━━━━━
                                      57.0 g ┗━━┛
        ");
    }

    #[test]
    fn it_can_be_typed_where_it_cannot_be_drawn() {
        insta::assert_snapshot!(drawn(Some(64.0), &TYPED), @r"
        ================
        ^               ================          [#]
                                        =====.  .=======
                                      57.0 g `--'
        ");
    }

    #[test]
    fn any_weight_and_any_width_can_be_drawn() {
        for at in [-5.0, 0.0, 1e-9, 1e9, f64::INFINITY, f64::NAN] {
            for (low, high) in [(0.0, 0.0), (-0.2, 0.2), (56.0, 58.0), (1.0, 900.0)] {
                for width in [0, 12, 39, 300] {
                    let beam = Beam {
                        low_g: low,
                        high_g: high,
                        at_g: Some(at),
                    };
                    assert_eq!(beam.draw(width, "57 g", &DRAWN).len(), ROWS);
                }
            }
        }
    }
}
