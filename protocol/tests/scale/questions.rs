//! Lines people could not read, each with what a reader alone and a told one must make of it.

use tarehand_protocol::MassUnit;
use tarehand_protocol::scale::{Decoded, Decoder, Doctor, Finding, Parity};

use crate::line::{check, decode, profile};

fn alone() -> Decoder {
    Decoder::tolerant(None)
}

fn told(unit: MassUnit) -> Decoder {
    Decoder::tolerant(Some(unit))
}

fn with(name: &str) -> Decoder {
    Decoder::of(&profile(name))
}

fn doctor(decoder: Decoder, bytes: &[u8]) -> Vec<Finding> {
    let mut doctor = Doctor::default();
    for decoded in decode(decoder, [bytes]) {
        doctor.observe(&decoded);
    }
    doctor.findings()
}

const NO_SHAPE: &str = "rejected: no shape of a scale's line that is known here";

// stackoverflow.com question 17991062; the popcounts of its bytes are all odd.
const SEVEN_ODD: [u8; 12] = [
    0x20, 0x20, 0xb0, 0xae, 0xb0, 0xb0, 0x20, 0x6b, 0x67, 0x20, 0x0d, 0x8a,
];

#[test]
fn seven_bits_with_parity_are_refused_as_eight_and_read_as_seven() {
    check(alone(), &SEVEN_ODD, &["rejected: not text"]);
    check(with("seven-bits-odd"), &SEVEN_ODD, &["0.00 kg"]);
    let three = SEVEN_ODD.repeat(3);
    assert_eq!(
        doctor(alone(), &three),
        [Finding::SevenBits(Parity::Odd)],
        "the doctor offers what fits"
    );
}

#[test]
fn a_flipped_bit_in_a_parity_character_rejects_its_line() {
    let mut bytes = SEVEN_ODD;
    bytes[4] ^= 0x01;
    check(with("seven-bits-odd"), &bytes, &["rejected: wrong parity"]);
}

#[test]
fn a_link_that_strips_the_parity_itself_is_read_too() {
    check(with("seven-bits-odd"), b"  0.00 kg \r\n", &["0.00 kg"]);
}

// stackoverflow.com question 48203304: sign, 6 digits, decimal place, 2 hex of exclusive-or.
#[test]
fn torn_frames_with_a_check_give_nothing_and_whole_ones_their_number() {
    let bytes = b"03301B+00003301B+000033+00003301B+";
    check(alone(), bytes, &[]);
    check(alone(), &[bytes, &b"\r"[..]].concat(), &[NO_SHAPE]);
    check(
        with("signed-xor-hex"),
        bytes,
        &[
            "rejected: a torn frame",
            "33 g",
            "rejected: a torn frame",
            "33 g",
        ],
    );
}

// forum.arduino.cc/t/1269395: the same, check as 0x30 plus four bits.
#[test]
fn a_frame_that_fails_its_own_check_is_no_number() {
    let bytes = b"+00015511;+00005011>";
    check(alone(), &[bytes, &b"\r"[..]].concat(), &[NO_SHAPE]);
    check(
        with("signed-xor-nibbles"),
        bytes,
        &["15.5 g", "rejected: the check says 1E, the bytes give 1F"],
    );
}

// hackaday.io project 205870: keeping the digits made 350350 of it.
#[test]
fn weight_and_tare_in_one_frame_are_not_one_number() {
    let bytes = b"\x02\x20\x20\x20\x20\x20\x20350\x20\x20\x20350\r";
    let no_point = "rejected: the frame does not tell where the decimal point is";
    check(alone(), bytes, &[no_point]);
    check(told(MassUnit::Kilogram), bytes, &[no_point]);
    check(with("status-bytes-silent"), bytes, &["3.50 kg stable"]);
    let mut settings = profile("status-bytes-silent").settings().clone();
    settings.weight = Some(tarehand_protocol::scale::Kind::Net);
    let net = tarehand_protocol::scale::Profile::from_settings(&settings).unwrap();
    check(Decoder::of(&net), bytes, &["3.50 kg stable, gross 7000 g"]);
}

// arduino.stackexchange.com question 48969.
#[test]
fn a_question_mark_is_moving_and_es_is_no_weight() {
    let bytes = b"    0.00      ?\r\n    0.40      ?G  \r\nES\r\nES\r\n";
    let es = "rejected: `ES` is no weight";
    check(alone(), bytes, &[NO_SHAPE, NO_SHAPE, es, es]);
    check(told(MassUnit::Gram), bytes, &[NO_SHAPE, NO_SHAPE, es, es]);
    check(
        with("question-mark"),
        bytes,
        &["0.00 kg moving", "0.40 kg moving", "fault", "fault"],
    );
    check(
        with("question-mark"),
        b"    1.00   0.40   N\r\n",
        &["1.00 kg, gross 1400 g"],
    );
    assert_eq!(doctor(alone(), bytes), [Finding::Word("ES".into())]);
}

// The same question, after a text decoder had replaced the bytes.
#[test]
fn a_line_whose_bytes_were_hidden_stays_rejected() {
    let bytes = b"???s.R?????0? ??o???????0?\r\n";
    check(alone(), bytes, &[NO_SHAPE]);
    check(told(MassUnit::Gram), bytes, &[NO_SHAPE]);
}

