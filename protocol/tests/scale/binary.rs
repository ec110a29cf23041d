//! Frames of bits, byte by byte.

use tarehand_protocol::MassUnit;
use tarehand_protocol::scale::{Decoded, Decoder, Profile};

use crate::line::{check, describe, profile};

/// Every layout of `fixtures/scale` that is cut out of a stream, with a frame of it.
pub(crate) const STREAMS: [(&str, &[u8]); 4] = [
    ("packed-digits", &[0xff, 0x41, 0x45, 0x23, 0x01, 0x02]),
    ("packed-digits-bare", &[0xbb, 0x00, 0x35, 0x50]),
    (
        "enclosed-checked",
        &[0x02, 0x39, 0x30, 0, 0, 0xfe, 0x86, 0xaa, 0x03],
    ),
    ("float-ended", &[0xcd, 0xcc, 0x44, 0x41, 0x0d, 0x0a]),
];

/// Decodes the parts with a silence behind the last.
pub(crate) fn outcomes(mut decoder: Decoder, parts: &[&[u8]]) -> Vec<String> {
    let mut all: Vec<Decoded> = Vec::new();
    for part in parts {
        decoder.push(part, &mut |decoded| all.push(decoded));
    }
    decoder.flush(&mut |decoded| all.push(decoded));
    all.iter().map(describe).collect()
}

fn packet(decoder: &Decoder, packet: &[u8]) -> Vec<String> {
    let mut all = Vec::new();
    decoder
        .clone()
        .packet(packet, &mut |decoded| all.push(describe(&decoded)));
    all
}

fn read(name: &str, frames: &[&[u8]]) -> Vec<String> {
    outcomes(Decoder::of(&profile(name)), frames)
}

// The six bytes of manuals: FF, flags, three of packed digits least first, unit.
#[test]
fn packed_digits_have_a_point_a_sign_a_unit_and_states() {
    let all = read(
        "packed-digits",
        &[
            &[0xff, 0x41, 0x45, 0x23, 0x01, 0x02],
            &[0xff, 0x63, 0x00, 0x12, 0x00, 0x01],
            &[0xff, 0x02, 0x00, 0x12, 0x00, 0x03],
            &[0xff, 0x82, 0x00, 0x00, 0x00, 0x01],
            &[0xff, 0x40, 0x1a, 0x00, 0x00, 0x01],
            &[0xff, 0x40, 0x11, 0x00, 0x00, 0x07],
            &[0xff, 0x40, 0x01, 0x30, 0x00, 0x01],
        ],
    );
    assert_eq!(
        all,
        [
            "1234.5 g stable",
            "-1.200 kg stable",
            "12.00 lb moving",
            "over",
            "rejected: no shape of a scale's line that is known here",
            "rejected: `0x07` is not a unit of mass that is known here",
            "rejected: 3001000 g is outside of what this scale has been seen to send",
        ]
    );
}

// wire.md, line 7 of the lines people struggled with.
#[test]
fn packed_digits_of_a_public_question_are_read() {
    let frame: &[u8] = &[0xbb, 0x00, 0x35, 0x50];
    assert_eq!(read("packed-digits-bare", &[frame]), ["3.550 kg"]);
    check(
        Decoder::tolerant(None),
        &[0xbb, 0x00, 0x35, 0x50, b'\r'],
        &["rejected: not text"],
    );
}

#[test]
fn an_unchecked_frame_is_told_once_the_next_begins_or_a_silence_comes() {
    let mut decoder = Decoder::of(&profile("packed-digits"));
    let frame = [0xff, 0x41, 0x45, 0x23, 0x01, 0x02];
    let mut count = 0;
    decoder.push(&frame, &mut |_| count += 1);
    assert_eq!(count, 0);
    decoder.push(&frame[..1], &mut |_| count += 1);
    assert_eq!(count, 1);
    decoder.push(&frame[1..], &mut |_| count += 1);
    decoder.flush(&mut |_| count += 1);
    assert_eq!(count, 2);
}

// FF within the frame: two halves of frames would look alike.
#[test]
fn a_frame_with_its_own_start_inside_is_believed_only_between_silences() {
    let mut text =
        String::from("name = \"x\"\nunit = \"g\"\n[binary]\nlength = 4\nstart = '\\xff'\n");
    text += "[binary.weight]\nat = 1\nlength = 3\norder = \"big\"\nform = \"signed\"\n";
    let decoder = Decoder::of(&Profile::parse(&text).unwrap());
    let frame: &[u8] = &[0xff, 0xff, 0xff, 0x9c];
    assert_eq!(outcomes(decoder.clone(), &[frame]), ["-100 g"]);
    for outcome in outcomes(decoder.clone(), &[frame, frame, frame]) {
        assert!(outcome.starts_with("rejected"), "{outcome}");
    }
    // A constant more, and nothing is doubtful any longer.
    text = text
        .replace("start =", "ends = '\\x0d'\nstart =")
        .replace("length = 4", "length = 5");
    let decoder = Decoder::of(&Profile::parse(&text).unwrap());
    let frame: &[u8] = &[0xff, 0x00, 0x00, 0x64, 0x0d];
    assert_eq!(outcomes(decoder, &[frame, frame]), ["100 g", "100 g"]);
}

