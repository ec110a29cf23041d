//! Words of scales that are known without a profile.

use super::sense::trim;
use crate::reading::{Motion, NoWeight};

/// Returns the state that a text in place of a weight stands for.
///
/// Common practice: carets or `OL` over, underscores, `UL` or `NEG` under; what a float prints
/// for not-a-number, infinity and a number out of its range; dashes for an error.
pub(super) fn no_weight(text: &[u8]) -> Option<NoWeight> {
    let text = trim(text);
    // A number, as nearly every text is.
    if let [first, .., last] = text
        && !first.is_ascii_alphabetic()
        && last.is_ascii_digit()
    {
        return None;
    }
    let only = |mark: u8| 3 <= text.len() && text.iter().all(|&byte| byte == mark);
    if only(b'^') {
        return Some(NoWeight::Over);
    }
    if only(b'_') {
        return Some(NoWeight::Under);
    }
    if only(b'-') {
        return Some(NoWeight::Fault);
    }
    let is = |words: &[&[u8]]| words.iter().any(|word| text.eq_ignore_ascii_case(word));
    if is(&[b"OL", b"O.L.", b"OVER", b"OVERLOAD"]) {
        Some(NoWeight::Over)
    } else if is(&[b"UL", b"UNDER", b"UNDERLOAD", b"NEG", b"NEG."]) {
        Some(NoWeight::Under)
    } else if is(&[b"nan", b"-nan", b"inf", b"-inf", b"ovf", b"-ovf"]) || is_error(text) {
        Some(NoWeight::Fault)
    } else {
        None
    }
}

/// `Err`, `ERROR`, `Err 5`, `E02`; not `ES`, which one person's scale sent for ever.
fn is_error(text: &[u8]) -> bool {
    let letters = text.iter().take_while(|byte| byte.is_ascii_alphabetic());
    let (word, rest) = text.split_at(letters.count());
    let number = trim(rest);
    let numbered = number.iter().all(u8::is_ascii_digit);
    numbered
        && (word.eq_ignore_ascii_case(b"err")
            || word.eq_ignore_ascii_case(b"error")
            || (word.eq_ignore_ascii_case(b"e") && !number.is_empty()))
}

/// Returns what a plain word says about stability.
pub(super) fn motion(word: &[u8]) -> Option<Motion> {
    let is = |known: &[u8]| word.eq_ignore_ascii_case(known);
    if is(b"stable") {
        Some(Motion::Stable)
    } else if is(b"unstable") || is(b"moving") {
        Some(Motion::Moving)
    } else {
        None
    }
}
