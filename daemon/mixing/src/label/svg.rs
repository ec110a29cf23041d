//! A page of labels as SVG.
//!
//! Letters are drawn as outlines: whoever opens the picture has not got the font, and another one would be wider than was
//! measured. What they say stands beside them as text for those who hear it, and for a search.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use ttf_parser::{GlyphId, OutlineBuilder};

use super::font::{Font, STROKE};
use super::layout::{CodeBox, Line};
use super::pages::{Labels, Placed};
use super::sheet::Place;
use crate::markup::escaped;

/// Writes one page as SVG at real size; `None` where there is no such page, counted from 0.
#[must_use]
pub fn svg(labels: &Labels, page: usize) -> Option<String> {
    let page = labels.pages.get(page)?;
    let font = Font::embedded();
    let size = labels.sheet.page();
    let mut glyphs: BTreeMap<u16, String> = BTreeMap::new();
    let mut body = String::new();
    for Placed { at, label } in page {
        body.push_str("<g>");
        for line in &label.lines {
            text(line, *at, &font, &mut glyphs, &mut body);
        }
        if let Some(one) = &label.code {
            code(one, *at, &mut body);
        }
        body.push_str("</g>\n");
    }
    let defs: String = glyphs
        .iter()
        .map(|(id, path)| format!("<path id=\"g{id}\" d=\"{path}\"/>\n"))
        .collect();
    let (width, height) = (number(size.width), number(size.height));
    Some(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {width} {height}\">\n\
         <defs>\n{defs}</defs>\n<rect width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>\n{body}</svg>\n"
    ))
}

fn text(
    line: &Line,
    at: Place,
    font: &Font,
    glyphs: &mut BTreeMap<u16, String>,
    body: &mut String,
) {
    let drawn = font.draw(&line.text, line.strong);
    let said = escaped(&line.text);
    let stroke = if line.strong {
        format!(
            " stroke=\"#000\" stroke-width=\"{}\"",
            number(2.0 * STROKE * font.em())
        )
    } else {
        String::new()
    };
    let scale = line.size / font.em();
    let _infallible = write!(
        body,
        "<g role=\"img\" aria-label=\"{said}\" transform=\"translate({} {}) scale({scale:.6} -{scale:.6})\"{stroke}><title>{said}</title>",
        number(at.x + line.x + drawn.indent * line.size),
        number(at.y + line.baseline()),
    );
    for glyph in drawn.glyphs {
        let path = glyphs.entry(glyph.id).or_insert_with(|| {
            let mut outline = Outline::default();
            // A blank has none.
            let _ink = font.face().outline_glyph(GlyphId(glyph.id), &mut outline);
            outline.0
        });
        if !path.is_empty() {
            let _infallible = write!(
                body,
                "<use href=\"#g{}\" x=\"{}\"/>",
                glyph.id,
                number(glyph.at * font.em())
            );
        }
    }
    body.push_str("</g>\n");
}

fn code(code: &CodeBox, at: Place, body: &mut String) {
    let module = code.side / f64::from(code.modules);
    let _infallible = write!(
        body,
        "<g role=\"img\" aria-label=\"QR\" transform=\"translate({} {}) scale({module:.6})\"><title>{}</title><path shape-rendering=\"crispEdges\" d=\"",
        number(at.x + code.x),
        number(at.y + code.y),
        escaped(&code.text),
    );
    for (row, column, length) in &code.runs {
        let _infallible = write!(body, "M{column} {row}h{length}v1h-{length}z");
    }
    body.push_str("\"/></g>\n");
}

/// An outline as the data of a path (SVG 2, section 9.3), in the font's units with y upwards.
#[derive(Default)]
struct Outline(String);

impl Outline {
    fn command(&mut self, letter: char, numbers: &[f32]) {
        self.0.push(letter);
        for (place, number) in numbers.iter().enumerate() {
            let space = if place == 0 { "" } else { " " };
            let _infallible = write!(self.0, "{space}{number}");
        }
    }
}

impl OutlineBuilder for Outline {
    fn move_to(&mut self, x: f32, y: f32) {
        self.command('M', &[x, y]);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.command('L', &[x, y]);
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        self.command('Q', &[x1, y1, x, y]);
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        self.command('C', &[x1, y1, x2, y2, x, y]);
    }

    fn close(&mut self) {
        self.command('Z', &[]);
    }
}

/// Writes a number to a ten-thousandth of a millimetre.
fn number(number: f64) -> String {
    let text = format!("{number:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
