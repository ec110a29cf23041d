//! The QR code of a label (ISO/IEC 18004): the mark, then in plain text what the label says, for any phone without a network.

use qrcode::bits::Bits;
use qrcode::types::Color;
use qrcode::{EcLevel, QrCode, Version};

use super::words::{About, Section};

/// The white round a code, in modules (ISO/IEC 18004, section 5.3.8 of the edition of 2015: four).
pub(super) const QUIET: u16 = 4;
/// The least size of a module in millimetres. The standard leaves it to the device that reads; a phone at arm's length reads this
/// one from an office printer (common practice).
pub(super) const LEAST_MODULE_MM: f64 = 0.33;
/// How much of a code may be smeared: 15 % (level M), or 7 % (level L) where only then all it should say has room.
const LEVELS: [EcLevel; 2] = [EcLevel::M, EcLevel::L];
/// The assignment number of UTF-8 among the extended channel interpretations; without one a text is ISO/IEC 8859-1.
const UTF_8: u32 = 26;
/// Sections that are said without amounts or reasons when not all fits, the first ones first.
const SHORTER: [&[About]; 2] = [&[About::Premix, About::Keeps], &[About::Contents]];
/// How many letters of a name are kept then, and when nothing else is left to shorten.
const NAMES: [usize; 2] = [60, 20];
/// Sections that are shortened when not all fits, the first one first.
const LEAST: [About; 4] = [
    About::Premix,
    About::Contents,
    About::Beside,
    About::Cautions,
];

/// A code, drawn.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Code {
    /// What it says.
    pub(super) text: String,
    /// How many modules a side has, without the white round it.
    pub(super) side: u16,
    /// Which modules are dark, line by line.
    pub(super) dark: Vec<bool>,
    /// What had to be left out of the text.
    pub(super) left_out: Vec<About>,
}

/// Returns the least side of a code with the white round it, in millimetres.
pub(super) fn least_side_mm() -> f64 {
    f64::from(21 + 2 * QUIET) * LEAST_MODULE_MM
}

/// Makes the code that says as much as a square of that side has room for, in millimetres with the white round it.
pub(super) fn code(mark: &str, sections: &[Section], side_mm: f64) -> Option<Code> {
    let most = (1..=40)
        .take_while(|version| {
            f64::from(17 + 4 * version + i16::try_from(2 * QUIET).ok().unwrap_or(0))
                * LEAST_MODULE_MM
                <= side_mm
        })
        .last()?;
    let mut keep: Vec<usize> = sections.iter().map(Section::len).collect();
    let mut left_out: Vec<About> = Vec::new();
    let mut name = usize::MAX;
    let mut notice = true;
    let mut sections = sections.to_vec();
    let mut shorter = SHORTER.iter();
    loop {
        let text = text(mark, &sections, &keep, name, notice);
        for level in LEVELS {
            if let Some(version) = (1..=most).find(|version| fits(&text, *version, level)) {
                let long = |section: &Section| {
                    section.about == About::Name && section.whole().chars().nth(name).is_some()
                };
                if sections.iter().any(long) && !left_out.contains(&About::Name) {
                    left_out.push(About::Name);
                }
                return drawn(text, version, level, left_out);
            }
        }
        if let Some(about) = shorter.next() {
            name = NAMES[0];
            for (section, keep) in sections.iter_mut().zip(&mut keep) {
                if about.contains(&section.about)
                    && let Some(shorter) = section.shorter()
                {
                    *keep = shorter.len();
                    left_out.push(section.about);
                    *section = shorter;
                }
            }
            left_out.dedup();
            continue;
        }
        let next = LEAST.iter().find_map(|about| {
            let of_it = |place: &usize| sections[*place].about == *about && 0 < keep[*place];
            (0..sections.len()).rev().find(of_it)
        });
        if next.is_none() && notice {
            notice = false;
            continue;
        }
        if next.is_none() && NAMES[1] < name {
            name = NAMES[1];
            continue;
        }
        let next = next.or_else(|| (0..sections.len()).rev().find(|place| 0 < keep[*place]))?;
        keep[next] -= 1;
        if !left_out.contains(&sections[next].about) {
            left_out.push(sections[next].about);
        }
    }
}

/// Writes the text: a line a section. A section of which nothing is kept is left out, or said to be there.
fn text(mark: &str, sections: &[Section], keep: &[usize], name: usize, notice: bool) -> String {
    let mut lines = vec![mark.to_owned()];
    for (section, &few) in sections.iter().zip(keep) {
        // A caution that has no room is at least said to be there.
        if 0 < few || (notice && section.about == About::Cautions) {
            let mut line = section.with(few, "").replace('\u{a0}', " ");
            if section.about == About::Name
                && let Some((cut, _)) = line.char_indices().nth(name)
            {
                line.truncate(cut);
                line.push('…');
            }
            lines.push(line);
        }
    }
    lines.join("\n")
}

/// Says whether a text fits into a version: the kind of the text, its length, and its bytes (ISO/IEC 18004, tables 2, 3 and 7).
fn fits(text: &str, version: i16, level: EcLevel) -> bool {
    let length = if version <= 9 { 8 } else { 16 };
    let kind = if text.is_ascii() { 4 } else { 4 + 8 + 4 };
    let room = Bits::new(Version::Normal(version)).max_len(level);
    room.is_ok_and(|room| kind + length + 8 * text.len() <= room)
}

fn drawn(text: String, version: i16, level: EcLevel, left_out: Vec<About>) -> Option<Code> {
    let mut bits = Bits::new(Version::Normal(version));
    if !text.is_ascii() {
        bits.push_eci_designator(UTF_8).ok()?;
    }
    bits.push_byte_data(text.as_bytes()).ok()?;
    bits.push_terminator(level).ok()?;
    let code = QrCode::with_bits(bits, level).ok()?;
    Some(Code {
        text,
        side: u16::try_from(code.width()).ok()?,
        dark: code
            .to_colors()
            .into_iter()
            .map(|color| color == Color::Dark)
            .collect(),
        left_out,
    })
}
