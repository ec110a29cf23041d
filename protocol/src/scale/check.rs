//! Check characters at the end of a frame.

use super::why::Why;

/// How a check is computed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// All bytes, exclusive-or.
    Xor,
    /// The sum of all bytes.
    Sum,
    /// The two's complement of the sum, so that sum and check give zero.
    Complement,
}

impl Rule {
    /// Every rule with its name in a profile.
    pub(super) const NAMES: [(&'static str, Self); 3] = [
        ("xor", Self::Xor),
        ("sum", Self::Sum),
        ("complement", Self::Complement),
    ];

    /// Returns its name in a profile.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Xor => "xor",
            Self::Sum => "sum",
            Self::Complement => "complement",
        }
    }

    /// Computes it over some bytes.
    pub(super) fn over(self, bytes: &[u8]) -> u8 {
        let sum = |bytes: &[u8]| bytes.iter().fold(0_u8, |sum, &byte| sum.wrapping_add(byte));
        match self {
            Self::Xor => bytes.iter().fold(0, |all, byte| all ^ byte),
            Self::Sum => sum(bytes),
            Self::Complement => sum(bytes).wrapping_neg(),
        }
    }
}

/// How a check stands in the frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Written {
    /// Two hexadecimal digits.
    Hex,
    /// Two characters, each `0x30` plus four bits, high ones first.
    Nibbles,
    /// One byte.
    Byte,
    /// One byte of which seven bits count.
    SevenBits,
}

impl Written {
    /// Returns how many bytes it takes.
    #[must_use]
    pub const fn len(self) -> usize {
        match self {
            Self::Hex | Self::Nibbles => 2,
            Self::Byte | Self::SevenBits => 1,
        }
    }

    /// Returns `false`: a check takes at least one byte.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        false
    }
}

/// A check over a part of the frame; it stands last in the frame.
///
/// Places count from the frame's first byte, its start byte included; a line end does not belong
/// to the frame, an end byte such as ETX does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Check {
    /// How it is computed.
    pub rule: Rule,
    /// The first byte that is covered.
    pub from: u8,
    /// How it is written.
    pub written: Written,
}

impl Check {
    /// Verifies a whole frame and returns it without its check.
    pub(super) fn verify(self, frame: &[u8]) -> Result<usize, Why> {
        let covered = frame
            .len()
            .checked_sub(self.written.len())
            .ok_or(Why::Torn)?;
        let (bytes, check) = frame.split_at(covered);
        let bytes = bytes.get(usize::from(self.from)..).ok_or(Why::Torn)?;
        let sent = self.sent(check).ok_or(Why::NoCheck)?;
        let computed = self.compute(bytes);
        if sent == computed {
            Ok(covered)
        } else {
            Err(Why::BadCheck {
                sent: u16::from(sent),
                computed: u16::from(computed),
            })
        }
    }

    fn compute(self, bytes: &[u8]) -> u8 {
        let value = self.rule.over(bytes);
        match self.written {
            Written::SevenBits => value & 0x7f,
            Written::Hex | Written::Nibbles | Written::Byte => value,
        }
    }

    fn sent(self, check: &[u8]) -> Option<u8> {
        let pair = |digit: fn(u8) -> Option<u8>| match check {
            &[high, low] => Some(digit(high)? << 4 | digit(low)?),
            _ => None,
        };
        match self.written {
            Written::Hex => pair(hex),
            Written::Nibbles => pair(nibble),
            Written::Byte => check.first().copied(),
            Written::SevenBits => check.first().map(|byte| byte & 0x7f),
        }
    }
}

const fn hex(byte: u8) -> Option<u8> {
    match byte {
        b'0'..=b'9' => Some(byte - b'0'),
        b'A'..=b'F' => Some(byte - b'A' + 10),
        b'a'..=b'f' => Some(byte - b'a' + 10),
        _ => None,
    }
}

const fn nibble(byte: u8) -> Option<u8> {
    match byte {
        0x30..=0x3f => Some(byte - 0x30),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(rule: Rule, written: Written, frame: &[u8], expect: &Result<usize, Why>) {
        let check = Check {
            rule,
            from: 0,
            written,
        };
        assert_eq!(check.verify(frame), *expect);
    }

    // The frames of stackoverflow.com question 48203304 and forum.arduino.cc/t/1269395.
    #[test]
    fn checks_are_read_as_they_were_sent_in_public_questions() {
        check(Rule::Xor, Written::Hex, b"+00003301B", &Ok(8));
        check(Rule::Xor, Written::Nibbles, b"+00015511;", &Ok(8));
        check(
            Rule::Xor,
            Written::Nibbles,
            b"+00005011>",
            &Err(Why::BadCheck {
                sent: 0x1e,
                computed: 0x1f,
            }),
        );
    }

    // By definition: the seven-bit sum of a frame and its check is zero.
    #[test]
    fn a_complement_makes_the_sum_zero() {
        check(
            Rule::Complement,
            Written::SevenBits,
            &[0x02, 0x31, 0x4d],
            &Ok(2),
        );
        check(Rule::Complement, Written::Byte, &[0x02, 0x31, 0xcd], &Ok(2));
        check(Rule::Sum, Written::Hex, b"AB83", &Ok(2));
    }

    #[test]
    fn a_frame_shorter_than_its_check_is_torn() {
        check(Rule::Xor, Written::Hex, b"1", &Err(Why::Torn));
        check(Rule::Xor, Written::Hex, b"+0G?", &Err(Why::NoCheck));
    }
}
