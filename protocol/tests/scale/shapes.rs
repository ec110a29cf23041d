//! The documented shapes with each of their states.

use tarehand_protocol::MassUnit;
use tarehand_protocol::scale::{Decoder, Profile, Settings, Shape, profile};

use crate::line::{check, profile};

fn alone() -> Decoder {
    Decoder::tolerant(None)
}

fn shape(shape: Shape, unit: Option<MassUnit>) -> Decoder {
    let settings = Settings {
        layout: profile::Layout::Shape(shape, 1),
        unit,
        ..Settings::named("a test")
    };
    Decoder::of(&Profile::from_settings(&settings).expect("the settings are right"))
}

const NO_SHAPE: &str = "rejected: no shape of a scale's line that is known here";

#[test]
fn a_number_may_have_any_unit_of_mass() {
    check(
        alone(),
        b"12.30 g\r\n+  12.30g\r\n-0.5kg\r\n 3 mg\r\n1.0 OZ\r\n2.5 lb\r\n1ozt\r\n5 ct\r\n7 gr\r\n",
        &[
            "12.30 g", "12.30 g", "-0.5 kg", "3 mg", "1.0 oz", "2.5 lb", "1 ozt", "5 ct", "7 gr",
        ],
    );
    check(
        alone(),
        b"1lb 2.3oz\r-1 LB  2.3 OZ\r12 pcs\r",
        &[
            "1 lb 2.3 oz",
            "-1 lb -2.3 oz",
            "rejected: `pcs` is not a unit of mass that is known here",
        ],
    );
}

#[test]
fn a_comma_is_never_guessed() {
    check(
        alone(),
        b"12,30 g\r\n0,123 kg\r\n1,234 g\r\n",
        &[
            "12.30 g",
            "0.123 kg",
            "rejected: the comma in `1,234` can mean several things",
        ],
    );
    check(
        Decoder::tolerant(Some(MassUnit::Gram)),
        b"12,30\r\n",
        &["rejected: the comma in `12,30` can mean several things"],
    );
}

#[test]
fn labels_tell_net_gross_and_tare_and_settings_are_no_weight() {
    check(
        alone(),
        b"Net: 1.00 kg Tare: 0.20 kg\rNet 1.00 kg\rTare: 0.20 kg\rGross: 3.5 kg, Max: 5 kg\r",
        &[
            "1.00 kg, gross 1200 g",
            "1.00 kg relative",
            "rejected: this tells a tare, not a weight",
            "3.5 kg",
        ],
    );
    check(
        alone(),
        b"Max: 5 kg\rA: 1 g B: 2 g\rWeight: 1 g 5\rWeight: 12.3 g unstable\rWeight: nan kg\r12.3 g hello\r",
        &[
            NO_SHAPE,
            "rejected: several numbers: 1, 2",
            "rejected: several numbers: 1, 5",
            "12.3 g moving",
            "fault",
            "rejected: `hello` is no weight",
        ],
    );
}

// Manuals: heads ST, US, OL; the second head and the minus beside OL are from memory.
#[test]
fn status_heads_tell_motion_and_basis() {
    let bytes = b"ST,GS,+  12.30 g\r\nUS,NT,-   0.05kg\r\nOL,GS,+\r\nOL,GS,-\r\nST,TR,+   1.00 g\r\nST,+00001.50 lb\r\nQT,GS,+      12pc\r\n";
    let expect = [
        "12.30 g stable",
        "-0.05 kg moving relative",
        "over",
        "under",
        "rejected: this tells a tare, not a weight",
        "1.50 lb stable",
        "rejected: `QT` is no weight",
    ];
    check(alone(), bytes, &expect);
    check(shape(Shape::StatusHead, None), bytes, &expect);
}

// Manuals: the point in the low bits of the first status byte; the other bits from memory.
#[test]
fn status_bytes_tell_point_unit_net_sign_and_motion() {
    // Point code 4 (two decimals), step 1; kilograms.
    let frame = |state: u8, unit: u8, weight: &str, tare: &str| {
        [
            b"\x02\x2c",
            &[state, unit][..],
            weight.as_bytes(),
            tare.as_bytes(),
            b"\r",
        ]
        .concat()
    };
    for decoder in [alone(), shape(Shape::StatusBytes, None)] {
        let bytes = [
            frame(0x30, 0x20, "  1230", "     0"),
            frame(0x31, 0x20, "  1000", "   250"),
            frame(0x38, 0x20, "  1230", "     0"),
            frame(0x32, 0x20, "    50", "     0"),
            frame(0x34, 0x20, "      ", "     0"),
            frame(0x36, 0x20, "      ", "     0"),
            frame(0x20, 0x20, "   500", "     0"),
            frame(0x20, 0x21, "   500", "     0"),
        ]
        .concat();
        check(
            decoder,
            &bytes,
            &[
                "12.30 kg stable",
                "10.00 kg stable, gross 12500 g",
                "12.30 kg moving",
                "-0.50 kg stable",
                "over",
                "under",
                "5.00 lb stable",
                "5.00 g stable",
            ],
        );
    }
}

