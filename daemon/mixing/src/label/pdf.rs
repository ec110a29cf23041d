//! Pages of labels as PDF (ISO 32000): the same layout, with the part of the font that is used, so that it looks the same
//! everywhere and its text can be copied.

use std::collections::BTreeMap;

use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, TextRenderingMode, UnicodeCmap};
use pdf_writer::{Content, Finish as _, Name, Pdf, Rect, Ref, Str, TextStr};
use subsetter::GlyphRemapper;
use ttf_parser::GlyphId;

use super::font::{self, Font, STROKE};
use super::layout::{CodeBox, Line, PT};
use super::pages::{Labels, Placed};
use super::sheet::Place;

const FONT: Name<'static> = Name(b"F1");
/// Six letters and a plus before the name of a font of which only a part is there (ISO 32000-1, section 9.6.4).
const PART: Name<'static> = Name(b"TAREHD+DejaVuSansCondensed");
const IDENTITY: SystemInfo<'static> = SystemInfo {
    registry: Str(b"Adobe"),
    ordering: Str(b"Identity"),
    supplement: 0,
};

/// Writes all pages as PDF.
#[must_use]
pub fn pdf(labels: &Labels) -> Vec<u8> {
    let font = Font::embedded();
    let mut used = Used::default();
    let contents: Vec<Vec<u8>> = labels
        .pages
        .iter()
        .map(|page| {
            Page {
                labels,
                font: &font,
                used: &mut used,
            }
            .content(page)
        })
        .collect();

    let mut ids = (1..).map(Ref::new);
    let mut id = || ids.next().unwrap_or(Ref::new(1));
    let (catalog, tree, info) = (id(), id(), id());
    let fonts = FontIds {
        font: id(),
        cid: id(),
        descriptor: id(),
        file: id(),
        letters: id(),
    };
    let pages: Vec<(Ref, Ref)> = contents.iter().map(|_| (id(), id())).collect();

    let mut pdf = Pdf::new();
    pdf.catalog(catalog).pages(tree);
    pdf.document_info(info)
        .title(TextStr("Labels"))
        .creator(TextStr("Tarehand"));
    let count = i32::try_from(pages.len()).unwrap_or(i32::MAX);
    pdf.pages(tree)
        .kids(pages.iter().map(|(page, _)| *page))
        .count(count);
    let size = labels.sheet.page();
    for ((page, stream), content) in pages.iter().zip(&contents) {
        let mut page = pdf.page(*page);
        page.parent(tree)
            .media_box(Rect::new(0.0, 0.0, points(size.width), points(size.height)))
            .contents(*stream);
        page.resources().fonts().pair(FONT, fonts.font);
        page.finish();
        pdf.stream(*stream, content);
    }
    used.write(&mut pdf, &fonts, &font);
    pdf.finish()
}

struct FontIds {
    font: Ref,
    cid: Ref,
    descriptor: Ref,
    file: Ref,
    letters: Ref,
}

/// The glyphs that are used.
#[derive(Default)]
struct Used {
    glyphs: GlyphRemapper,
    /// By the number a glyph has in the part: its number in the font and the letter it was first used for.
    letters: BTreeMap<u16, (u16, char)>,
}

impl Used {
    fn glyph(&mut self, id: u16, letter: char) -> u16 {
        let new = self.glyphs.remap(id);
        self.letters.entry(new).or_insert((id, letter));
        new
    }

