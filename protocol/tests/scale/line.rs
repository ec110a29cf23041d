//! Runs bytes through a decoder and tells the outcome in a line.

use tarehand_protocol::scale::{Decoded, Decoder, Profile};
use tarehand_protocol::{Basis, Motion, NoWeight, Reading, Sent};

/// Reads a profile of `fixtures/scale`.
pub(crate) fn profile(name: &str) -> Profile {
    let path = format!(
        "{}/../fixtures/scale/{name}.toml",
        env!("CARGO_MANIFEST_DIR")
    );
    let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{path}: {error}"));
    Profile::parse(&text).unwrap_or_else(|problems| panic!("{path}: {problems:?}"))
}

/// Decodes the parts, each pushed by itself.
pub(crate) fn decode<'b>(
    mut decoder: Decoder,
    parts: impl IntoIterator<Item = &'b [u8]>,
) -> Vec<Decoded> {
    let mut all = Vec::new();
    for part in parts {
        decoder.push(part, &mut |decoded| all.push(decoded));
    }
    all
}

/// Checks the outcomes, described as `12.30 g stable`, `over` or `rejected: why`.
#[track_caller]
pub(crate) fn check(decoder: Decoder, bytes: &[u8], expect: &[&str]) {
    let got: Vec<String> = decode(decoder, [bytes]).iter().map(describe).collect();
    assert_eq!(got, expect, "{}", bytes.escape_ascii());
}

pub(crate) fn describe(decoded: &Decoded) -> String {
    let weighed = match decoded {
        Decoded::Rejected(rejected) => return format!("rejected: {}", rejected.why),
        Decoded::Reading(Reading::NoWeight(state)) => {
            return match state {
                NoWeight::Over => "over",
                NoWeight::Under => "under",
                NoWeight::Fault => "fault",
                NoWeight::Blank => "blank",
            }
            .to_owned();
        }
        Decoded::Reading(Reading::Weight(weighed)) => weighed,
    };
    let mut text = match weighed.sent {
        Sent::Single(number, unit) => format!("{number} {unit}"),
        Sent::PoundsOunces(pounds, ounces) => format!("{pounds} lb {ounces} oz"),
    };
    text += match weighed.motion {
        Motion::Stable => " stable",
        Motion::Moving => " moving",
        Motion::Unknown => "",
    };
    if weighed.basis == Basis::Relative {
        text += " relative";
    }
    if weighed.sent.mass() != Some(weighed.gross) {
        text += &format!(", gross {}", weighed.gross);
    }
    text
}
