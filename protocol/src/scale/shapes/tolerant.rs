//! The reader of scales nobody described: it tries the shapes and never guesses.

use super::{labelled, letter_fill, lettered, number, numbers, status_bytes, status_head};
use crate::reading::{NoWeight, Reading};
use crate::scale::octets;
use crate::scale::sense::{Sense, trim};
use crate::scale::why::Why;
use crate::scale::words;

/// Reads a frame by the shape it has.
///
/// # Errors
/// The first reason that is more than "not my shape"; [`Why::Unrecognised`] when there is none.
pub(in crate::scale) fn read(body: &[u8], after_stx: bool, sense: &Sense) -> Result<Reading, Why> {
    if !octets::only_text(body) {
        return Err(Why::NotText);
    }
    if after_stx {
        settled(status_bytes::read(body, sense))
            .or_else(|| letters(body, sense))
            .unwrap_or_else(|| read_line(body, sense))
    } else {
        read_line(body, sense)
    }
}

fn read_line(body: &[u8], sense: &Sense) -> Result<Reading, Why> {
    let line = trim(body);
    let number = number::read(line, sense);
    match number {
        Err(Why::Unrecognised | Why::Comma(_)) => {}
        read => return read,
    }
    if let Some(numbers) = numbers::list(line).filter(|_| !one_comma(line)) {
        return Err(Why::SeveralNumbers(numbers));
    }
    if let Err(Why::Comma(_)) = number {
        return number;
    }
    settled(status_head::read(line, sense))
        .or_else(|| settled(lettered::read(body, sense)))
        .or_else(|| displayed(line).map(|state| Ok(Reading::NoWeight(state))))
        .or_else(|| settled(labelled::read(line, sense)))
        .unwrap_or(Err(Why::Unrecognised))
}

/// `12,34` is not yet two numbers; `34.78,2.30` is.
fn one_comma(line: &[u8]) -> bool {
    let commas = line.iter().filter(|&&byte| byte == b',').count();
    let others = line
        .iter()
        .any(|byte| !byte.is_ascii_digit() && !matches!(byte, b',' | b'+' | b'-'));
    commas == 1 && !others
}

/// Only a profile tells that the numbers of such a frame are stable.
fn letters(body: &[u8], sense: &Sense) -> Option<Result<Reading, Why>> {
    match letter_fill::read(body, sense) {
        Ok(Reading::NoWeight(state)) => Some(Ok(Reading::NoWeight(state))),
        Ok(Reading::Weight(_)) | Err(_) => None,
    }
}

/// A state in place of a weight; a `D` may stand before what the display shows.
fn displayed(line: &[u8]) -> Option<NoWeight> {
    words::no_weight(line).or_else(|| words::no_weight(line.strip_prefix(b"D")?))
}

/// Returns the answer of a shape unless it was "not mine".
fn settled(read: Result<Reading, Why>) -> Option<Result<Reading, Why>> {
    match read {
        Err(Why::Unrecognised) => None,
        read => Some(read),
    }
}
