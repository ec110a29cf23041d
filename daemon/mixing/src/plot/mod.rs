//! The weight over time as a picture (SVG), with the steps marked: read by eye in light, dark and print.
//!
//! | file | reason to exist |
//! |---|---|
//! | `scale` | round numbers along an axis |
//! | `thin` | no more points than the picture has columns, and no peak lost |
//! | `draw` | the picture itself |

mod draw;
mod scale;
mod thin;

use tarehand_protocol::Mass;

use crate::tick::Tick;

/// What is drawn.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Plot {
    /// What it is of.
    pub title: String,
    /// The gross weight over time, in order.
    pub weights: Vec<(Tick, Mass)>,
    /// Where each step began, in order.
    pub steps: Vec<StepMark>,
}

/// Where a step began.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StepMark {
    /// When.
    pub at: Tick,
    /// Its number, as the record counts.
    pub number: u32,
    /// What was done.
    pub name: String,
}

impl Plot {
    /// Draws it; a picture that says so where no weight was kept.
    #[must_use]
    pub fn svg(&self) -> String {
        draw::svg(self)
    }
}
