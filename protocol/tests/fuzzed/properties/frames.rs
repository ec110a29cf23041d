//! Frames of bits that are right, and then are not.

use tarehand_protocol::{Mass, Motion};

use super::feed::Feed;
use super::kit::{CHECKS, Kit, Written, micrograms, readings};
use super::{kit_rules, run};

pub(crate) fn holds(input: &[u8]) {
    let mut feed = Feed::new(input);
    let kit = kit(&mut feed);
    let number = written(&mut feed);
    let filler = feed.byte();
    let (at, change) = (usize::from(feed.byte()), feed.byte());
    a_frame_decodes_to_its_weight(&kit, &number, filler);
    kit_rules::a_changed_byte_is_rejected(&kit, &number, filler, at, change);
    kit_rules::a_frame_that_is_cut_off_gives_no_number(&kit, &number, filler, at);
    let others = [feed.byte(), feed.byte(), feed.byte()];
    let lost = usize::from(change);
    kit_rules::a_torn_frame_gives_no_number(&kit, &number, others, filler, at, lost);
    // Frames among bytes of anything.
    let frame = kit.build(&number, false, false, false, filler);
    let cuts = [feed.byte(), feed.byte()];
    let noise = feed.rest();
    let bytes = [noise, &frame, noise, &frame, &frame].concat();
    run::a_stream_is_read_alike_in_any_pieces(&kit.decoder(&number), &bytes, cuts);
}

fn a_frame_decodes_to_its_weight(kit: &Kit, number: &Written, filler: u8) {
    let frame = kit.build(number, true, false, true, filler);
    let mass = i64::try_from(micrograms(number.whole, kit.decimals, true)).ok();
    let mass = mass.map(Mass::from_micrograms);
    let mass = mass.filter(|mass| mass.abs() <= Mass::LIMIT);
    let expect: Vec<(Mass, Motion)> = mass
        .into_iter()
        .map(|mass| (mass, Motion::Moving))
        .collect();
    assert_eq!(readings(kit.decoder(number), &[&frame]), expect);
}

pub(super) fn kit(feed: &mut Feed<'_>) -> Kit {
    let checked = feed.one_of(&CHECKS);
    let mut start = feed.bytes(2).to_vec();
    start.push(feed.byte());
    let ends = feed.bytes(2).to_vec();
    // Without a fixed length only a check of two bytes tells that a frame is whole.
    let fixed = feed.yes() || ends.is_empty() || !checked.rule().starts_with("CRC-16");
    Kit {
        little: feed.yes(),
        start,
        ends,
        checked,
        fixed,
        decimals: feed.below(8),
        before: usize::from(feed.below(4)),
    }
}

fn written(feed: &mut Feed<'_>) -> Written {
    let form = feed.one_of(&["unsigned", "signed", "sign-magnitude", "bcd"]);
    let length = 1 + usize::from(feed.below(4));
    let bytes: Vec<u8> = (0..length).map(|_| feed.byte()).collect();
    written_as(form, bytes)
}

/// Takes bytes, the least one first, as what they say in a form.
pub(super) fn written_as(form: &'static str, mut bytes: Vec<u8>) -> Written {
    if form == "bcd" {
        for byte in &mut bytes {
            *byte = *byte / 16 % 10 * 16 + *byte % 16 % 10;
        }
    }
    let width = 8 * bytes.len();
    let bits = bytes.iter().rev();
    let all = bits.fold(0_i64, |all, &byte| all * 256 + i64::from(byte));
    let sign = 1_i64 << (width - 1);
    let whole = match form {
        "signed" if sign <= all => all - 2 * sign,
        "sign-magnitude" if sign <= all => sign - all,
        "bcd" => bytes.iter().rev().fold(0, |all, &byte| {
            all * 100 + i64::from(byte / 16) * 10 + i64::from(byte % 16)
        }),
        _ => all,
    };
    Written { form, bytes, whole }
}
