//! What holds of frames of bits that are changed, torn or cut off.

use tarehand_protocol::{Mass, Motion};

use super::kit::{Checked, Kit, Written, readings};

/// A changed byte under a check is no number, and what follows is read as ever, or not at all.
pub(crate) fn a_changed_byte_is_rejected(
    kit: &Kit,
    number: &Written,
    filler: u8,
    at: usize,
    change: u8,
) {
    if kit.checked == Checked::No || change == 0 {
        return;
    }
    let decoder = kit.decoder(number);
    let good = kit.build(number, false, false, false, filler);
    let mut bad = good.clone();
    bad[at % good.len()] ^= change;
    assert_eq!(readings(decoder.clone(), &[&bad]), [], "{bad:02x?}");
    let expect = readings(decoder.clone(), &[&good]);
    for got in readings(decoder, &[&good, &bad, &good, &good]) {
        assert!(expect.contains(&got), "{got:?} of {good:02x?} {bad:02x?}");
    }
}

/// Lost bytes that are fewer than a frame leave no other number, where the start stands nowhere else.
pub(crate) fn a_torn_frame_gives_no_number(
    kit: &Kit,
    number: &Written,
    others: [u8; 3],
    filler: u8,
    from: usize,
    count: usize,
) {
    let decoder = kit.decoder(number);
    let frame = |other: u8| {
        let mut number = number.clone();
        number.bytes[0] = match number.form {
            "bcd" => other % 10,
            _ => other,
        };
        kit.build(&number, false, false, false, filler)
    };
    let frames = others.map(frame);
    let length = frames[0].len();
    let plain = frames
        .iter()
        .all(|frame| !frame[1..].contains(&kit.start[0]));
    if !plain && !kit.checked.rule().starts_with("CRC-16") {
        return;
    }
    let stream = frames.concat();
    let from = from % stream.len();
    let until = (from + 1 + count % (length - 1)).min(stream.len());
    let torn = [&stream[..from], &stream[until..]].concat();
    let whole: Vec<(Mass, Motion)> = frames
        .iter()
        .flat_map(|frame| readings(decoder.clone(), &[frame]))
        .collect();
    for got in readings(decoder, &[&torn]) {
        assert!(whole.contains(&got), "{torn:02x?}");
    }
}

/// Neither the beginning of a frame nor, after opening the link, the end of one is a number.
pub(crate) fn a_frame_that_is_cut_off_gives_no_number(
    kit: &Kit,
    number: &Written,
    filler: u8,
    cut: usize,
) {
    let mut decoder = kit.decoder(number);
    let frame = kit.build(number, false, false, false, filler);
    let cut = cut % frame.len();
    assert_eq!(readings(decoder.clone(), &[&frame[..cut]]), []);
    decoder.reset();
    if 0 < cut {
        assert_eq!(readings(decoder, &[&frame[cut..]]), []);
    }
}
