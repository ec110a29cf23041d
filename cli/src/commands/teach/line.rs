//! How a serial line is opened, in a word.

use tarehand_protocol::scale::Parity;
use tarehand_protocol::scale::profile::{DataBits, Serial, StopBits};

/// Reads `2400`, `2400-7E1` or `2400 7E1`.
pub(super) fn parse(text: &str) -> Result<Serial, String> {
    let wrong = || "it is a speed, or a speed with bits, parity and stop bits: 2400-7E1".to_owned();
    let (speed, form) = text
        .trim()
        .split_once(['-', ' '])
        .unwrap_or((text.trim(), "8N1"));
    let speed = speed.parse().map_err(|_| wrong())?;
    if !(50..=4_000_000).contains(&speed) {
        return Err(wrong());
    }
    let mut letters = form.chars();
    let (data, parity, stop) = (letters.next(), letters.next(), letters.next());
    let serial = Serial {
        speed,
        data: match data {
            Some('7') => DataBits::Seven,
            Some('8') => DataBits::Eight,
            _ => return Err(wrong()),
        },
        parity: match parity.map(|letter| letter.to_ascii_uppercase()) {
            Some('N') => Parity::None,
            Some('E') => Parity::Even,
            Some('O') => Parity::Odd,
            _ => return Err(wrong()),
        },
        stop: match stop {
            Some('1') => StopBits::One,
            Some('2') => StopBits::Two,
            _ => return Err(wrong()),
        },
    };
    match letters.next() {
        None => Ok(serial),
        Some(_) => Err(wrong()),
    }
}

/// Returns how the line of a capture was opened, where its device says so and it is not the usual way.
pub(super) fn of_device(device: &str) -> Option<Serial> {
    let (_, said) = device.rsplit_once(", ")?;
    let serial = parse(said).ok()?;
    (parse("9600").ok() != Some(serial)).then_some(serial)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_speed_is_read_alone_or_with_its_bits() {
        assert_eq!(parse("9600"), parse("9600-8N1"));
        let serial = parse("2400-7e1").unwrap();
        assert_eq!((serial.speed, serial.parity), (2_400, Parity::Even));
        for wrong in [
            "",
            "7E1",
            "2400-9N1",
            "2400-8N3",
            "2400-8N11",
            "0",
            "2400-8X1",
        ] {
            assert!(parse(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn the_line_of_a_capture_is_found_in_its_device() {
        assert_eq!(of_device("/dev/ttyUSB0, 2400 7E1"), parse("2400-7E1").ok());
        assert_eq!(of_device("/dev/ttyUSB0, 9600 8N1"), None);
        assert_eq!(of_device("a board, blue"), None);
    }
}
