//! Frames of bits and the profiles they are read by, built by an encoder that shares no code with the decoder.

use tarehand_protocol::scale::{Decoded, Decoder, Profile, Raw};
use tarehand_protocol::{Mass, Motion, Reading};

/// CRC-16/MODBUS, the least bit first.
pub(crate) fn crc_modbus(bytes: &[u8]) -> u16 {
    bytes.iter().fold(0xffff_u16, |mut crc, &byte| {
        crc ^= u16::from(byte);
        for _ in 0..8 {
            crc = if crc & 1 == 1 {
                crc >> 1 ^ 0xa001
            } else {
                crc >> 1
            };
        }
        crc
    })
}

/// CRC-16/XMODEM and CRC-8/SMBUS as a long division of the whole message.
pub(crate) fn divide(bytes: &[u8], width: usize, polynomial: u32) -> u32 {
    let mut bits: Vec<u32> = bytes
        .iter()
        .flat_map(|&byte| (0..8).rev().map(move |bit| u32::from(byte) >> bit & 1))
        .collect();
    let message = bits.len();
    bits.extend(std::iter::repeat_n(0, width));
    for at in 0..message {
        if bits[at] == 1 {
            bits[at] = 0;
            for bit in 0..width {
                bits[at + 1 + bit] ^= polynomial >> (width - 1 - bit) & 1;
            }
        }
    }
    bits[message..].iter().fold(0, |all, bit| all << 1 | bit)
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Checked {
    No,
    Sum,
    Xor,
    Complement,
    Smbus,
    Modbus,
    Xmodem,
}

pub(crate) const CHECKS: [Checked; 7] = [
    Checked::No,
    Checked::Sum,
    Checked::Xor,
    Checked::Complement,
    Checked::Smbus,
    Checked::Modbus,
    Checked::Xmodem,
];

impl Checked {
    pub(crate) const fn rule(self) -> &'static str {
        match self {
            Self::No => "",
            Self::Sum => "sum",
            Self::Xor => "xor",
            Self::Complement => "complement",
            Self::Smbus => "CRC-8/SMBUS",
            Self::Modbus => "CRC-16/MODBUS",
            Self::Xmodem => "CRC-16/XMODEM",
        }
    }

    fn over(self, bytes: &[u8], little: bool) -> Vec<u8> {
        let sum = || bytes.iter().map(|&byte| u32::from(byte)).sum::<u32>();
        let byte = |value: u32| vec![u8::try_from(value % 256).expect("it fits")];
        let both = |value: u32| {
            let mut both = vec![
                u8::try_from(value / 256).expect("it fits"),
                u8::try_from(value % 256).expect("it fits"),
            ];
            if little {
                both.reverse();
            }
            both
        };
        match self {
            Self::No => Vec::new(),
            Self::Sum => byte(sum()),
            Self::Xor => byte(bytes.iter().fold(0, |all, &byte| all ^ u32::from(byte))),
            Self::Complement => byte(256 - sum() % 256),
            Self::Smbus => byte(divide(bytes, 8, 0x07)),
            Self::Modbus => both(u32::from(crc_modbus(bytes))),
            Self::Xmodem => both(divide(bytes, 16, 0x1021)),
        }
    }
}

/// How a number is written, and its digits.
#[derive(Clone, Debug)]
pub(crate) struct Written {
    pub(crate) form: &'static str,
    /// Least byte first.
    pub(crate) bytes: Vec<u8>,
    /// The whole number they say.
    pub(crate) whole: i64,
}

/// A layout as the text of a profile, and how to build frames of it.
#[derive(Clone, Debug)]
pub(crate) struct Kit {
    pub(crate) little: bool,
    pub(crate) start: Vec<u8>,
    pub(crate) ends: Vec<u8>,
    pub(crate) checked: Checked,
    pub(crate) fixed: bool,
    pub(crate) decimals: u8,
    pub(crate) before: usize,
}

