//! How bytes and durations are written in a profile.

use std::fmt::Write as _;
use std::time::Duration;

use crate::decimal::Decimal;

/// Longest duration of a profile.
const LONGEST: Duration = Duration::from_secs(3600);

/// Reads bytes from text with `\r`, `\n`, `\t`, `\\` and `\x02`.
pub(super) fn parse_bytes(text: &str) -> Result<Vec<u8>, String> {
    let mut bytes = Vec::new();
    let mut rest = text.as_bytes();
    while let Some((&byte, after)) = rest.split_first() {
        rest = after;
        if byte != b'\\' {
            bytes.push(byte);
            continue;
        }
        let (byte, after) = match rest {
            [b'r', after @ ..] => (b'\r', after),
            [b'n', after @ ..] => (b'\n', after),
            [b't', after @ ..] => (b'\t', after),
            [b'\\', after @ ..] => (b'\\', after),
            [b'x', high, low, after @ ..] => {
                let digit = |digit: u8| char::from(digit).to_digit(16);
                let value = digit(*high).zip(digit(*low));
                let value = value.and_then(|(high, low)| u8::try_from(high << 4 | low).ok());
                let value = value.ok_or("after `\\x` come two hexadecimal digits")?;
                (value, after)
            }
            _ => return Err("after `\\` comes r, n, t, another `\\` or x and two digits".into()),
        };
        bytes.push(byte);
        rest = after;
    }
    if bytes.is_empty() {
        return Err("there is no byte".into());
    }
    Ok(bytes)
}

/// Writes bytes so that [`parse_bytes`] reads them.
pub(super) fn render_bytes(bytes: &[u8]) -> String {
    let mut text = String::new();
    for &byte in bytes {
        match byte {
            b'\r' => text.push_str("\\r"),
            b'\n' => text.push_str("\\n"),
            b'\t' => text.push_str("\\t"),
            b'\\' => text.push_str("\\\\"),
            // A quote would end the literal text around it.
            b' '..=b'~' if byte != b'\'' => text.push(char::from(byte)),
            _ => {
                let written = write!(text, "\\x{byte:02x}");
                debug_assert!(written.is_ok(), "writing to a string cannot fail");
            }
        }
    }
    text
}

/// Reads `0.6 s` or `200 ms`, exact to the millisecond.
pub(super) fn parse_duration(text: &str) -> Result<Duration, String> {
    const EXAMPLE: &str = "write for example `0.6 s` or `200 ms`";
    let text = text.trim();
    let split = text
        .find(|c: char| c.is_ascii_alphabetic())
        .ok_or(EXAMPLE)?;
    let (number, unit) = text.split_at(split);
    let number: Decimal = number
        .trim()
        .parse()
        .map_err(|error| format!("{error}; {EXAMPLE}"))?;
    let per_unit = match unit {
        "s" => 1_000_i128,
        "ms" => 1,
        _ => return Err(EXAMPLE.into()),
    };
    let scaled = i128::from(number.mantissa()) * per_unit;
    let divisor = 10_i128.pow(u32::from(number.scale()));
    if scaled % divisor != 0 {
        return Err("finer than a millisecond".into());
    }
    let duration = u64::try_from(scaled / divisor).map(Duration::from_millis);
    duration
        .ok()
        .filter(|&duration| duration <= LONGEST)
        .ok_or_else(|| "from nothing to an hour is possible".into())
}

/// Writes whole milliseconds.
pub(super) fn render_duration(duration: Duration) -> String {
    format!("{} ms", duration.as_millis())
}
