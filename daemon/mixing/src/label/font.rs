//! The font of labels: one, embedded, so that a text is as wide everywhere as it was measured here.

use std::cell::RefCell;
use std::collections::HashMap;

use ttf_parser::{Face, GlyphId};

/// DejaVu Sans Condensed; its licence lies beside it.
pub(super) const BYTES: &[u8] = include_bytes!("font/DejaVuSansCondensed.ttf");

/// How far a line of text reaches above its baseline, in ems. Letters that reach further are not drawn.
pub(super) const ABOVE: f64 = 1.05;
/// How far it reaches below.
pub(super) const BELOW: f64 = 0.25;
/// How far the stroke round a strong letter reaches beyond its outline, in ems.
pub(super) const STROKE: f64 = 0.015;

/// What stands where the font has no letter.
const STAND_IN: char = '□';

/// Scripts that are written from right to left, or whose letters change with their neighbours: drawn letter by letter from the
/// left they would be wrong, so they are not drawn (blocks of the Unicode Standard).
const NOT_BY_LETTER: [(char, char); 8] = [
    ('\u{590}', '\u{8ff}'),
    ('\u{900}', '\u{109f}'),
    ('\u{1100}', '\u{11ff}'),
    ('\u{1780}', '\u{18af}'),
    ('\u{200b}', '\u{200f}'),
    ('\u{202a}', '\u{202e}'),
    ('\u{2066}', '\u{206f}'),
    ('\u{fb1d}', '\u{feff}'),
];

/// The font, ready to measure.
pub(super) struct Font {
    face: Face<'static>,
    em: f64,
    /// What was looked up: a label asks for the same letters again and again.
    letters: RefCell<HashMap<char, Option<Letter>>>,
}

/// A letter as it is drawn, lengths in ems.
#[derive(Clone, Copy, Debug)]
struct Letter {
    id: GlyphId,
    advance: f64,
    /// Where its ink begins and ends.
    ink: Option<(f64, f64)>,
}

/// How far a text reaches, in ems from its first glyph's place; grows letter by letter.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Reach {
    at: f64,
    left: f64,
    right: f64,
}

impl Reach {
    fn add(&mut self, letter: Letter) {
        if let Some((from, to)) = letter.ink {
            self.left = self.left.min(self.at + from);
            self.right = self.right.max(self.at + to);
        }
        self.at += letter.advance;
        self.right = self.right.max(self.at);
    }

    /// Returns how wide it is, ink and all.
    pub(super) fn width(self, strong: bool) -> f64 {
        let stroke = if strong { STROKE } else { 0.0 };
        self.right - self.left + 2.0 * stroke
    }
}

/// A text as it is drawn, lengths in ems.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Drawn {
    /// Its glyphs, from the left.
    pub(super) glyphs: Vec<Glyph>,
    /// How far its ink begins to the left of its first glyph's place.
    pub(super) indent: f64,
}

/// One glyph of a text.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Glyph {
    pub(super) id: u16,
    pub(super) letter: char,
    /// Where it stands, from the first one's place.
    pub(super) at: f64,
}

impl Font {
    pub(super) fn embedded() -> Self {
        let face = Face::parse(BYTES, 0).expect("the embedded font is one");
        let em = f64::from(face.units_per_em());
        Self {
            face,
            em,
            letters: RefCell::default(),
        }
    }

    pub(super) const fn face(&self) -> &Face<'static> {
        &self.face
    }

    /// Returns the units of an em.
    pub(super) const fn em(&self) -> f64 {
        self.em
    }

    /// Returns the text with a box where a letter cannot be drawn, and those letters.
    pub(super) fn drawable(&self, text: &str) -> (String, Vec<char>) {
        let mut missing = Vec::new();
        let drawn = text.chars().map(|letter| {
            if self.glyph(letter).is_some() {
                return letter;
            }
            missing.push(letter);
            STAND_IN
        });
        (drawn.collect(), missing)
    }

    /// Returns how a drawable text is drawn.
    pub(super) fn draw(&self, text: &str, strong: bool) -> Drawn {
        let mut reach = Reach::default();
        let mut glyphs = Vec::new();
        for letter in text.chars() {
            if let Some(drawn) = self.glyph(letter) {
                glyphs.push(Glyph {
                    id: drawn.id.0,
                    letter,
                    at: reach.at,
                });
                reach.add(drawn);
            }
        }
        let stroke = if strong { STROKE } else { 0.0 };
        Drawn {
            glyphs,
            indent: stroke - reach.left,
        }
    }

    /// Returns how far a text reaches with more of it.
    pub(super) fn reach(&self, so_far: Reach, more: &str) -> Reach {
        let mut reach = so_far;
        for letter in more.chars() {
            if let Some(drawn) = self.glyph(letter) {
                reach.add(drawn);
            }
        }
        reach
    }

    /// Returns how wide a drawable text is, in ems.
    pub(super) fn width(&self, text: &str, strong: bool) -> f64 {
        self.reach(Reach::default(), text).width(strong)
    }

    /// Returns how far on the next glyph stands, in ems.
    pub(super) fn advance(&self, id: GlyphId) -> f64 {
        f64::from(self.face.glyph_hor_advance(id).unwrap_or(0)) / self.em
    }

    fn glyph(&self, letter: char) -> Option<Letter> {
        let mut letters = self.letters.borrow_mut();
        *letters
            .entry(letter)
            .or_insert_with(|| self.look_up(letter))
    }

    fn look_up(&self, letter: char) -> Option<Letter> {
        let by_letter = !NOT_BY_LETTER
            .iter()
            .any(|(first, last)| (*first..=*last).contains(&letter));
        let id = self.face.glyph_index(letter).filter(|_| by_letter)?;
        let ink = self.face.glyph_bounding_box(id);
        let fits = ink.is_none_or(|ink| {
            f64::from(ink.y_max) <= (ABOVE - STROKE) * self.em
                && (STROKE - BELOW) * self.em <= f64::from(ink.y_min)
        });
        fits.then(|| Letter {
            id,
            advance: self.advance(id),
            ink: ink.map(|ink| {
                (
                    f64::from(ink.x_min) / self.em,
                    f64::from(ink.x_max) / self.em,
                )
            }),
        })
    }
}
