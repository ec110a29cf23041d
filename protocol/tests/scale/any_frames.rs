//! Any frame that a layout can say, built here by an encoder that shares no code with the decoder.

use proptest::collection::vec;
use proptest::prelude::*;
use tarehand_protocol::scale::{Decoded, Decoder, Profile, Raw};
use tarehand_protocol::{Mass, Motion, Reading};

use crate::binary::STREAMS;
use crate::line::profile;

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
enum Checked {
    No,
    Sum,
    Xor,
    Complement,
    Smbus,
    Modbus,
    Xmodem,
}

const CHECKS: [Checked; 7] = [
    Checked::No,
    Checked::Sum,
    Checked::Xor,
    Checked::Complement,
    Checked::Smbus,
    Checked::Modbus,
    Checked::Xmodem,
];

impl Checked {
    const fn rule(self) -> &'static str {
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
struct Written {
    form: &'static str,
    /// Least byte first.
    bytes: Vec<u8>,
    /// The whole number they say.
    whole: i64,
}

fn written() -> impl Strategy<Value = Written> {
    let part = |whole: u32, length: usize| whole.to_le_bytes()[..length].to_vec();
    let unsigned = (any::<u32>(), 1_usize..=4).prop_map(move |(whole, length)| {
        let bytes = part(whole, length);
        let whole = bytes
            .iter()
            .rev()
            .fold(0, |all, &byte| all * 256 + i64::from(byte));
        Written {
            form: "unsigned",
            bytes,
            whole,
        }
    });
    let signed = (any::<i32>(), 1_u32..=4).prop_map(|(whole, length)| {
        let whole = whole >> (32 - 8 * length);
        let bytes = whole.to_le_bytes()[..length as usize].to_vec();
        Written {
            form: "signed",
            bytes,
            whole: i64::from(whole),
        }
    });
    let magnitude = (any::<i32>(), 1_u32..=4).prop_map(|(whole, length)| {
        let size = whole.unsigned_abs() % (1 << (8 * length - 1));
        let mut bytes = size.to_le_bytes()[..length as usize].to_vec();
        if whole < 0 {
            *bytes.last_mut().expect("it fits") |= 0x80;
        }
        let size = i64::from(size);
        Written {
            form: "sign-magnitude",
            bytes,
            whole: if whole < 0 { -size } else { size },
        }
    });
    let digits = vec((0_u8..10, 0_u8..10), 1..=4).prop_map(|pairs| {
        let whole = pairs.iter().rev().fold(0, |all, &(high, low)| {
            all * 100 + i64::from(high) * 10 + i64::from(low)
        });
        Written {
            form: "bcd",
            bytes: pairs.iter().map(|(high, low)| high * 16 + low).collect(),
            whole,
        }
    });
    prop_oneof![unsigned, signed, magnitude, digits]
}

/// A layout as the text of a profile, and how to build frames of it.
#[derive(Clone, Debug)]
struct Kit {
    little: bool,
    start: Vec<u8>,
    ends: Vec<u8>,
    checked: Checked,
    fixed: bool,
    decimals: u8,
    before: usize,
}

impl Kit {
    /// start, flags, unit, decimals, `before` bytes of anything, the number, the check, the end.
    fn build(
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

    fn decoder(&self, number: &Written) -> Decoder {
        let text = self.profile(number);
        let profile = Profile::parse(&text).unwrap_or_else(|problems| panic!("{text}{problems:?}"));
        // What teaching writes says the same.
        let again =
            Profile::from_settings(profile.settings()).expect("what is written can be read");
        assert_eq!(again, profile);
        Decoder::of(&again)
    }
}

prop_compose! {
    fn kits()(
        little: bool, fixed: bool, decimals in 0_u8..=7, before in 0_usize..4,
        start in vec(any::<u8>(), 1..4), ends in vec(any::<u8>(), 0..3), checked in 0_usize..7,
    ) -> Kit {
        let checked = CHECKS[checked];
        let fixed = fixed || ends.is_empty() || !checked.rule().starts_with("CRC-16");
        Kit { little, start, ends, checked, fixed, decimals, before }
    }
}

/// What the weight must be, in micrograms, worked out on its own; rounded half to even.
fn micrograms(whole: i64, decimals: u8, kilograms: bool) -> i128 {
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

fn readings(mut decoder: Decoder, parts: &[&[u8]]) -> Vec<(Mass, Motion)> {
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

fn pieces<'b>(bytes: &'b [u8], cuts: &[prop::sample::Index]) -> Vec<&'b [u8]> {
    let mut cuts: Vec<usize> = cuts.iter().map(|cut| cut.index(bytes.len() + 1)).collect();
    cuts.push(bytes.len());
    cuts.sort_unstable();
    let mut from = 0;
    cuts.into_iter()
        .map(|cut| &bytes[std::mem::replace(&mut from, cut)..cut])
        .collect()
}

proptest! {
    #[test]
    fn any_frame_decodes_to_its_weight_however_it_is_cut(
        kit in kits(), number in written(), moving: bool, negative: bool, kilograms: bool, filler: u8,
        cuts in vec(any::<prop::sample::Index>(), 0..6),
    ) {
        let decoder = kit.decoder(&number);
        let frame = kit.build(&number, moving, negative, kilograms, filler);
        let elsewhere = matches!(number.form, "unsigned" | "bcd");
        let whole = if negative && elsewhere { -number.whole } else { number.whole };
        let micrograms = micrograms(whole, kit.decimals, kilograms);
        let motion = if moving { Motion::Moving } else { Motion::Stable };
        let mass = i64::try_from(micrograms).ok().map(Mass::from_micrograms);
        let mass = mass.filter(|mass| mass.abs() <= Mass::LIMIT);
        let expect: Vec<(Mass, Motion)> = mass.into_iter().map(|mass| (mass, motion)).collect();
        prop_assert_eq!(readings(decoder.clone(), &pieces(&frame, &cuts)), expect.clone());
        prop_assert_eq!(readings(decoder.clone(), &frame.chunks(1).collect::<Vec<_>>()), expect.clone());
        // With a check frames may follow each other without a silence.
        if kit.checked != Checked::No {
            let two = [frame.as_slice(), &frame].concat();
            prop_assert_eq!(readings(decoder, &pieces(&two, &cuts)), expect.repeat(2));
        }
    }

    #[test]
    fn any_changed_byte_of_a_checked_frame_is_rejected(
        kit in kits(), number in written(), filler: u8, at: prop::sample::Index, change in 1_u8..,
    ) {
        prop_assume!(kit.checked != Checked::No);
        let decoder = kit.decoder(&number);
        let good = kit.build(&number, false, false, false, filler);
        let mut bad = good.clone();
        bad[at.index(good.len())] ^= change;
        prop_assert_eq!(readings(decoder.clone(), &[&bad]), []);
        // What follows is read as ever, or not at all, and never something else.
        let expect = readings(decoder.clone(), &[&good]);
        for got in readings(decoder, &[&good, &bad, &good, &good]) {
            prop_assert!(expect.contains(&got));
        }
    }

    // Lost bytes that are fewer than a frame, where the start stands nowhere else.
    #[test]
    fn what_is_left_of_a_torn_frame_gives_no_number(
        kit in kits(), number in written(), others in vec(any::<u8>(), 3), filler: u8,
        from: prop::sample::Index, count: prop::sample::Index,
    ) {
        let decoder = kit.decoder(&number);
        let frames: Vec<Vec<u8>> = others.iter().map(|&other| {
            let mut number = number.clone();
            number.bytes[0] = if number.form == "bcd" { other % 10 } else { other };
            kit.build(&number, false, false, false, filler)
        }).collect();
        let length = frames[0].len();
        let plain = frames.iter().all(|frame| !frame[1..].contains(&kit.start[0]));
        prop_assume!(plain || kit.checked.rule().starts_with("CRC-16"));
        let stream = frames.concat();
        let from = from.index(stream.len());
        let until = (from + 1 + count.index(length - 1)).min(stream.len());
        let torn = [&stream[..from], &stream[until..]].concat();
        let whole: Vec<(Mass, Motion)> =
            frames.iter().flat_map(|frame| readings(decoder.clone(), &[frame])).collect();
        for got in readings(decoder, &[&torn]) {
            prop_assert!(whole.contains(&got), "{:02x?}", torn);
        }
    }

    #[test]
    fn a_frame_that_is_cut_off_gives_no_number(
        kit in kits(), number in written(), filler: u8, cut: prop::sample::Index,
    ) {
        let mut decoder = kit.decoder(&number);
        let frame = kit.build(&number, false, false, false, filler);
        let cut = cut.index(frame.len());
        prop_assert_eq!(readings(decoder.clone(), &[&frame[..cut]]), []);
        decoder.reset();
        if 0 < cut {
            prop_assert_eq!(readings(decoder, &[&frame[cut..]]), []);
        }
    }

    #[test]
    fn any_bytes_give_the_same_in_any_split_and_never_panic(
        bytes in vec(prop_oneof![
            any::<u8>(), prop::sample::select(vec![0x00, 0x02, 0x03, 0x0a, 0x0d, 0xbb, 0xff]),
        ], 0..600),
        cuts in vec(any::<prop::sample::Index>(), 0..6),
    ) {
        let names = STREAMS.map(|(name, _)| name);
        for name in names.into_iter().chain(["notified-checked", "medical-silence"]) {
            let mut decoder = Decoder::of(&profile(name));
            let mut packets = decoder.clone();
            packets.packet(&bytes, &mut |_| {});
            let run = |parts: &[&[u8]]| {
                let mut decoder = decoder.clone();
                let mut all = Vec::new();
                for part in parts {
                    decoder.push(part, &mut |decoded| all.push(decoded));
                }
                decoder.flush(&mut |decoded| all.push(decoded));
                all
            };
            if name != "notified-checked" {
                let whole = run(&[&bytes]);
                prop_assert_eq!(&run(&pieces(&bytes, &cuts)), &whole);
                prop_assert_eq!(&run(&bytes.chunks(1).collect::<Vec<_>>()), &whole);
            }
            for part in pieces(&bytes, &cuts) {
                decoder.push(part, &mut |_| {});
                decoder.flush(&mut |_| {});
                decoder.push(part, &mut |_| {});
                decoder.reset();
            }
        }
    }
}
