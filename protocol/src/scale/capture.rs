//! A capture: the raw bytes of a scale with the times they arrived, as a text file.
//!
//! One JSON object a line, so that it can be cut, sent and read by eye:
//!
//! ```text
//! {"capture":1,"device":"/dev/ttyUSB0, 9600 8N1"}
//! {"at_us":0,"bytes":"53542c2b303030302e30672020"}
//! {"at_us":104200,"packet":"a24c63"}
//! {"at_us":8000000,"display":"g"}
//! {"at_us":9000000,"pan":"50 g"}
//! {"at_us":15000000,"hand":"busy"}
//! ```
//!
//! `bytes` came as a stream, cut wherever it happened to be; a `packet` is whole as the link knows it; `pan` says
//! what stood on the pan from then on, as the person told it, until a `hand` puts it on or takes it off (`busy`), lifts
//! the pan (`lifted`) or presses it (`pressed`); `display` is the unit that the display showed. Times count from the
//! first line's moment and never go back.

use std::fmt::Write as _;

use serde::{Deserialize, Serialize};

use crate::mass::{Mass, MassUnit};

/// The number of this form.
const FORM: u32 = 1;
/// The longest line that is read: far more than any link hands over at once.
const LONGEST_LINE: usize = 256 * 1024;
/// The most lines that are read: a day of 40 a second.
const MOST_LINES: usize = 4_000_000;

/// What was captured of a scale.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Capture {
    /// The device it came from, ready to read; empty where nobody said.
    pub device: String,
    /// What happened, in order.
    pub moments: Vec<Moment>,
}

/// Something that happened, and when.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Moment {
    /// Microseconds since the capture began.
    pub at_us: u64,
    /// What.
    pub what: Captured,
}

/// What a capture keeps.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Captured {
    /// Bytes of a stream.
    Bytes(Vec<u8>),
    /// A packet, whole.
    Packet(Vec<u8>),
    /// From now on this stood on the pan, as the person told it.
    Pan(Mass),
    /// From now on a hand was at the pan.
    Hand(Hand),
    /// The unit that the display showed.
    Display(MassUnit),
}

/// What a hand did at the pan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Hand {
    /// It put something on or took something off: nobody knows what stood there.
    Busy,
    /// It lifted the pan, so that the display went below zero.
    Lifted,
    /// It pressed the pan, so that the weight moved.
    Pressed,
}

/// Why a text is no capture.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("line {line}: {what}")]
pub struct CaptureError {
    /// Which line, from one.
    pub line: usize,
    /// What is wrong with it.
    pub what: String,
}

impl CaptureError {
    /// Returns what a person can do about it.
    #[must_use]
    pub const fn hint(&self) -> &'static str {
        "the first line says what it is; a later line that is damaged may be deleted"
    }
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Head {
    capture: u32,
    #[serde(default)]
    device: String,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Line {
    at_us: u64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    bytes: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    packet: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pan: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    hand: Option<Hand>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    display: Option<String>,
}

impl Capture {
    /// Reads a capture.
    ///
    /// # Errors
    /// The first line that is wrong, and what is wrong with it.
    pub fn parse(text: &str) -> Result<Self, CaptureError> {
        let mut lines = text.lines().enumerate().take(MOST_LINES + 1);
        let fault = |line: usize, what: String| CaptureError {
            line: line + 1,
            what,
        };
        let (_, first) = lines
            .next()
            .ok_or_else(|| fault(0, "there is nothing in it".to_owned()))?;
        let head: Head =
            json(first).map_err(|_| fault(0, "it does not begin as a capture does".to_owned()))?;
        if head.capture != FORM {
            let what = format!("form {} is not known here, only {FORM}", head.capture);
            return Err(fault(0, what));
        }
        let mut moments: Vec<Moment> = Vec::new();
        for (number, line) in lines {
            if MOST_LINES <= number {
                return Err(fault(number, format!("more than {MOST_LINES} lines")));
            }
            if line.trim().is_empty() {
                continue;
            }
            let moment = moment(line).map_err(|what| fault(number, what))?;
            if moments.last().is_some_and(|last| moment.at_us < last.at_us) {
                return Err(fault(
                    number,
                    "it is earlier than the line before".to_owned(),
                ));
            }
            moments.push(moment);
        }
        Ok(Self {
            device: head.device,
            moments,
        })
    }

    /// Writes the first line of a capture, with its line end.
    #[must_use]
    pub fn head(device: &str) -> String {
        let head = Head {
            capture: FORM,
            device: device.to_owned(),
        };
        written(&head)
    }
}

impl Moment {
    /// Writes the line of a moment, with its line end.
    #[must_use]
    pub fn line(&self) -> String {
        let mut line = Line {
            at_us: self.at_us,
            bytes: None,
            packet: None,
            pan: None,
            hand: None,
            display: None,
        };
        match &self.what {
            Captured::Bytes(bytes) => line.bytes = Some(hex(bytes)),
            Captured::Packet(bytes) => line.packet = Some(hex(bytes)),
            Captured::Pan(mass) => line.pan = Some(mass.to_string()),
            Captured::Hand(hand) => line.hand = Some(*hand),
            Captured::Display(unit) => line.display = Some(unit.symbol().to_owned()),
        }
        written(&line)
    }
}

fn written(value: &impl Serialize) -> String {
    let mut text =
        serde_json::to_string(value).expect("numbers and texts are all that JSON has to say");
    text.push('\n');
    text
}

fn json<'t, T: Deserialize<'t>>(line: &'t str) -> Result<T, String> {
    if LONGEST_LINE < line.len() {
        return Err(format!("it is longer than {LONGEST_LINE} bytes"));
    }
    serde_json::from_str(line).map_err(|error| {
        let told = error.to_string();
        // It counts the lines of this line alone.
        let (what, _) = told.rsplit_once(" at line ").unwrap_or((&told, ""));
        format!("it cannot be read: {what}, at column {}", error.column())
    })
}

fn moment(line: &str) -> Result<Moment, String> {
    let line: Line = json(line)?;
    let what = match (line.bytes, line.packet, line.pan, line.hand, line.display) {
        (Some(bytes), None, None, None, None) => Captured::Bytes(unhex(&bytes)?),
        (None, Some(packet), None, None, None) => Captured::Packet(unhex(&packet)?),
        (None, None, Some(pan), None, None) => Captured::Pan(
            pan.parse()
                .map_err(|error| format!("`{pan}` is no mass: {error}"))?,
        ),
        (None, None, None, Some(hand), None) => Captured::Hand(hand),
        (None, None, None, None, Some(unit)) => Captured::Display(
            unit.parse()
                .map_err(|error| format!("`{unit}` is no unit: {error}"))?,
        ),
        _ => {
            return Err(
                "one of `bytes`, `packet`, `pan`, `hand` and `display` is wanted".to_owned(),
            );
        }
    };
    Ok(Moment {
        at_us: line.at_us,
        what,
    })
}

/// Writes bytes as hexadecimal digits, two each.
#[must_use]
pub fn hex(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len() * 2);
    for byte in bytes {
        // Writing to a string cannot fail.
        let _written = write!(text, "{byte:02x}");
    }
    text
}

