//! Finding the settings of a serial line from the bytes that come.
//!
//! Pure: the link opens the port at one speed after the other, reads for a while, and asks here.

use super::frame::{ETX, STX};
use super::parity::Parity;

/// Speeds to try, in bits per second, the likeliest first (common practice).
pub const SPEEDS: [u32; 9] = [
    9_600, 2_400, 4_800, 19_200, 1_200, 115_200, 38_400, 57_600, 300,
];

/// How many bytes are needed to tell a parity.
pub const PARITY_BYTES: usize = 20;

/// Returns the parity of seven-bit characters that were read as eight bits.
///
/// Every byte must have the same parity of set bits, some must have bit 7 set, and there must be
/// at least [`PARITY_BYTES`]. Twenty bytes of chance agree once in half a million times.
#[must_use]
pub fn infer_parity(bytes: &[u8]) -> Option<Parity> {
    if bytes.len() < PARITY_BYTES || bytes.is_ascii() {
        return None;
    }
    [Parity::Odd, Parity::Even]
        .into_iter()
        .find(|parity| bytes.iter().all(|&byte| parity.fits(byte)))
}

/// Returns how much a chunk looks like a scale's text, from 0 to 100.
///
/// Only bytes that scales use in text count, and a chunk without a digit or an end of a frame is
/// worth half. At a wrong speed most bytes are none of these. A parity bit is looked through when
/// it can be inferred.
#[must_use]
pub fn likeness(bytes: &[u8]) -> u8 {
    if bytes.is_empty() {
        return 0;
    }
    let mask = match infer_parity(bytes) {
        Some(_) => 0x7f,
        None => 0xff,
    };
    let seen = || bytes.iter().map(|byte| byte & mask);
    let usual = seen().filter(|&byte| is_usual(byte)).count();
    let share = usual * 100 / bytes.len();
    let digits = seen().any(|byte| byte.is_ascii_digit());
    let ends = seen().any(|byte| matches!(byte, b'\r' | b'\n' | ETX));
    let score = match (digits, ends) {
        (true, true) => share,
        (true, false) | (false, true) => share / 2,
        (false, false) => share / 4,
    };
    u8::try_from(score).unwrap_or(100)
}

fn is_usual(byte: u8) -> bool {
    byte.is_ascii_alphanumeric()
        || matches!(
            byte,
            b' ' | b'.' | b',' | b';' | b':' | b'+' | b'-' | b'?' | b'_' | b'^' | b'='
        )
        || matches!(byte, b'\r' | b'\n' | b'\t' | STX | ETX)
}

#[cfg(test)]
mod tests {
    use super::*;

    // The bytes of stackoverflow.com question 17991062, twice.
    const SEVEN_ODD: [u8; 24] = [
        0x20, 0x20, 0xb0, 0xae, 0xb0, 0xb0, 0x20, 0x6b, 0x67, 0x20, 0x0d, 0x8a, 0x20, 0x20, 0xb0,
        0xae, 0xb0, 0xb0, 0x20, 0x6b, 0x67, 0x20, 0x0d, 0x8a,
    ];

    #[test]
    fn seven_bits_with_odd_parity_are_seen_in_bytes_from_a_public_question() {
        assert_eq!(infer_parity(&SEVEN_ODD), Some(Parity::Odd));
    }

    #[test]
    fn few_bytes_and_plain_text_tell_no_parity() {
        assert_eq!(infer_parity(&SEVEN_ODD[..12]), None);
        assert_eq!(infer_parity(b"  12.30 g\r\n  12.30 g\r\n"), None);
    }

    #[test]
    fn text_scores_above_what_a_wrong_speed_gives() {
        assert_eq!(likeness(b"ST,GS,+  12.30 g\r\n"), 100);
        assert_eq!(likeness(&SEVEN_ODD), 100);
        assert_eq!(likeness(b""), 0);
        // Framing errors at a wrong speed: high bits and zeros.
        assert!(likeness(&[0x00, 0xf8, 0x80, 0x06, 0xe0, 0x00, 0x9e, 0x78]) < 30);
    }
}
