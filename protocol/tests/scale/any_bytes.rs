//! What holds for any bytes in any split.

use std::sync::LazyLock;

use proptest::collection::vec;
use proptest::prelude::*;
use tarehand_protocol::scale::profile::Layout;
use tarehand_protocol::scale::{Decoded, Decoder, Profile, Raw, Settings, Shape, Why};
use tarehand_protocol::{MassUnit, Reading, Sent};

use crate::line::{check, decode, profile};

/// Every kind of decoder there is.
static DECODERS: LazyLock<Vec<Decoder>> = LazyLock::new(|| {
    let shapes = Shape::ALL.into_iter().map(|shape| {
        let settings = Settings {
            layout: Layout::Shape(shape, 1),
            unit: Some(MassUnit::Gram),
            ..Settings::named("any")
        };
        Decoder::of(&Profile::from_settings(&settings).expect("the settings are right"))
    });
    let profiles = [
        "seven-bits-odd",
        "signed-xor-hex",
        "signed-xor-nibbles",
        "status-bytes-silent",
        "question-mark",
        "numbers-first",
        "status-bytes-checked",
        "zero-when-over",
        "pounds-pattern",
    ]
    .map(|name| Decoder::of(&profile(name)));
    let tolerant = [None, Some(MassUnit::Gram)].map(Decoder::tolerant);
    shapes.chain(profiles).chain(tolerant).collect()
});

/// Ten bytes, checked by exclusive-or.
static CHECKED: LazyLock<Decoder> = LazyLock::new(|| Decoder::of(&profile("signed-xor-hex")));

/// Bytes that look like a scale's: pieces of lines, control characters, noise.
fn traffic() -> impl Strategy<Value = Vec<u8>> {
    let piece = prop_oneof![
        any::<u8>().prop_map(|byte| vec![byte]),
        "[-+0-9., ]{0,9}".prop_map(String::into_bytes),
        prop::sample::select(vec![
            &b"\r\n"[..],
            b"\r",
            b"\n",
            b"\x02",
            b"\x03",
            b" g",
            b"kg",
            b"lb",
            b"oz",
            b"ST,GS,",
            b"US,NT,",
            b"OL,",
            b":W ",
            b"S ",
            b"S00",
            b"IIIII",
            b"\x02\x2c\x30\x20",
            b"  1230",
            b"+00003301B",
            b"Reading: ",
            b"^^^^",
            b"nan",
            b"?",
            b"Tare: ",
            b";",
        ])
        .prop_map(<[u8]>::to_vec),
    ];
    vec(piece, 0..40).prop_map(|pieces| pieces.concat())
}

