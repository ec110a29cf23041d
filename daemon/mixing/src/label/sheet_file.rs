//! Reads the file of a sheet of labels: `[page]`, `[label]` and `[grid]`, in millimetres.

use std::ops::Range;

use toml::de::{DeTable, DeValue};

use super::layout::LEAST_INSIDE;
use super::sheet::{Microns, Sheet, mm};
use crate::diagnostic::Diagnostic;
use crate::document::{Fields, Problems, Source};
use crate::ratio::Ratio;
use crate::units::{Length, parse_number};

/// The file of the sheet that is meant when nobody says.
pub const USUAL: &str = include_str!("usual.toml");

/// The longest edge of a page, in micrometres: the longer one of A0 (ISO 216).
const LONGEST: u32 = 1_189_000;
/// The most columns or rows.
const MOST: u16 = 100;

/// Reads the file of a sheet; `None` where a diagnostic is an error.
pub(super) fn parse(source: &Source) -> (Option<Sheet>, Vec<Diagnostic>) {
    let (mut problems, document) = Problems::parse(source);
    let sheet = read(&document, &mut problems);
    let sheet = sheet.filter(|_| !problems.has_errors());
    (sheet, problems.into_list())
}

/// A length as written, and where.
type Written = (u32, Range<usize>);

fn read(document: &DeTable<'_>, problems: &mut Problems<'_>) -> Option<Sheet> {
    let mut fields = Fields::new(document);
    let page = fields.table("page", problems);
    let label = fields.table("label", problems);
    let grid = fields.table("grid", problems);
    fields.finish("a sheet of labels", problems);

    let page = page.and_then(|(table, range)| {
        let mut fields = Fields::new(table);
        let size = size(&mut fields, ["210 mm", "297 mm"], &range, problems);
        fields.finish("a page", problems);
        size
    });
    let label = label.and_then(|(table, range)| {
        let mut fields = Fields::new(table);
        let size = size(&mut fields, ["70 mm", "37 mm"], &range, problems);
        let border =
            length(&mut fields, "border", "2 mm", problems).map_or(2_000, |(border, _)| border);
        let corner = length(&mut fields, "corner", "2 mm", problems);
        fields.finish("a label", problems);
        size.map(|size| (size, border, corner))
    });
    let grid = grid.and_then(|(table, _)| {
        let mut fields = Fields::new(table);
        let columns = count(&mut fields, "columns", problems);
        let rows = count(&mut fields, "rows", problems);
        let mut from = |key, example| {
            length(&mut fields, key, example, problems).map_or(0, |(length, _)| length)
        };
        let first = Microns {
            across: from("left", "5 mm"),
            down: from("top", "10 mm"),
        };
        let gap = Microns {
            across: from("across", "2.5 mm"),
            down: from("down", "2 mm"),
        };
        fields.finish("the grid", problems);
        Some((columns?, rows?, first, gap))
    });
    if problems.is_readable() {
        for (key, there) in [
            ("page", document.contains_key("page")),
            ("label", document.contains_key("label")),
            ("grid", document.contains_key("grid")),
        ] {
            if !there {
                problems
                    .error(0..0, format!("a sheet of labels has no [{key}]"))
                    .help = Some("a sheet has [page], [label] and [grid]".to_owned());
            }
        }
    }
    let [(page_width, _), (page_height, _)] = page?;
    let ([label_width, label_height], border, corner) = label?;
    let ((columns, columns_at), (rows, rows_at), first, gap) = grid?;
    let sheet = Sheet {
        page: Microns {
            across: page_width,
            down: page_height,
        },
        label: Microns {
            across: label_width.0,
            down: label_height.0,
        },
        border,
        corner: corner.as_ref().map_or(0, |(corner, _)| *corner),
        columns,
        rows,
        first,
        gap,
    };
    if let Some((corner, at)) = corner
        && sheet.label.across.min(sheet.label.down) < 2 * corner
    {
        problems.error(at, "the corners are rounder than the label is wide or high");
    }
    for (size, border, least, what) in [
        (&label_width, sheet.border(), LEAST_INSIDE.width, "wide"),
        (&label_height, sheet.border(), LEAST_INSIDE.height, "high"),
    ] {
        let inside = mm(size.0) - 2.0 * border;
        if inside < least {
            problems
                .error(
                    size.1.clone(),
                    format!("inside its border of {border:.1} mm the label is {:.1} mm {what}, too little to be read", inside.max(0.0)),
                )
                .help = Some(format!("at least {least} mm are needed there"));
        }
    }
    let across = Row {
        key: "columns",
        count: columns,
        first: first.across,
        each: label_width.0,
        gap: gap.across,
        page: page_width,
        margin: "left",
        what: "wide",
    };
    across.must_fit(columns_at, problems);
    let down = Row {
        key: "rows",
        count: rows,
        first: first.down,
        each: label_height.0,
        gap: gap.down,
        page: page_height,
        margin: "top",
        what: "high",
    };
    down.must_fit(rows_at, problems);
    Some(sheet)
}