impl Kit {
    /// start, flags, unit, decimals, `before` bytes of anything, the number, the check, the end.
    pub(crate) fn build(
        &self,
        number: &Written,
        moving: bool,
        negative: bool,
        kilograms: bool,
        filler: u8,
    ) -> Vec<u8> {
        let mut frame = self.start.clone();
        let flags = filler & 0xee;
        frame.push(flags | (u8::from(moving) << 4) | u8::from(negative));
        frame.push((if kilograms { 0x20 } else { 0x40 }) | (filler & 0x0f));
        frame.push(self.decimals * 4 + filler % 4);
        frame.extend(std::iter::repeat_n(filler, self.before));
        let mut bytes = number.bytes.clone();
        if !self.little {
            bytes.reverse();
        }
        frame.extend(bytes);
        frame.extend(self.checked.over(&frame, self.little));
        frame.extend(&self.ends);
        frame
    }

    fn profile(&self, number: &Written) -> String {
        let at = self.start.len();
        let order = if self.little { "little" } else { "big" };
        let escaped = |bytes: &[u8]| -> String {
            bytes.iter().map(|byte| format!("\\x{byte:02x}")).collect()
        };
        let mut text = String::from("name = \"any\"\n[binary]\n");
        text += &format!("start = '{}'\n", escaped(&self.start));
        if !self.ends.is_empty() {
            text += &format!("ends = '{}'\n", escaped(&self.ends));
        }
        let width = self.checked.over(b"", false).len();
        let check = at + 3 + self.before + number.bytes.len();
        if self.fixed {
            text += &format!("length = {}\n", check + width + self.ends.len());
        }
        text += &format!(
            "[binary.weight]\nat = {}\nlength = {}\norder = \"{order}\"\nform = \"{}\"\n",
            at + 3 + self.before,
            number.bytes.len(),
            number.form
        );
        if matches!(number.form, "unsigned" | "bcd") {
            text += &format!("minus = {{ at = {at}, mask = 0x01 }}\n");
        }
        text += &format!("decimals = {{ at = {}, mask = 0x1c }}\n", at + 2);
        text += &format!(
            "[binary.unit]\nat = {}\nmask = 0xf0\nkg = 0x20\ng = 0x40\n",
            at + 1
        );
        text += &format!(
            "[binary.states]\nmoving = {{ at = {at}, mask = 0x10 }}\nstable = {{ at = {at}, mask = 0x10, is = 0 }}\n"
        );
        if self.checked != Checked::No {
            text += &format!(
                "[binary.check]\nrule = \"{}\"\nat = {check}\n",
                self.checked.rule()
            );
            if width == 2 {
                text += &format!("order = \"{order}\"\n");
            }
        }
        text
    }

    pub(crate) fn decoder(&self, number: &Written) -> Decoder {
        let text = self.profile(number);
        let profile = Profile::parse(&text).unwrap_or_else(|problems| panic!("{text}{problems:?}"));
        // What teaching writes says the same.
        let again =
            Profile::from_settings(profile.settings()).expect("what is written can be read");
        assert_eq!(again, profile);
        Decoder::of(&again)
    }
}

/// What the weight must be, in micrograms, worked out on its own; rounded half to even.
pub(crate) fn micrograms(whole: i64, decimals: u8, kilograms: bool) -> i128 {
    let unit = if kilograms {
        1_000_000_000_i128
    } else {
        1_000_000
    };
    let tens = 10_i128.pow(u32::from(decimals));
    let scaled = i128::from(whole) * unit;
    let (part, rest) = (scaled / tens, scaled % tens);
    let twice = 2 * rest.abs();
    let away = twice > tens || (twice == tens && part % 2 != 0);
    part + if away { rest.signum() } else { 0 }
}

pub(crate) fn readings(mut decoder: Decoder, parts: &[&[u8]]) -> Vec<(Mass, Motion)> {
    let mut all = Vec::new();
    let mut take = |decoded| match decoded {
        Decoded::Reading(Reading::Weight(weighed)) => {
            assert_eq!(weighed.sent.mass(), Some(weighed.gross));
            all.push((weighed.gross, weighed.motion));
        }
        Decoded::Reading(Reading::NoWeight(state)) => panic!("{state:?}"),
        Decoded::Rejected(rejected) => assert!(rejected.raw.bytes().len() <= Raw::LIMIT),
    };
    for part in parts {
        decoder.push(part, &mut take);
    }
    decoder.flush(&mut take);
    all
}