proptest! {
    #[test]
    fn any_split_gives_the_same(bytes in traffic(), cuts in vec(any::<prop::sample::Index>(), 0..6)) {
        let mut cuts: Vec<usize> = cuts.iter().map(|cut| cut.index(bytes.len() + 1)).collect();
        cuts.sort_unstable();
        for decoder in DECODERS.iter() {
            let whole = decode(decoder.clone(), [bytes.as_slice()]);
            let single = decode(decoder.clone(), bytes.chunks(1));
            let mut parts = Vec::new();
            let mut from = 0;
            for &cut in &cuts {
                parts.push(&bytes[from..cut]);
                from = cut;
            }
            parts.push(&bytes[from..]);
            prop_assert_eq!(&decode(decoder.clone(), parts), &whole);
            prop_assert_eq!(&single, &whole);
            for decoded in &whole {
                if let Decoded::Rejected(rejected) = decoded {
                    prop_assert!(rejected.raw.bytes().len() <= Raw::LIMIT);
                    prop_assert!(!rejected.why.to_string().is_empty());
                }
            }
        }
    }

    // A line that comes in one piece is read where it lies, one that comes byte by byte is not;
    // lines around the limit of their length come in each way too.
    #[test]
    fn a_line_in_place_is_read_as_one_that_came_in_pieces(
        lines in vec((traffic(), 0_usize..280, prop_oneof![Just(b'\r'), Just(b'\n'), any::<u8>()]), 0..5),
        noise in vec(any::<u8>(), 0..40),
        sizes in vec(1_usize..300, 1..6),
    ) {
        let padded = lines.iter().flat_map(|(line, blanks, end)| [&vec![b' '; *blanks], line, &vec![*end]].map(Vec::clone));
        let bytes = padded.chain([noise]).collect::<Vec<_>>().concat();
        for decoder in DECODERS.iter() {
            let in_place = decode(decoder.clone(), [bytes.as_slice()]);
            let single = decode(decoder.clone(), bytes.chunks(1));
            prop_assert_eq!(&single, &in_place);
            let mut rest = bytes.as_slice();
            let pieces = sizes.iter().cycle().map_while(|&size| {
                let (piece, behind) = rest.split_at(size.min(rest.len()));
                rest = behind;
                (!piece.is_empty()).then_some(piece)
            });
            prop_assert_eq!(&decode(decoder.clone(), pieces), &in_place);
        }
    }

    #[test]
    fn silences_and_reopening_never_panic(parts in vec(traffic(), 0..4)) {
        for mut decoder in DECODERS.iter().cloned() {
            for part in &parts {
                decoder.push(part, &mut |_| {});
                decoder.flush(&mut |_| {});
                decoder.push(part, &mut |_| {});
                decoder.reset();
            }
        }
    }

    // An exclusive-or sees every change of one byte; what is left is a change of the frame's start.
    #[test]
    fn one_changed_byte_of_a_checked_frame_gives_no_other_number(
        digits in 0_u32..1_000_000, place in 0_u8..7, at in 0_usize..10, byte: u8,
    ) {
        let covered = format!("+{digits:06}{place}");
        let xor = covered.bytes().fold(0, |all, byte| all ^ byte);
        let mut frame = format!("{covered}{xor:02X}").into_bytes();
        let decoder = || CHECKED.clone();
        let good = decode(decoder(), [frame.as_slice()]);
        prop_assert_eq!(good.len(), 1);
        let was = frame[at];
        // A hex digit in small letters is the same check.
        prop_assume!(!was.eq_ignore_ascii_case(&byte));
        frame[at] = byte;
        let bad = decode(decoder(), [frame.as_slice()]);
        let reading = bad.iter().any(|decoded| matches!(decoded, Decoded::Reading(_)));
        prop_assert!(!reading, "{:?}", frame.escape_ascii().to_string());
    }

    #[test]
    fn a_cut_out_piece_of_a_checked_frame_gives_no_number(
        digits in 0_u32..1_000_000, from in 0_usize..10, length in 1_usize..10,
    ) {
        let covered = format!("+{digits:06}2");
        let xor = covered.bytes().fold(0, |all, byte| all ^ byte);
        let frame = format!("{covered}{xor:02X}").into_bytes();
        let until = (from + length).min(frame.len());
        let mut torn = frame.clone();
        torn.drain(from..until);
        torn.extend_from_slice(&frame);
        let good = decode(CHECKED.clone(), [frame.as_slice()]);
        let got = decode(CHECKED.clone(), [torn.as_slice()]);
        let readings: Vec<&Decoded> =
            got.iter().filter(|decoded| matches!(decoded, Decoded::Reading(_))).collect();
        prop_assert_eq!(readings, good.iter().collect::<Vec<_>>());
    }

    #[test]
    fn a_written_weight_reads_back_exactly(mantissa in -9_999_999_i64..=9_999_999, scale in 0_u8..5) {
        let number = tarehand_protocol::Decimal::new(mantissa, scale).unwrap();
        let line = format!("{number} g\r\n");
        let expect = Sent::Single(number, MassUnit::Gram);
        let got = decode(Decoder::tolerant(None), [line.as_bytes()]);
        match got.as_slice() {
            [Decoded::Reading(Reading::Weight(weighed))] => prop_assert_eq!(weighed.sent, expect),
            other => prop_assert!(false, "{other:?}"),
        }
    }
}

#[test]
fn ten_megabytes_on_one_line_are_one_rejection() {
    let chunk = [b'7'; 4096];
    for mut decoder in [
        Decoder::tolerant(Some(MassUnit::Gram)),
        Decoder::of(&profile("signed-xor-hex")),
    ] {
        let mut rejected = Vec::new();
        for _ in 0..2_560 {
            decoder.push(&chunk, &mut |decoded| rejected.push(decoded));
        }
        match rejected.as_slice() {
            [Decoded::Rejected(only)] => {
                assert_eq!(only.why, Why::TooLong);
                assert_eq!(only.raw.bytes().len(), Raw::LIMIT);
            }
            other => panic!("{} outcomes", other.len()),
        }
    }
}

#[test]
fn the_line_after_one_that_is_too_long_is_read() {
    let bytes = [&[b'x'; 300][..], b"\r\n12.5 g\r\n"].concat();
    check(
        Decoder::tolerant(None),
        &bytes,
        &["rejected: too long for a line of a scale", "12.5 g"],
    );
}

#[test]
fn after_reopening_the_rest_of_a_line_is_torn() {
    let mut decoder = Decoder::tolerant(None);
    decoder.push(b"12", &mut |_| {});
    decoder.reset();
    check(
        decoder,
        b"2.30 g\r\n12.30 g\r\n",
        &["rejected: a torn frame", "12.30 g"],
    );
}

#[test]
fn a_line_that_never_ends_is_told_at_a_silence() {
    let mut decoder = Decoder::tolerant(Some(MassUnit::Gram));
    let mut all = Vec::new();
    decoder.push(b"12.30", &mut |decoded| all.push(decoded));
    decoder.flush(&mut |decoded| all.push(decoded));
    // The rest of that line, should it come, is torn.
    decoder.push(b"4\r\n12.5\r\n", &mut |decoded| all.push(decoded));
    let whys: Vec<String> = all
        .iter()
        .map(|decoded| match decoded {
            Decoded::Rejected(rejected) => rejected.why.to_string(),
            Decoded::Reading(_) => "a reading".to_owned(),
        })
        .collect();
    assert_eq!(whys, ["the line has no end", "a torn frame", "a reading"]);
}
