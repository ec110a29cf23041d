//! A scene as it is drawn.

use std::time::Duration;

use tarehand_protocol::api::{View, WeightNow};

use super::super::line::Line;
use super::super::render::render;
use super::super::scene::{Asking, Link, Scene, Weight};
use super::super::style::{DRAWN, Marks, Size, Style};
use crate::output::Ink;

/// A scene, to be changed by the test.
pub(super) struct Shot {
    pub(super) view: View,
    pub(super) weight: Option<WeightNow>,
    pub(super) age_ms: u64,
    pub(super) since_view: Duration,
    pub(super) link: Link,
    pub(super) asking: Asking,
    pub(super) marks: &'static Marks,
}

impl Shot {
    pub(super) fn new(view: View, weight: Option<WeightNow>) -> Self {
        Self {
            view,
            weight,
            age_ms: 60,
            since_view: Duration::ZERO,
            link: Link::Live,
            asking: Asking::Nothing,
            marks: &DRAWN,
        }
    }

    pub(super) fn lines(&self, columns: usize, rows: usize) -> Vec<Line> {
        let scene = Scene {
            view: &self.view,
            since_view: self.since_view,
            weight: self.weight.as_ref().map(|now| Weight {
                now,
                age_ms: self.age_ms,
            }),
            link: self.link,
            asking: &self.asking,
            notice: None,
        };
        let style = Style {
            ink: Ink::Plain,
            marks: self.marks,
        };
        let lines = render(&scene, Size { columns, rows }, style);
        assert_eq!(lines.len(), rows, "as many lines as rows");
        for line in &lines {
            assert!(line.width() <= columns, "too long: {}", line.text());
        }
        lines
    }

    /// The text of the screen; `|` marks the left edge.
    pub(super) fn text(&self, columns: usize, rows: usize) -> String {
        let lines = self.lines(columns, rows);
        let lines = lines
            .iter()
            .map(|line| format!("|{}", line.text().trim_end()));
        lines.collect::<Vec<_>>().join("\n")
    }
}
