//! A sheet of labels: a page of a printer with rows and columns of them.

use super::sheet_file;
use crate::diagnostic::Diagnostic;
use crate::document::Source;

/// A sheet of labels that fits its page. Lengths are kept in whole micrometres and said in millimetres.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sheet {
    pub(super) page: Microns,
    pub(super) label: Microns,
    pub(super) border: u32,
    pub(super) corner: u32,
    pub(super) columns: u16,
    pub(super) rows: u16,
    pub(super) first: Microns,
    pub(super) gap: Microns,
}

/// Two lengths in micrometres: along the page's width, and along its height.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Microns {
    pub(super) across: u32,
    pub(super) down: u32,
}

/// A size in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    /// The width.
    pub width: f64,
    /// The height.
    pub height: f64,
}

/// Where something stands, in millimetres from the upper left corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// From the left.
    pub x: f64,
    /// From above.
    pub y: f64,
}

impl Sheet {
    /// Reads the file of a sheet; `None` where a diagnostic is an error.
    #[must_use]
    pub fn parse(source: &Source) -> (Option<Self>, Vec<Diagnostic>) {
        sheet_file::parse(source)
    }

    /// Returns the sheet that is meant when nobody says.
    #[must_use]
    pub fn usual() -> Self {
        let source = Source::new("usual.toml", sheet_file::USUAL);
        Self::parse(&source).0.expect("the usual sheet is good")
    }

    /// Returns the size of the page.
    #[must_use]
    pub fn page(&self) -> Size {
        self.page.size()
    }

    /// Returns the size of a label.
    #[must_use]
    pub fn label(&self) -> Size {
        self.label.size()
    }

    /// Returns how much of a label's edge stays white, in millimetres: the border, or more where a round corner would cut into
    /// what is printed.
    #[must_use]
    pub fn border(&self) -> f64 {
        // The corner of a rectangle lies on the arc of radius r when it is r (1 - 1/√2) from both edges.
        let round = mm(self.corner) * (1.0 - std::f64::consts::FRAC_1_SQRT_2);
        mm(self.border).max(round)
    }

    /// Returns the radius of a label's corners in millimetres.
    #[must_use]
    pub fn corner(&self) -> f64 {
        mm(self.corner)
    }

    /// Returns how many labels are on a page.
    #[must_use]
    pub fn labels(&self) -> u32 {
        u32::from(self.columns) * u32::from(self.rows)
    }

    /// Returns where a label of the page begins, counted by rows from 0; beyond the last one the count begins anew.
    #[must_use]
    pub fn place(&self, label: u32) -> Place {
        let columns = u32::from(self.columns);
        let (row, column) = (label % self.labels() / columns, label % columns);
        let at = |first: u32, each: u32, gap: u32, count: u32| {
            mm(first) + f64::from(count) * (mm(each) + mm(gap))
        };
        Place {
            x: at(
                self.first.across,
                self.label.across,
                self.gap.across,
                column,
            ),
            y: at(self.first.down, self.label.down, self.gap.down, row),
        }
    }
}

impl Microns {
    fn size(self) -> Size {
        Size {
            width: mm(self.across),
            height: mm(self.down),
        }
    }
}

pub(super) fn mm(microns: u32) -> f64 {
    f64::from(microns) / 1000.0
}