// By definition of the two's complement: the seven-bit sum of frame and check is zero.
#[test]
fn a_check_byte_behind_cr_is_verified_when_told_and_passed_over_when_not() {
    let frame = b"\x02\x2c\x30\x20  1230     0\r";
    let sum = frame.iter().fold(0_u8, |sum, byte| sum.wrapping_add(*byte));
    let good = [&frame[..], &[sum.wrapping_neg() & 0x7f]].concat();
    let bytes = [good.clone(), good.clone()].concat();
    let both = ["12.30 kg stable", "12.30 kg stable"];
    check(Decoder::of(&profile("status-bytes-checked")), &bytes, &both);
    check(alone(), &bytes, &both);
    let mut bad = good;
    bad[6] = b'7';
    bad[7] = b'7';
    let mut outcome = Vec::new();
    Decoder::of(&profile("status-bytes-checked")).push(&bad, &mut |decoded| outcome.push(decoded));
    assert!(
        matches!(
            outcome.as_slice(),
            [tarehand_protocol::scale::Decoded::Rejected(_)]
        ),
        "{outcome:?}"
    );
}

// Manuals: marks and pounds-ounces; the status bits are from memory.
#[test]
fn a_line_with_status_behind_cr_is_read_whole_when_told() {
    check(
        shape(Shape::LineStatus, None),
        b"\n   1.25LB\rS00\x03\n  1LB 02.3OZ\rS10\x03\n^^^^^^^LB\rS02\x03\n_______LB\rS01\x03\n-------LB\rS00\x03\n   0.00KG\rS01\x03",
        &[
            "1.25 lb stable",
            "1 lb 2.3 oz moving",
            "over",
            "under",
            "fault",
            "under",
        ],
    );
    // Alone, the weight's own line is enough and the status is passed over.
    check(
        alone(),
        b"\n   1.25LB\rS00\x03\n  1LB 02.3OZ\rS10\x03",
        &["1.25 lb", "1 lb 2.3 oz"],
    );
}

// Manuals.
#[test]
fn one_letter_in_place_of_digits_is_a_state() {
    let bytes = b"\x02IIIII\x03\x02NNNNN\x03\x02SSSSS\x03\x0212.34\x03";
    check(
        shape(Shape::LetterFill, Some(MassUnit::Kilogram)),
        bytes,
        &["blank", "under", "over", "12.34 kg stable"],
    );
    check(
        alone(),
        bytes,
        &[
            "blank",
            "under",
            "over",
            "rejected: the number 12.34 has no unit",
        ],
    );
}

// Manuals; the letter of a moving weight is from memory.
#[test]
fn fourteen_bytes_with_a_letter_tell_motion() {
    let bytes = b":W 118.70kgS \r:W-  0.05kgU \r:W ------kg  \r:W 118.70kgX \r:W 18.70kgS \r";
    let expect = [
        "118.70 kg stable",
        "-0.05 kg moving",
        "rejected: no shape of a scale's line that is known here",
        NO_SHAPE,
        NO_SHAPE,
    ];
    check(
        shape(Shape::Lettered, None),
        bytes,
        &[expect[0], expect[1], "fault", NO_SHAPE, NO_SHAPE],
    );
    check(alone(), &bytes[..28], &expect[..2]);
}

// Manuals.
#[test]
fn a_blank_in_place_of_the_unit_is_moving() {
    let bytes = b"+  12.30 g  \r\n+  12.31    \r\n+  0.434 oz \r\n";
    check(
        shape(Shape::UnitWhenStable, Some(MassUnit::Gram)),
        bytes,
        &[
            "12.30 g stable",
            "12.31 g moving",
            "rejected: the scale sends oz, but g was told",
        ],
    );
    check(
        alone(),
        &bytes[..28],
        &["12.30 g", "rejected: the number 12.31 has no unit"],
    );
}

// Manuals: the display shows dashes and the line an exact zero.
#[test]
fn a_sudden_exact_zero_is_an_overload_where_the_scale_sends_it_so() {
    let decoder = || Decoder::of(&profile("zero-when-over"));
    check(
        decoder(),
        b"29.500\r00.000\r00.000\r28.100\r12.000\r00.000\r",
        &[
            "29.500 kg",
            "over",
            "over",
            "28.100 kg",
            "12.000 kg",
            "0.000 kg",
        ],
    );
}

#[test]
fn words_for_too_much_too_little_and_errors_are_states() {
    check(
        alone(),
        b"OL\rUL\r^^^^\r____\r----\rErr 5\rE02\rinf\rovf\r",
        &[
            "over", "under", "over", "under", "fault", "fault", "fault", "fault", "fault",
        ],
    );
}
