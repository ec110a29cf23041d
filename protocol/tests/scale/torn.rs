//! The end of a frame whose beginning nobody heard never gives a reading.

use tarehand_protocol::scale::{Decoded, Decoder, Profile, Settings, Shape, profile};
use tarehand_protocol::{MassUnit, Reading};

/// Frames of every built-in shape, with every state that has a number.
const FRAMES: [(Shape, &[u8]); 23] = [
    (Shape::Number, b"184.25 g\r\n"),
    (Shape::Number, b"- 1184.25g\r\n"),
    (Shape::Number, b"1234\r\n"),
    (Shape::Number, b"12lb 12.3oz\r"),
    (Shape::Labelled, b"Reading: 184.25 g  Factor: 430.1\r\n"),
    (Shape::Labelled, b"Gross: 3.5 kg, Max: 15 kg\r\n"),
    (Shape::Labelled, b"Net: 11.00 kg Tare: 10.20 kg\r"),
    (Shape::Labelled, b"Tare: 184.25 g Net: 25.13 g unstable\r\n"),
    (Shape::Numbers, b"134.78,12.30\r\n"),
    (Shape::StatusHead, b"ST,GS,+ 184.25 g\r\n"),
    (Shape::StatusHead, b"US,NT,-1184.25kg\r\n"),
    (Shape::StatusHead, b"ST,TR,+ 184.25 g\r\n"),
    (Shape::StatusHead, b"ST,+00184.25 lb\r\n"),
    (Shape::StatusHead, b"NT,ST,+ 184.25 g\r\n"),
    (Shape::StatusBytes, b"\x02\x2c\x30\x20 11230   250\r"),
    (Shape::StatusBytes, b"\x02\x2c\x32\x20 11230      \r"),
    (Shape::LineStatus, b"\n 184.25KG\rS00\x03"),
    (Shape::LineStatus, b"\n 11LB 02.3OZ\rS10\x03"),
    (Shape::LetterFill, b"\x02184.25\x03"),
    (Shape::Lettered, b":W 118.70kgS \r"),
    (Shape::Lettered, b":W-118.70kgU \r"),
    (Shape::UnitWhenStable, b"+ 184.25 g  \r\n"),
    (Shape::UnitWhenStable, b"- 184.25    \r\n"),
];

fn decoders(shape: Shape) -> [Decoder; 3] {
    let settings = Settings {
        layout: profile::Layout::Shape(shape, 1),
        unit: Some(MassUnit::Gram),
        ..Settings::named("a test")
    };
    let profile = Profile::from_settings(&settings).expect("the settings are right");
    [
        Decoder::of(&profile),
        Decoder::tolerant(None),
        Decoder::tolerant(Some(MassUnit::Gram)),
    ]
}

/// Returns what a link that was just opened gives of these bytes, in pieces of a size.
fn readings(mut decoder: Decoder, bytes: &[u8], size: usize) -> Vec<Reading> {
    let mut readings = Vec::new();
    decoder.reset();
    for piece in bytes.chunks(size) {
        decoder.push(piece, &mut |decoded| match decoded {
            Decoded::Reading(reading) => readings.push(reading),
            Decoded::Rejected(_) => {}
        });
    }
    readings
}

#[test]
fn no_end_of_a_frame_gives_a_reading_wherever_it_is_cut() {
    for (shape, frame) in FRAMES {
        for decoder in decoders(shape) {
            for cut in 1..=frame.len() {
                let tail = &frame[cut..];
                for size in [1, 3, 64] {
                    assert_eq!(
                        readings(decoder.clone(), tail, size),
                        [],
                        "{} as {}",
                        tail.escape_ascii(),
                        shape.name()
                    );
                }
            }
        }
    }
}

#[test]
fn what_comes_after_the_end_of_a_frame_is_read_as_ever() {
    for (shape, frame) in FRAMES {
        for decoder in decoders(shape) {
            let two = [frame, frame].concat();
            let mut file = decoder.clone();
            let mut expect = Vec::new();
            file.push(&two, &mut |decoded| match decoded {
                Decoded::Reading(reading) => expect.push(reading),
                Decoded::Rejected(_) => {}
            });
            for cut in 1..frame.len() {
                let heard = [&frame[cut..], &two].concat();
                assert_eq!(
                    readings(decoder.clone(), &heard, 64),
                    expect,
                    "{} as {}",
                    heard.escape_ascii(),
                    shape.name()
                );
            }
        }
    }
}

#[test]
fn a_first_frame_is_read_at_once_where_its_heads_show_that_it_is_whole() {
    for (shape, frame) in [
        (Shape::StatusHead, &b"ST,GS,+ 184.25 g\r\n"[..]),
        (Shape::StatusHead, b"US,NT,-1184.25kg\r\n"),
        (Shape::StatusHead, b"OL,GS,+\r\n"),
        (Shape::Lettered, b":W 118.70kgS \r"),
        (Shape::StatusBytes, b"\x02\x2c\x30\x20 11230   250\r"),
    ] {
        for decoder in decoders(shape) {
            assert_eq!(
                readings(decoder, frame, 64).len(),
                1,
                "{}",
                frame.escape_ascii()
            );
        }
    }
}

#[test]
fn a_first_frame_without_such_heads_waits_for_the_next() {
    for (shape, frame) in [
        (Shape::Number, &b"184.25 g\r\n"[..]),
        (Shape::Labelled, b"Reading: 184.25 g\r\n"),
        (Shape::StatusHead, b"ST,+ 184.25 g\r\n"),
        (Shape::UnitWhenStable, b"+ 184.25 g\r\n"),
    ] {
        for decoder in decoders(shape) {
            let two = [frame, frame].concat();
            assert_eq!(readings(decoder, &two, 64).len(), 1);
        }
    }
}