    fn write(&self, pdf: &mut Pdf, ids: &FontIds, font: &Font) {
        pdf.type0_font(ids.font)
            .base_font(PART)
            .encoding_predefined(Name(b"Identity-H"))
            .descendant_font(ids.cid)
            .to_unicode(ids.letters);
        let mut cid = pdf.cid_font(ids.cid);
        cid.subtype(CidFontType::Type2)
            .base_font(PART)
            .system_info(IDENTITY)
            .font_descriptor(ids.descriptor)
            .default_width(0.0)
            .cid_to_gid_map_predefined(Name(b"Identity"));
        let mut widths = cid.widths();
        for (new, (old, _)) in &self.letters {
            widths.consecutive(*new, [single(font.advance(GlyphId(*old)) * 1000.0)]);
        }
        widths.finish();
        cid.finish();
        let face = font.face();
        let thousandths = |units: i16| single(f64::from(units) * 1000.0 / font.em());
        let all = face.global_bounding_box();
        pdf.font_descriptor(ids.descriptor)
            .name(PART)
            .flags(FontFlags::NON_SYMBOLIC)
            .bbox(Rect::new(
                thousandths(all.x_min),
                thousandths(all.y_min),
                thousandths(all.x_max),
                thousandths(all.y_max),
            ))
            .italic_angle(0.0)
            .ascent(thousandths(face.ascender()))
            .descent(thousandths(face.descender()))
            .cap_height(thousandths(
                face.capital_height().unwrap_or(face.ascender()),
            ))
            .stem_v(80.0)
            .font_file2(ids.file);
        // A font that cannot be divided would go in whole; this one can.
        let part = subsetter::subset(font::BYTES, 0, &self.glyphs)
            .unwrap_or_else(|_| font::BYTES.to_vec());
        let length = i32::try_from(part.len()).unwrap_or(i32::MAX);
        pdf.stream(ids.file, &part).pair(Name(b"Length1"), length);
        let mut letters = UnicodeCmap::<u16>::new(Name(b"Letters"), IDENTITY);
        for (new, (_, letter)) in &self.letters {
            letters.pair(*new, *letter);
        }
        pdf.cmap(ids.letters, &letters.finish().into_vec());
    }
}

/// A page being written.
struct Page<'a> {
    labels: &'a Labels,
    font: &'a Font,
    used: &'a mut Used,
}

impl Page<'_> {
    fn content(mut self, page: &[Placed]) -> Vec<u8> {
        let mut content = Content::new();
        content.set_fill_gray(0.0).set_stroke_gray(0.0);
        for Placed { at, label } in page {
            for line in &label.lines {
                self.text(line, *at, &mut content);
            }
            if let Some(code) = &label.code {
                self.code(code, *at, &mut content);
            }
        }
        content.finish().into_vec()
    }

    fn text(&mut self, line: &Line, at: Place, content: &mut Content) {
        let drawn = self.font.draw(&line.text, line.strong);
        let mut glyphs = Vec::new();
        for glyph in drawn.glyphs {
            glyphs.extend(self.used.glyph(glyph.id, glyph.letter).to_be_bytes());
        }
        content.begin_text().set_font(FONT, points(line.size));
        if line.strong {
            content
                .set_text_rendering_mode(TextRenderingMode::FillStroke)
                .set_line_width(points(2.0 * STROKE * line.size));
        } else {
            content.set_text_rendering_mode(TextRenderingMode::Fill);
        }
        let x = points(at.x + line.x + drawn.indent * line.size);
        content
            .set_text_matrix([1.0, 0.0, 0.0, 1.0, x, self.up(at.y + line.baseline())])
            .show(Str(&glyphs))
            .end_text();
    }

    fn code(&self, code: &CodeBox, at: Place, content: &mut Content) {
        // One module is one unit, counted downwards: whole numbers are short.
        let module = points(code.side / f64::from(code.modules));
        let (x, y) = (points(at.x + code.x), self.up(at.y + code.y));
        content
            .save_state()
            .transform([module, 0.0, 0.0, -module, x, y]);
        for (row, column, length) in &code.runs {
            content.rect(f32::from(*column), f32::from(*row), f32::from(*length), 1.0);
        }
        content.fill_nonzero().restore_state();
    }

    /// Returns how far from the page's lower edge something stands that is so far from its upper edge.
    fn up(&self, mm: f64) -> f32 {
        points(self.labels.sheet.page().height - mm)
    }
}

/// Returns millimetres in points.
fn points(mm: f64) -> f32 {
    single(mm / PT)
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a PDF has numbers of single precision, which tell a thousandth of a millimetre on any page"
)]
const fn single(number: f64) -> f32 {
    number as f32
}
