//! Any frame that a layout can say, built here by an encoder that shares no code with the decoder.

use proptest::collection::vec;
use proptest::prelude::*;
use tarehand_protocol::scale::Decoder;
use tarehand_protocol::{Mass, Motion};

use crate::binary::STREAMS;
use crate::kit::{CHECKS, Checked, Kit, Written, micrograms, readings};
use crate::kit_rules;
use crate::line::profile;

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
        kit in kits(), number in written(), filler: u8, at: usize, change in 1_u8..,
    ) {
        kit_rules::a_changed_byte_is_rejected(&kit, &number, filler, at, change);
    }

    #[test]
    fn what_is_left_of_a_torn_frame_gives_no_number(
        kit in kits(), number in written(), others: [u8; 3], filler: u8, from: usize, count: usize,
    ) {
        kit_rules::a_torn_frame_gives_no_number(&kit, &number, others, filler, from, count);
    }

    #[test]
    fn a_frame_that_is_cut_off_gives_no_number(
        kit in kits(), number in written(), filler: u8, cut: usize,
    ) {
        kit_rules::a_frame_that_is_cut_off_gives_no_number(&kit, &number, filler, cut);
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
