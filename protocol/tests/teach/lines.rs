//! Scales that send lines: those that people struggled with (wire.md, rows 2 to 5 and 12), taught.

use std::fmt::Write as _;

use tarehand_protocol::scale::capture::{Capture, Captured, Moment};
use tarehand_protocol::scale::teach::{Lesson, Taught, teach};
use tarehand_protocol::scale::{Decoded, Decoder, Profile};
use tarehand_protocol::{Mass, MassUnit, Motion, Reading};

/// Plays empty, 100 g, 250 g and 400 g, with the way between; hundredths of a gram and whether it moves.
fn lesson(line: impl Fn(i64, bool, usize) -> Vec<u8>) -> Lesson {
    let mut moments = Vec::new();
    let (mut at_us, mut count, mut now) = (0, 0, 0);
    for weight in [0, 10_000, 25_000, 40_000, 0] {
        let from = now;
        for step in 1..=6 {
            now = from + (weight - from) * step / 6 + step % 2 * 7;
            let bytes = line(now, true, count);
            moments.push(Moment {
                at_us,
                what: Captured::Bytes(bytes),
            });
            at_us += 100_000;
            count += 1;
        }
        now = weight;
        moments.push(Moment {
            at_us,
            what: Captured::Pan(Mass::from_milligrams(weight * 10)),
        });
        for step in 0..50 {
            let noise = i64::from(step % 7 == 3);
            let bytes = line(weight + noise, false, count);
            moments.push(Moment {
                at_us,
                what: Captured::Bytes(bytes),
            });
            at_us += 100_000;
            count += 1;
        }
    }
    let capture = Capture {
        device: String::new(),
        moments,
    };
    Lesson::new(MassUnit::Gram).hear(&capture, &[])
}

/// Plays the same weights on a scale that never flickers and is never seen to move: five lines over and over.
fn steady(line: impl Fn(i64) -> Vec<u8>) -> Lesson {
    let mut moments = Vec::new();
    let mut at_us = 0;
    for weight in [0, 100, 250, 400, 0] {
        moments.push(Moment {
            at_us,
            what: Captured::Pan(Mass::from_grams(weight)),
        });
        for _ in 0..40 {
            moments.push(Moment {
                at_us,
                what: Captured::Bytes(line(weight)),
            });
            at_us += 100_000;
        }
    }
    let capture = Capture {
        device: String::new(),
        moments,
    };
    Lesson::new(MassUnit::Gram).hear(&capture, &[])
}

#[test]
fn a_scale_that_never_flickers_is_learnt_from_its_few_lines() {
    let line = |weight: i64| format!("w={weight:05}.0;q7\r\n").into_bytes();
    let profile = found(&steady(line));
    check(&profile, &line(100), &["100 g"]);
    // No line but those four was ever seen, and the numbers between them are read all the same.
    check(&profile, &line(173), &["173 g"]);
    let bare = |weight: i64| format!("<{weight}>\r\n").into_bytes();
    check(&found(&steady(bare)), &bare(251), &["251 g"]);
}

#[track_caller]
fn found(lesson: &Lesson) -> Profile {
    match teach(lesson).unwrap() {
        Taught::Found { best, .. } => best.profile,
        other => panic!("{other:#?}"),
    }
}

#[track_caller]
fn check(profile: &Profile, bytes: &[u8], expect: &[&str]) {
    let mut got = Vec::new();
    let mut sink = |decoded: Decoded| {
        got.push(match decoded {
            Decoded::Reading(Reading::Weight(weighed)) => {
                let moving = if weighed.motion == Motion::Moving {
                    " moving"
                } else {
                    ""
                };
                format!("{}{moving}", weighed.gross)
            }
            Decoded::Reading(Reading::NoWeight(state)) => format!("{state:?}"),
            Decoded::Rejected(_) => "rejected".to_owned(),
        });
    };
    let mut decoder = Decoder::of(profile);
    decoder.push(bytes, &mut sink);
    decoder.flush(&mut sink);
    assert_eq!(got, expect, "{}", profile.source());
}

fn xor(text: &str) -> u8 {
    text.bytes().fold(0, |all, byte| all ^ byte)
}

