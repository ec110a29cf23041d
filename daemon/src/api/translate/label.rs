//! What is not on a label as it should be, as data.

use tarehand_mixing::label::{About, Remark, SMALLEST_PT, least_code_mm, letter_named};
use tarehand_protocol::api::{AboutWord, LabelSaid};

/// Returns a remark on the label of a batch.
#[must_use]
pub fn label_said(mark: &str, remark: &Remark) -> LabelSaid {
    let mark = mark.to_owned();
    let words = |about: &[About]| about.iter().copied().map(about_word).collect();
    match remark {
        Remark::CodeLacks(about) => LabelSaid::CodeLacks {
            mark,
            about: words(about),
        },
        Remark::NoCode => LabelSaid::NoCode {
            mark,
            needs_mm: least_code_mm(),
        },
        Remark::Boxed {
            about,
            letters,
            more,
            in_code,
        } => LabelSaid::Boxed {
            mark,
            about: about_word(*about),
            letters: letters.iter().copied().map(letter_named).collect(),
            more: (*more).try_into().unwrap_or(u64::MAX),
            in_code: *in_code,
        },
        Remark::KeepsCut(text) => LabelSaid::KeepsCut {
            mark,
            text: text.clone(),
        },
        Remark::Cut(about) => LabelSaid::Cut {
            mark,
            about: words(about),
            points: SMALLEST_PT,
        },
    }
}

const fn about_word(about: About) -> AboutWord {
    match about {
        About::Name => AboutWord::Name,
        About::Made => AboutWord::Made,
        About::Cautions => AboutWord::Cautions,
        About::Keeps => AboutWord::Keeps,
        About::Contents => AboutWord::Contents,
        About::Beside => AboutWord::Beside,
        About::Premix => AboutWord::Premix,
    }
}