#[test]
fn a_packet_is_a_frame_by_itself_and_a_stream_is_none() {
    // CRC-16/MODBUS over the eight bytes before it, worked out by hand with the reflected polynomial.
    let decoder = Decoder::of(&profile("notified-checked"));
    let frame = |status: u8, size: [u8; 3]| {
        let mut frame = vec![0x03, 0x0a, status, 0x00, size[0], size[1], size[2], 0x00];
        let crc = crate::kit::crc_modbus(&frame);
        frame.extend_from_slice(&crc.to_le_bytes());
        frame
    };
    let read = |frame: Vec<u8>| packet(&decoder, &frame);
    assert_eq!(read(frame(1, [0x00, 0x04, 0xd2])), ["123.4 g stable"]);
    assert_eq!(read(frame(2, [0x80, 0x04, 0xd2])), ["-123.4 g moving"]);
    assert_eq!(read(frame(3, [0x00, 0x00, 0x00])), ["0.0 g stable"]);
    assert_eq!(read(frame(0x75, [0, 0, 0])), ["fault"]);
    assert_eq!(read(frame(0xff, [0, 0, 0])), ["fault"]);
    assert_eq!(
        read(frame(1, [0x00, 0xff, 0xff])),
        ["rejected: 6553.5 g is outside of what this scale has been seen to send"]
    );
    let good = frame(1, [0x00, 0x04, 0xd2]);
    assert_eq!(packet(&decoder, &good[..9]), ["rejected: a torn frame"]);
    assert_eq!(packet(&decoder, &[]), ["rejected: a torn frame"]);
    let mut bad = good.clone();
    bad[6] ^= 1;
    assert!(packet(&decoder, &bad)[0].starts_with("rejected: the check says"));
    assert_eq!(
        outcomes(decoder, &[&good]),
        ["rejected: the profile is for whole packets, and these bytes came as a stream"]
    );
}

/// From STX to ETX, with the check of `enclosed-checked`.
fn enclosed(body: &[u8]) -> Vec<u8> {
    let crc = crate::kit::divide(body, 16, 0x1021);
    let crc = u16::try_from(crc).expect("it has 16 bits").to_be_bytes();
    [&[0x02], body, &crc, &[0x03]].concat()
}

// 12345 × 10^-2, and 770 = 0x0302: STX and ETX within the number.
#[test]
fn a_frame_of_any_length_is_found_by_its_check() {
    let read = |frames: &[&[u8]]| read("enclosed-checked", frames);
    let frame = enclosed(&[0x39, 0x30, 0, 0, 0xfe]);
    assert_eq!(read(&[&frame, &frame]), ["123.45 g", "123.45 g"]);
    let inside = enclosed(&[0x02, 0x03, 0, 0, 0x00]);
    assert_eq!(read(&[&inside, &frame]), ["770 g", "123.45 g"]);
    let longer = enclosed(&[0x39, 0x30, 0, 0, 0xfe, 0x03, 0xaa]);
    assert_eq!(read(&[&longer]), ["123.45 g"]);
    let noise: &[u8] = &[0x55, 0x02, 0x00, 0x03];
    assert_eq!(
        read(&[noise, &frame, &frame])[1..],
        ["123.45 g", "123.45 g"]
    );
}

#[test]
fn a_silence_ends_a_frame_and_medical_numbers_have_states() {
    let decoder = Decoder::of(&profile("medical-silence"));
    let read = |frame: &[u8]| outcomes(decoder.clone(), &[&frame[..2], &frame[2..]]);
    // 36.4 = 364 × 10^-1, the example of the Bluetooth Health Thermometer Service.
    assert_eq!(read(&[0, 0x6c, 0x01, 0x00, 0xff]), ["36.4 kg"]);
    assert_eq!(read(&[0, 0xff, 0xff, 0x7f, 0x00]), ["fault"]);
    assert_eq!(read(&[0, 0xfe, 0xff, 0x7f, 0x00]), ["over"]);
    assert_eq!(read(&[0, 0x02, 0x00, 0x80, 0x00]), ["under"]);
    assert_eq!(read(&[0, 0x6c, 0x01, 0x00]), ["rejected: a torn frame"]);
    assert_eq!(
        read(&[0x6c; 300]),
        ["rejected: too long for a line of a scale"]
    );
}

