//! Labels on pages.

use super::content::Content;
use super::font::Font;
use super::layout::{Label, layout};
use super::remark::Remark;
use super::sheet::{Place, Sheet};
use super::words::Says;

/// Labels on pages.
#[derive(Clone, Debug, PartialEq)]
pub struct Labels {
    /// The sheet they are on.
    pub sheet: Sheet,
    /// The labels of each page.
    pub pages: Vec<Vec<Placed>>,
}

/// A label in its place on a page.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// Its upper left corner.
    pub at: Place,
    /// The label.
    pub label: Label,
}

/// Why labels cannot be put on a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoRoom {
    /// The sheet has no such label.
    #[error("the sheet has no label {first}: it has 1 to {labels}, counted along its rows")]
    First {
        /// Which was to be the first.
        first: u32,
        /// How many there are.
        labels: u32,
    },
}

/// Lays labels out on pages, from the first free label of the first page on, counted from 1 along the rows.
///
/// # Errors
/// When the sheet has no such label.
pub fn labels(
    contents: &[Content],
    says: Says,
    sheet: &Sheet,
    first: u32,
) -> Result<Labels, NoRoom> {
    let on_page = sheet.labels();
    let before = first
        .checked_sub(1)
        .filter(|before| *before < on_page)
        .ok_or(NoRoom::First {
            first,
            labels: on_page,
        })?;
    let font = Font::embedded();
    let mut pages: Vec<Vec<Placed>> = Vec::new();
    for (content, place) in contents.iter().zip(before..) {
        if pages.is_empty() || place % on_page == 0 {
            pages.push(Vec::new());
        }
        let placed = Placed {
            at: sheet.place(place),
            label: layout(content, says, sheet, &font),
        };
        if let Some(page) = pages.last_mut() {
            page.push(placed);
        }
    }
    Ok(Labels {
        sheet: *sheet,
        pages,
    })
}

impl Labels {
    /// Returns what is not on a label as it should be, with its mark.
    pub fn remarks(&self) -> impl Iterator<Item = (&str, &Remark)> {
        let labels = self.pages.iter().flatten().map(|placed| &placed.label);
        labels.flat_map(|label| {
            label
                .remarks
                .iter()
                .map(|remark| (label.mark.as_str(), remark))
        })
    }
}
