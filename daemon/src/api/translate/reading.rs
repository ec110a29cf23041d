//! Readings as lines of the API.

use std::fmt::Write as _;
use std::time::Duration;

use tarehand_protocol::api::{Need, ReadingLine, WeightState};
use tarehand_protocol::scale::{Rejected, Why};
use tarehand_protocol::{Motion, NoWeight, Reading, Sent, Weighed};

/// Returns a reading as a line.
#[must_use]
pub fn reading_line(reading: Reading, age: Duration) -> ReadingLine {
    match reading {
        Reading::Weight(weighed) => weight_line(weighed, age),
        Reading::NoWeight(why) => no_weight_line(why, age),
    }
}

fn weight_line(weighed: Weighed, age: Duration) -> ReadingLine {
    let (digits, unit) = match weighed.sent {
        Sent::Single(number, unit) => (number.to_string(), unit.symbol().to_owned()),
        Sent::PoundsOunces(pounds, ounces) => (format!("{pounds} lb {ounces}"), "oz".to_owned()),
    };
    ReadingLine {
        gross_g: Some(weighed.gross.grams()),
        state: match weighed.motion {
            Motion::Stable => WeightState::Stable,
            Motion::Moving => WeightState::Moving,
            Motion::Unknown => WeightState::Unknown,
        },
        unit: Some(unit),
        digits: Some(digits),
        ..none(WeightState::Unknown, age)
    }
}

/// Returns a reading of no weight as a line.
#[must_use]
pub fn no_weight_line(why: NoWeight, age: Duration) -> ReadingLine {
    let (state, words) = match why {
        NoWeight::Over => (WeightState::Over, "more than the scale can weigh"),
        NoWeight::Under => (WeightState::Under, "less than the scale's zero allows"),
        NoWeight::Fault => (WeightState::Fault, "the scale reports an error"),
        NoWeight::Blank => (WeightState::Fault, "the scale's display is blank"),
    };
    ReadingLine {
        why: Some(words.to_owned()),
        ..none(state, age)
    }
}

/// Returns bytes that could not be read as a line, with the bytes for the person to see.
#[must_use]
pub fn rejected_line(rejected: &Rejected, age: Duration) -> ReadingLine {
    let mut hex = String::new();
    for byte in rejected.raw.bytes() {
        let separator = if hex.is_empty() { "" } else { " " };
        write!(hex, "{separator}{byte:02x}").expect("a String takes everything");
    }
    ReadingLine {
        raw: Some(hex),
        why: Some(rejected.why.to_string()),
        hint: rejected.why.hint().map(str::to_owned),
        needs: match rejected.why {
            Why::MissingUnit(_) => Some(Need::Unit),
            Why::SeveralNumbers(_) => Some(Need::Field),
            _ => None,
        },
        ..none(WeightState::Rejected, age)
    }
}

fn none(state: WeightState, age: Duration) -> ReadingLine {
    ReadingLine {
        gross_g: None,
        state,
        unit: None,
        digits: None,
        age_ms: u64::try_from(age.as_millis()).unwrap_or(u64::MAX),
        raw: None,
        why: None,
        hint: None,
        needs: None,
    }
}