// wire.md, row 2: sign, six digits, decimal place, XOR in hex; between STX and ETX.
#[test]
fn signed_digits_with_a_check_in_hex_are_learnt() {
    let line = |hundredths: i64, _: bool, _: usize| {
        let text = format!("+{hundredths:06}2");
        format!("{text}{:02X}", xor(&text)).into_bytes()
    };
    let profile = found(&lesson(line));
    check(
        &profile,
        &[line(12_345, false, 0), b"+".to_vec()].concat(),
        &["123.45 g"],
    );
    // Its own check fails.
    check(&profile, b"+0123452FF+", &["rejected"]);
    // No minus was shown, so none is believed.
    let below = "-0123452";
    let below = format!("{below}{:02X}+", xor(below));
    check(&profile, below.as_bytes(), &["rejected"]);
}

// wire.md, row 3: the same with the check as 0x30 plus four bits each.
#[test]
fn signed_digits_with_a_check_in_nibbles_are_learnt() {
    let line = |hundredths: i64, _: bool, _: usize| {
        let text = format!("+{hundredths:06}2");
        let check = xor(&text);
        let mut bytes = text.into_bytes();
        bytes.extend([0x30 + (check >> 4), 0x30 + (check & 0x0f)]);
        bytes
    };
    let profile = found(&lesson(line));
    check(
        &profile,
        &[line(12_345, false, 0), b"+".to_vec()].concat(),
        &["123.45 g"],
    );
}

// wire.md, row 4: weight and tare behind three status bytes that say nothing.
#[test]
fn a_weight_beside_a_tare_is_not_joined_to_it() {
    let line =
        |hundredths: i64, _: bool, _: usize| format!("\x02   {hundredths:>6}   350\r").into_bytes();
    let profile = found(&lesson(line));
    check(&profile, &line(12_345, false, 0), &["123.45 g"]);
}

// wire.md, row 5: a question mark while the weight moves, and another number beside it.
#[test]
fn a_question_mark_that_goes_with_moving_is_a_state() {
    let line = |hundredths: i64, moving: bool, _: usize| {
        let mut text = String::new();
        let mark = if moving { "?" } else { " " };
        let _written = write!(
            text,
            "{:>8}.{:02}      {mark}G  \r\n",
            hundredths / 100,
            hundredths % 100
        );
        text.into_bytes()
    };
    let profile = found(&lesson(line));
    check(&profile, &line(12_345, true, 0), &["123.45 g moving"]);
    check(&profile, &line(12_345, false, 0), &["123.45 g"]);
    check(&profile, b"ES\r\n", &["rejected"]);
}

// wire.md, row 12: the second number is another sensor.
#[test]
fn of_two_numbers_the_one_that_goes_with_the_weights_is_taken() {
    let line = |hundredths: i64, _: bool, count: usize| {
        format!(
            "2.{}{},{}.{:02}\r\n",
            count % 7,
            count % 3,
            hundredths / 100,
            hundredths % 100
        )
        .into_bytes()
    };
    let profile = found(&lesson(line));
    check(&profile, b"2.31,123.45\r\n", &["123.45 g"]);
}

#[test]
fn a_status_head_is_read_by_its_own_shape() {
    let line = |hundredths: i64, moving: bool, _: usize| {
        let head = if moving { "US" } else { "ST" };
        format!(
            "{head},GS,+{:>5}.{:02} g\r\n",
            hundredths / 100,
            hundredths % 100
        )
        .into_bytes()
    };
    let profile = found(&lesson(line));
    check(&profile, &line(12_345, true, 0), &["123.45 g moving"]);
}

#[test]
fn what_a_lesson_lacks_is_said_with_what_to_do() {
    let silent = Lesson::new(MassUnit::Gram);
    let error = teach(&silent).unwrap_err();
    assert_eq!(error.to_string(), "the scale said nothing");
    assert!(error.hint().contains("switch the scale on"));
    let nonsense = lesson(|_, _, count| {
        vec![
            0x55,
            (count * 31 % 251) as u8,
            (count * count % 253) as u8,
            0xaa,
        ]
    });
    match teach(&nonsense).unwrap() {
        Taught::Nothing(because) => assert!(!because.hint().is_empty()),
        other => panic!("{other:#?}"),
    }
}