// A public question about a polled scale; its units differ in the mark.
#[test]
fn a_padded_number_asks_for_its_unit_and_takes_either_mark() {
    let bytes = b"001.123\r001,123\r";
    let missing = "rejected: the number 1.123 has no unit";
    check(alone(), bytes, &[missing, missing]);
    check(told(MassUnit::Kilogram), bytes, &["1.123 kg", "1.123 kg"]);
    check(with("polled-padded"), bytes, &["1.123 kg", "1.123 kg"]);
    assert_eq!(doctor(alone(), bytes), [Finding::NeedsUnit]);
}

// forum.arduino.cc/t/640398: the last number of the line had been taken.
#[test]
fn of_labelled_numbers_the_one_with_a_mass_unit_is_the_weight() {
    let bytes = b"Reading: 0.00 kg calibration_factor: 1000.00\r\n";
    check(alone(), bytes, &["0.00 kg"]);
    check(told(MassUnit::Gram), bytes, &["0.00 kg"]);
}

// A calibration factor of 0; what C prints for a float that is no number.
#[test]
fn not_a_number_is_a_fault() {
    check(alone(), b"nan\r\n", &["fault"]);
    check(told(MassUnit::Gram), b"nan\r\n", &["fault"]);
}

// github.com/bogde/HX711/issues/216: a spike is a reading; judging it is the settler's.
#[test]
fn bare_numbers_ask_for_a_unit_and_are_all_readings_once_told() {
    let bytes = b"170.95\r\n171.04\r\n-143.37\r\n171.36\r\n";
    check(
        alone(),
        bytes,
        &[
            "rejected: the number 170.95 has no unit",
            "rejected: the number 171.04 has no unit",
            "rejected: the number -143.37 has no unit",
            "rejected: the number 171.36 has no unit",
        ],
    );
    check(
        told(MassUnit::Gram),
        bytes,
        &["170.95 g", "171.04 g", "-143.37 g", "171.36 g"],
    );
}

// A public question; the second number is another sensor.
#[test]
fn two_numbers_ask_which_is_the_weight() {
    let bytes = b"34.78,2.30\r\n170.57,2.60\r\n";
    let several = [
        "rejected: several numbers: 34.78, 2.30",
        "rejected: several numbers: 170.57, 2.60",
    ];
    check(alone(), bytes, &several);
    check(told(MassUnit::Gram), bytes, &several);
    check(with("numbers-first"), bytes, &["34.78 g", "170.57 g"]);
    assert_eq!(doctor(alone(), bytes), [Finding::NeedsField]);
}

// A public question: what the display shows, after a `D`.
#[test]
fn a_displayed_word_below_zero_is_under() {
    check(alone(), b"D NEG.\r\nDNEG.\r\n", &["under", "under"]);
    check(told(MassUnit::Gram), b"D    NEG.\r\n", &["under"]);
}

// github.com/serialport/node-serialport/issues/1385.
#[test]
fn a_weight_in_three_reads_is_one_reading() {
    let parts: [&[u8]; 3] = [b"  12", b"3.4", b" g\r\n"];
    for decoder in [alone(), told(MassUnit::Gram)] {
        let got = decode(decoder, parts);
        let whole = decode(alone(), [&b"  123.4 g\r\n"[..]]);
        assert_eq!(got, whole);
        assert!(matches!(got.as_slice(), [Decoded::Reading(_)]));
    }
}

// A public question about a load-cell converter: raw values of one quiet load.
#[test]
fn two_clean_levels_x_and_2x_are_a_slipping_bit() {
    let lines = b"-130000\r\n-260010\r\n-130020\r\n-129990\r\n-260030\r\n-260000\r\n-130010\r\n";
    assert_eq!(
        decode(told(MassUnit::Gram), [&lines[..]])
            .iter()
            .filter(|decoded| matches!(decoded, Decoded::Reading(_)))
            .count(),
        7
    );
    let findings = doctor(told(MassUnit::Gram), lines);
    assert!(
        matches!(findings.as_slice(), [Finding::BitSlips { .. }]),
        "{findings:?}"
    );
    let told_to_the_person = findings[0].to_string();
    assert!(
        told_to_the_person.ends_with("a bit slips"),
        "{told_to_the_person}"
    );
}

#[test]
fn putting_the_same_again_on_the_pan_is_no_slipping_bit() {
    let lines = b"100\r\n100\r\n100\r\n100\r\n200\r\n200\r\n200\r\n200\r\n";
    assert_eq!(doctor(told(MassUnit::Gram), lines), []);
}

// Seven bits with odd parity as eight: what is left of the first line shows its parity as any line does, and heads are
// seen through it.
#[test]
fn the_end_of_a_first_line_shows_its_parity_and_heads_are_seen_through_it() {
    let seven = |text: &[u8]| -> Vec<u8> {
        let odd = |&byte: &u8| {
            if byte.count_ones() % 2 == 0 {
                byte | 0x80
            } else {
                byte
            }
        };
        text.iter().map(odd).collect()
    };
    let opened = || {
        let mut decoder = with("seven-bits-odd");
        decoder.reset();
        decoder
    };
    let torn = seven(b"2.30 g \r\n");
    let even = b"  12.30 g\r\n";
    check(
        opened(),
        &[torn.as_slice(), even].concat(),
        &["rejected: a torn frame", "rejected: wrong parity"],
    );
    check(
        opened(),
        &seven(b"ST,GS,+  12.30 g\r\n"),
        &["12.30 g stable"],
    );
}