#[test]
fn a_frame_known_by_its_end_begins_behind_another() {
    let frame: &[u8] = &[0xcd, 0xcc, 0x44, 0x41, 0x0d, 0x0a];
    assert_eq!(read("float-ended", &[frame, frame]), ["12.3 g", "12.3 g"]);
    assert_eq!(
        read("float-ended", &[&frame[3..], frame]),
        [
            "rejected: not a frame as the profile describes it",
            "12.3 g"
        ]
    );
    let nan: &[u8] = &[0, 0, 0xc0, 0x7f, 0x0d, 0x0a];
    assert_eq!(read("float-ended", &[nan]), ["fault"]);
}

#[test]
fn a_told_unit_is_used_where_the_frame_has_none() {
    let text = "name = \"x\"\n[binary]\nframes = \"packets\"\n[binary.weight]\nat = 0\nlength = 2\n\
                order = \"big\"\nform = \"unsigned\"\nfactor = \"1/3\"\n";
    let decoder = Decoder::of(&Profile::parse(text).unwrap());
    assert_eq!(
        packet(&decoder, &[0, 1]),
        ["rejected: the number is too large for a scale"]
    );
    let decoder = decoder.told(MassUnit::Kilogram);
    assert_eq!(packet(&decoder, &[0, 1]), ["333.333333 g"]);
}

#[test]
fn the_end_of_a_frame_gives_no_reading_after_opening() {
    for (name, frame) in STREAMS {
        for cut in 1..frame.len() {
            let mut decoder = Decoder::of(&profile(name));
            decoder.reset();
            let tail = outcomes(decoder.clone(), &[&frame[cut..]]);
            assert!(
                tail.iter().all(|line| line.starts_with("rejected")),
                "{name} {tail:?}"
            );
            let then = outcomes(decoder, &[&frame[cut..], frame, frame, frame]);
            let readings = then.iter().filter(|line| !line.starts_with("rejected"));
            assert!(2 <= readings.count(), "{name} {then:?}");
        }
    }
}

/// Five bytes: zero, a weight in grams, CRC-16/XMODEM.
fn zero_started(weight: u16) -> Vec<u8> {
    let mut frame = vec![0];
    frame.extend(weight.to_be_bytes());
    let crc = crate::kit::divide(&frame, 16, 0x1021);
    frame.extend(u16::try_from(crc).expect("it has 16 bits").to_be_bytes());
    frame
}

// A CRC that begins at zero is the same over any number of zeros, and one that ends in a zero lends it to the frame
// behind it.
#[test]
fn a_frame_that_a_zero_shifts_is_no_other_number_where_the_stream_was_lost() {
    let text = "name = \"x\"\nunit = \"g\"\n[binary]\nstart = '\\x00'\nlength = 5\n\
                [binary.weight]\nat = 1\nlength = 2\norder = \"big\"\nform = \"unsigned\"\n\
                [binary.check]\nrule = \"CRC-16/XMODEM\"\nat = 3\norder = \"big\"\n";
    let decoder = || Decoder::of(&Profile::parse(text).unwrap());
    let shifty = (1..=u16::MAX).find(|&weight| zero_started(weight).ends_with(&[0]));
    let (shifty, other) = (zero_started(shifty.unwrap()), zero_started(1_234));
    let right = outcomes(decoder(), &[&shifty, &other]);
    assert_eq!(right.len(), 2);
    let mut lost = decoder();
    lost.reset();
    let got = outcomes(lost, &[&[0x00], &shifty, &shifty, &other, &other, &other]);
    let readings: Vec<&String> = got.iter().filter(|line| line.ends_with(" g")).collect();
    assert!(readings.iter().all(|line| right.contains(line)), "{got:?}");
    assert!(readings.contains(&&right[1]), "{got:?}");
    // A scale that answers once is not waited for.
    let mut polled = decoder();
    polled.reset();
    assert_eq!(outcomes(polled, &[&other]), right[1..]);
}

#[test]
fn much_without_a_frame_are_told_in_bounded_pieces() {
    for (name, _) in STREAMS {
        for byte in [0x00, 0x02, 0x03, 0x0d, 0xbb, 0xff] {
            let mut decoder = Decoder::of(&profile(name));
            let mut longest = 0;
            for _ in 0..8 {
                decoder.push(&[byte; 4_096], &mut |decoded| match decoded {
                    Decoded::Rejected(rejected) => {
                        longest = longest.max(rejected.raw.bytes().len());
                    }
                    Decoded::Reading(reading) => panic!("{name}: {reading:?}"),
                });
            }
            assert!((1..=256).contains(&longest), "{name} {longest}");
        }
    }
}
