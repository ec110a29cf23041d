//! How the bits of a serial line are read: speed, data bits, parity, stop bits.

use std::fmt;
use std::str::FromStr;

use tarehand_protocol::scale;
use tarehand_protocol::scale::profile;

pub use serialport::{DataBits, Parity, StopBits};

/// How the bits of a serial line are read.
///
/// Written as people write it: `9600 8N1` is 9600 baud, eight data bits, no parity, one stop bit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Settings {
    /// The speed in baud.
    pub speed: u32,
    /// How many bits a byte has.
    pub data_bits: DataBits,
    /// The parity bit.
    pub parity: Parity,
    /// How many bits end a byte.
    pub stop_bits: StopBits,
}

impl Settings {
    /// Makes `SPEED 8N1`, the commonest settings of all.
    #[must_use]
    pub const fn plain(speed: u32) -> Self {
        Self {
            speed,
            data_bits: DataBits::Eight,
            parity: Parity::None,
            stop_bits: StopBits::One,
        }
    }
}

impl Default for Settings {
    /// Returns `9600 8N1`, what a scale has on its first day (common practice).
    fn default() -> Self {
        Self::plain(9600)
    }
}

impl fmt::Display for Settings {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let parity = match self.parity {
            Parity::None => 'N',
            Parity::Odd => 'O',
            Parity::Even => 'E',
        };
        write!(
            f,
            "{} {}{parity}{}",
            self.speed,
            u8::from(self.data_bits),
            u8::from(self.stop_bits)
        )
    }
}

impl From<profile::Serial> for Settings {
    fn from(told: profile::Serial) -> Self {
        Self {
            speed: told.speed,
            data_bits: match told.data {
                profile::DataBits::Seven => DataBits::Seven,
                profile::DataBits::Eight => DataBits::Eight,
            },
            parity: match told.parity {
                scale::Parity::None => Parity::None,
                scale::Parity::Even => Parity::Even,
                scale::Parity::Odd => Parity::Odd,
            },
            stop_bits: match told.stop {
                profile::StopBits::One => StopBits::One,
                profile::StopBits::Two => StopBits::Two,
            },
        }
    }
}

/// Why a text is no line settings.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{found}` is no line settings: write speed, data bits, parity and stop bits like `9600 8N1` or `2400 7E1`"
)]
pub struct ParseSettingsError {
    found: String,
}

impl FromStr for Settings {
    type Err = ParseSettingsError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        parse(text).ok_or_else(|| ParseSettingsError {
            found: text.to_owned(),
        })
    }
}

fn parse(text: &str) -> Option<Settings> {
    let (speed, frame) = match text.trim().split_once([' ', ',', '/']) {
        Some((speed, frame)) => (speed, frame.trim()),
        None => (text.trim(), "8N1"),
    };
    let speed = speed.parse().ok().filter(|speed| 0 < *speed)?;
    let [data_bits, parity, stop_bits] = frame.as_bytes() else {
        return None;
    };
    Some(Settings {
        speed,
        data_bits: digit(*data_bits)?.try_into().ok()?,
        parity: match parity.to_ascii_uppercase() {
            b'N' => Parity::None,
            b'O' => Parity::Odd,
            b'E' => Parity::Even,
            _ => return None,
        },
        stop_bits: digit(*stop_bits)?.try_into().ok()?,
    })
}

fn digit(byte: u8) -> Option<u8> {
    byte.checked_sub(b'0')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str, written: &str) {
        let settings: Settings = text.parse().unwrap();
        assert_eq!(settings.to_string(), written);
        assert_eq!(written.parse(), Ok(settings));
    }

    #[test]
    fn settings_read_as_people_write_them() {
        check("9600", "9600 8N1");
        check(" 2400 7e1 ", "2400 7E1");
        check("1200,7O2", "1200 7O2");
        check("19200/8N1", "19200 8N1");
    }

    #[test]
    fn wrong_settings_are_shown_with_a_right_example() {
        for wrong in [
            "", "0 8N1", "9600 9N1", "9600 8X1", "9600 8N3", "fast", "9600 8N",
        ] {
            let error = wrong.parse::<Settings>().unwrap_err().to_string();
            assert!(
                error.starts_with(&format!("`{wrong}` is no line settings")),
                "{error}"
            );
        }
    }
}
