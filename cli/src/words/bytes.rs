//! Bytes as they came, for the eye.

use tarehand_protocol::scale::capture::unhex;

/// So many bytes stand on a line.
const ON_A_LINE: usize = 16;

/// Writes bytes that came then: the seconds, the bytes in hexadecimal, and what of them is text.
pub(crate) fn as_bytes(at_us: u64, hex: &str) -> String {
    // What no service sends is shown as it is.
    let Ok(bytes) = unhex(hex) else {
        return super::shown(hex).into_owned();
    };
    let mut lines: Vec<String> = Vec::new();
    for part in bytes.chunks(ON_A_LINE) {
        let time = match lines.is_empty() {
            true => format!("{:>5}.{:03} s", at_us / 1_000_000, at_us / 1_000 % 1_000),
            false => " ".repeat(11),
        };
        let pairs: Vec<String> = part.iter().map(|byte| format!("{byte:02x}")).collect();
        let text: String = part.iter().copied().map(letter).collect();
        let width = ON_A_LINE * 3 - 1;
        lines.push(format!("{time}  {:<width$}  {text}", pairs.join(" ")));
    }
    lines.join("\n")
}

/// A letter as it is, ends of lines by their pictures, all else a dot.
const fn letter(byte: u8) -> char {
    match byte {
        b' '..=b'~' => byte as char,
        b'\r' => '␍',
        b'\n' => '␊',
        _ => '·',
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bytes_are_shown_with_their_time_and_what_of_them_is_text() {
        insta::assert_snapshot!(as_bytes(1_234_567, "53542c2b30303030302e302020670d0a0200ff"), @r"
            1.234 s  53 54 2c 2b 30 30 30 30 30 2e 30 20 20 67 0d 0a  ST,+00000.0  g␍␊
                     02 00 ff                                         ···
        ");
    }
}
