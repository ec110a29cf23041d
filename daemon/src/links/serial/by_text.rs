//! The judge of a line's settings for scales that send text.

use std::sync::Arc;

use tarehand_protocol::scale;
use tarehand_protocol::scale::line_settings::{SPEEDS, infer_parity, likeness};

use super::settings::{DataBits, Parity, Settings, StopBits};
use super::settings_search::{Guess, Judge, SettingsSearch};

/// Text that is less than this like a scale's is no guess, in percent.
const LEAST: u8 = 50;

impl SettingsSearch {
    /// Tries the usual speeds for a scale that sends text, the likeliest first.
    ///
    /// Each is heard with eight bits and no parity, where seven bits show their parity.
    #[must_use]
    pub fn by_text() -> Self {
        let candidates = SPEEDS.into_iter().map(Settings::plain).collect();
        let judge: Judge = Arc::new(judge);
        Self::among(candidates, judge)
    }
}

fn judge(heard_with: Settings, bytes: &[u8]) -> Option<Guess> {
    let sure = likeness(bytes);
    let seven_bits = |parity| Settings {
        data_bits: DataBits::Seven,
        parity,
        stop_bits: StopBits::One,
        ..heard_with
    };
    let settings = match infer_parity(bytes) {
        Some(scale::Parity::Odd) => seven_bits(Parity::Odd),
        Some(scale::Parity::Even) => seven_bits(Parity::Even),
        Some(scale::Parity::None) | None => heard_with,
    };
    (LEAST <= sure).then_some(Guess { settings, sure })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(bytes: &[u8], expected: Option<&str>) {
        let guess = judge(Settings::plain(2400), bytes);
        let settings = guess.map(|guess| guess.settings.to_string());
        assert_eq!(settings.as_deref(), expected);
    }

    #[test]
    fn plain_text_keeps_the_settings_it_was_heard_with() {
        check(
            b"ST,GS,+  12.30 g\r\nST,GS,+  12.30 g\r\n",
            Some("2400 8N1"),
        );
    }

    // The bytes of stackoverflow.com question 17991062, twice.
    #[test]
    fn seven_bits_with_odd_parity_are_guessed_from_bytes_of_a_public_question() {
        check(
            &b"\x20\x20\xb0\xae\xb0\xb0\x20\x6b\x67\x20\x0d\x8a".repeat(2),
            Some("2400 7O1"),
        );
    }

    #[test]
    fn gibberish_and_silence_are_no_guess() {
        check(&b"\x00\xf8\x80\x06\xe0\x00\x9e\x78".repeat(3), None);
        check(b"", None);
    }
}
