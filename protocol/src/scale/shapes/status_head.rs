//! Status head, comma, gross or net head, comma, sign, number, unit: `ST,GS,+  12.30 g`.
//!
//! Heads `ST` stable, `US` moving, `OL` out of range. From memory: the second head is `GS`
//! gross, `NT` net or `TR` tare and may be left out, and a minus beside `OL` means too little.

use crate::reading::{Motion, NoWeight, Reading};
use crate::scale::figures::Figures;
use crate::scale::sense::{Kind, Sense, State, trim_start};
use crate::scale::why::Why;

/// Returns whether both heads are there, each of them one of this shape's own.
///
/// Without the second the first could be the second of another line, whose own first, net perhaps, is lost.
pub(super) fn shows_beginning(body: &[u8]) -> bool {
    match split_head(trim_start(body)) {
        Some((b"ST" | b"US" | b"OL", rest)) => {
            matches!(split_head(rest), Some((b"GS" | b"NT" | b"TR", _)))
        }
        Some(_) | None => false,
    }
}

pub(super) fn read(body: &[u8], sense: &Sense) -> Result<Reading, Why> {
    let Some((head, rest)) = split_head(trim_start(body)) else {
        return Err(Why::Unrecognised);
    };
    let motion = match head {
        b"ST" => Motion::Stable,
        b"US" => Motion::Moving,
        b"OL" => {
            let under = rest.contains(&b'-');
            return Ok(Reading::NoWeight(if under {
                NoWeight::Under
            } else {
                NoWeight::Over
            }));
        }
        other => match sense.words.find(other) {
            Some(State::Motion(motion)) => motion,
            Some(State::NoWeight(state)) => return Ok(Reading::NoWeight(state)),
            Some(State::Kind(_)) | None => return Err(Why::word(other)),
        },
    };
    let (kind, number) = match split_head(rest) {
        Some((b"GS", rest)) => (Some(Kind::Gross), rest),
        Some((b"NT", rest)) => (Some(Kind::Net), rest),
        Some((b"TR", _)) => return Err(Why::TareOnly),
        Some((other, rest)) => match sense.words.find(other) {
            Some(State::Kind(kind)) => (Some(kind), rest),
            Some(State::Motion(_) | State::NoWeight(_)) | None => return Err(Why::word(other)),
        },
        None => (None, rest),
    };
    let weight = sense.measured(number)?;
    Figures {
        kind,
        ..Figures::of(weight, motion)
    }
    .reading(sense)
}

fn split_head(text: &[u8]) -> Option<(&[u8], &[u8])> {
    match text {
        [first, second, b',', rest @ ..]
            if first.is_ascii_uppercase() && second.is_ascii_uppercase() =>
        {
            Some((&text[..2], rest))
        }
        _ => None,
    }
}