/// Labels beside or below each other, in micrometres, and the words for that way.
struct Row {
    key: &'static str,
    count: u16,
    first: u32,
    each: u32,
    gap: u32,
    page: u32,
    margin: &'static str,
    what: &'static str,
}

impl Row {
    /// Says it where they are longer than the page.
    fn must_fit(&self, at: Range<usize>, problems: &mut Problems<'_>) {
        let (key, what, margin) = (self.key, self.what, self.margin);
        let count = u64::from(self.count);
        let labels = count * u64::from(self.each);
        let all = u64::from(self.first) + labels + (count - 1) * u64::from(self.gap);
        if u64::from(self.page) < all {
            problems
                .error(
                    at,
                    format!(
                        "{count} {key} come to {} mm with what lies before and between them, and the page is {} mm {what}",
                        short(all),
                        short(u64::from(self.page)),
                    ),
                )
                .help = Some(format!("take fewer {key}, or measure the label, `{margin}` and the gap again"));
        }
    }
}

/// Writes micrometres as millimetres, exactly and without needless zeros.
fn short(microns: u64) -> String {
    let text = format!("{}.{:03}", microns / 1000, microns % 1000);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn size(
    fields: &mut Fields<'_, '_>,
    [width, height]: [&str; 2],
    table: &Range<usize>,
    problems: &mut Problems<'_>,
) -> Option<[Written; 2]> {
    let mut side = |key, example| {
        let side = length(fields, key, example, problems);
        match &side {
            None if !fields.has(key) => {
                problems
                    .error(table.clone(), format!("`{key}` is missing"))
                    .help = Some(format!("write {key} = \"{example}\""));
            }
            Some((0, at)) => {
                problems
                    .error(at.clone(), format!("`{key}` is nothing"))
                    .help = Some(format!("write {key} = \"{example}\""));
            }
            _ => {}
        }
        side
    };
    let (width, height) = (side("width", width), side("height", height));
    Some([width?, height?])
}

/// Reads a length, which may be nothing, to the nearest micrometre.
fn length(
    fields: &mut Fields<'_, '_>,
    key: &'static str,
    example: &str,
    problems: &mut Problems<'_>,
) -> Option<Written> {
    let text = fields.text(key, example, problems)?;
    let nothing = parse_number(text.get_ref().trim()).is_ok_and(|(number, unit)| {
        Ratio::from_decimal(number).is_zero() && ["mm", "cm", "in"].contains(&unit)
    });
    if nothing {
        return Some((0, text.span()));
    }
    match text.get_ref().parse::<Length>() {
        Ok(length) => {
            let microns = (length.mm() * &Ratio::new(1000, 1)).to_mass().micrograms();
            let microns = u32::try_from(microns)
                .ok()
                .filter(|microns| *microns <= LONGEST);
            if microns.is_none() {
                problems
                    .error(text.span(), format!("`{key}` is longer than a sheet of A0"))
                    .help = Some(format!("write {key} = \"{example}\""));
            }
            microns.map(|microns| (microns, text.span()))
        }
        Err(error) => {
            problems.error(text.span(), error.to_string()).help =
                Some(format!("write {key} = \"{example}\""));
            None
        }
    }
}

/// Reads how many columns or rows there are; one where nobody says.
fn count(
    fields: &mut Fields<'_, '_>,
    key: &'static str,
    problems: &mut Problems<'_>,
) -> Option<(u16, Range<usize>)> {
    let Some(value) = fields.value(key) else {
        return Some((1, 0..0));
    };
    let text = match value.get_ref() {
        DeValue::Integer(number) => number.as_str(),
        _ => "",
    };
    let count = text.parse().ok().filter(|count| (1..=MOST).contains(count));
    if count.is_none() {
        problems
            .error(
                value.span(),
                format!("`{key}` is a whole number from 1 to {MOST}"),
            )
            .help = Some(format!("write {key} = 3"));
    }
    Some((count?, value.span()))
}