/// Reads bytes written as hexadecimal digits, two each.
///
/// # Errors
/// What is wrong with them.
pub fn unhex(text: &str) -> Result<Vec<u8>, String> {
    let digit = |byte: u8| {
        char::from(byte)
            .to_digit(16)
            .and_then(|digit| u8::try_from(digit).ok())
            .ok_or_else(|| format!("`{}` is no hexadecimal digit", char::from(byte)))
    };
    let pairs = text.as_bytes().chunks(2);
    pairs
        .map(|pair| match pair {
            [high, low] => Ok(digit(*high)? << 4 | digit(*low)?),
            _ => Err("a byte has two hexadecimal digits".to_owned()),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn captured() -> impl Strategy<Value = Captured> {
        let bytes = || prop::collection::vec(any::<u8>(), 0..40);
        prop_oneof![
            bytes().prop_map(Captured::Bytes),
            bytes().prop_map(Captured::Packet),
            (-1_000_000_000..1_000_000_000_i64)
                .prop_map(|mass| Captured::Pan(Mass::from_micrograms(mass))),
            prop::sample::select(vec![Hand::Busy, Hand::Lifted, Hand::Pressed])
                .prop_map(Captured::Hand),
            prop::sample::select(vec![MassUnit::Gram, MassUnit::Kilogram])
                .prop_map(Captured::Display),
        ]
    }

    proptest! {
        #[test]
        fn what_is_written_is_read_again(
            device in ".{0,30}",
            what in prop::collection::vec((0..5_000_u64, captured()), 0..20),
        ) {
            let mut at_us = 0;
            let moments: Vec<Moment> = what
                .into_iter()
                .map(|(later, what)| {
                    at_us += later;
                    Moment { at_us, what }
                })
                .collect();
            let lines = moments.iter().map(Moment::line);
            let text: String = std::iter::once(Capture::head(&device)).chain(lines).collect();
            prop_assert_eq!(Capture::parse(&text), Ok(Capture { device, moments }));
        }

        #[test]
        fn any_text_is_read_or_refused(text in "\\PC{0,200}") {
            let _read = Capture::parse(&text);
        }
    }

    #[test]
    fn what_is_wrong_is_named_with_its_line() {
        let head = "{\"capture\":1,\"device\":\"a board\"}\n";
        let cases = [
            ("", "line 1: there is nothing in it"),
            (
                "ST,+0012.3 g",
                "line 1: it does not begin as a capture does",
            ),
            (
                "{\"capture\":7}",
                "line 1: form 7 is not known here, only 1",
            ),
        ];
        for (text, expected) in cases {
            assert_eq!(Capture::parse(text).unwrap_err().to_string(), expected);
        }
        let lines = [
            (
                "{\"at_us\":1,\"bytes\":\"abc\"}",
                "line 2: a byte has two hexadecimal digits",
            ),
            (
                "{\"at_us\":1,\"bytes\":\"zz\"}",
                "line 2: `z` is no hexadecimal digit",
            ),
            (
                "{\"at_us\":1}",
                "line 2: one of `bytes`, `packet`, `pan`, `hand` and `display` is wanted",
            ),
        ];
        for (line, expected) in lines {
            let text = format!("{head}{line}\n");
            assert_eq!(Capture::parse(&text).unwrap_err().to_string(), expected);
        }
        let back =
            format!("{head}{{\"at_us\":9,\"bytes\":\"\"}}\n{{\"at_us\":8,\"bytes\":\"\"}}\n");
        assert_eq!(
            Capture::parse(&back).unwrap_err().to_string(),
            "line 3: it is earlier than the line before"
        );
    }
}
