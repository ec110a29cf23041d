//! Bluetooth's Weight Scale Service, by the GATT Specification Supplement.

use proptest::collection::vec;
use proptest::prelude::*;
use tarehand_protocol::scale::weight_service::{Measurement, TimeStamp};
use tarehand_protocol::scale::{Decoder, Why};

use crate::line::describe;

#[track_caller]
fn check(packet: &[u8], expect: &str) {
    let mut all = Vec::new();
    Decoder::weight_service().packet(packet, &mut |decoded| all.push(describe(&decoded)));
    assert_eq!(all, [expect], "{packet:02x?}");
}

// github.com/sputnikdev/eclipse-smarthome-bluetooth-binding/issues/42: bits 5 and 7 are reserved.
#[test]
fn indications_of_a_public_question_are_read() {
    let packet = [0xa2, 0x4c, 0x63, 0xe2, 0x07, 0x02, 0x01, 0x0f, 0x2f, 0x1c];
    check(&packet, "127.100 kg");
    let time = Measurement::decode(&packet).unwrap().time;
    let expect = TimeStamp {
        year: 2018,
        month: 2,
        day: 1,
        hour: 15,
        minute: 47,
        second: 28,
    };
    assert_eq!(time, Some(expect));
    check(
        &[0xa2, 0x80, 0x02, 0xe2, 0x07, 0x02, 0x01, 0x0f, 0x35, 0x04],
        "3.200 kg",
    );
}

// GATT Specification Supplement, Weight Measurement.
#[test]
fn both_units_and_a_failure_are_read() {
    check(&[0x00, 0xf4, 0x01], "2.500 kg");
    check(&[0x01, 0xd0, 0x07], "20.00 lb");
    check(&[0x00, 0xff, 0xff], "fault");
    check(&[0x01, 0xff, 0xff], "fault");
    check(&[0x0c, 0xf4, 0x01, 0x02, 0, 0, 0, 0], "2.500 kg");
}

#[test]
fn too_short_for_its_flags_is_rejected_whole() {
    check(&[0x02, 0xc8, 0x00, 0xe9, 0x07], "rejected: a torn frame");
    check(&[], "rejected: a torn frame");
    check(&[0x00, 0xc8], "rejected: a torn frame");
    check(&[0x04, 0xc8, 0x00], "rejected: a torn frame");
    check(&[0x08, 0xc8, 0x00, 0, 0, 0], "rejected: a torn frame");
    check(&[0x0c, 0xc8, 0x00, 1, 0, 0, 0], "rejected: a torn frame");
}

#[test]
fn bytes_of_a_stream_are_not_indications() {
    let mut all = Vec::new();
    Decoder::weight_service().push(&[0x00, 0xf4, 0x01], &mut |decoded| {
        all.push(describe(&decoded))
    });
    assert_eq!(
        all,
        ["rejected: the profile is for whole packets, and these bytes came as a stream"]
    );
}

proptest! {
    #[test]
    fn any_cut_is_torn_and_any_bytes_are_bounded(packet in vec(any::<u8>(), 0..32), flags in 0_u8..16) {
        let _outcome = Measurement::decode(&packet);
        let needs = 3
            + if flags & 2 == 0 { 0 } else { 7 }
            + if flags & 4 == 0 { 0 } else { 1 }
            + if flags & 8 == 0 { 0 } else { 4 };
        let mut packet = packet;
        packet.resize(needs, 0x01);
        packet[0] = flags;
        prop_assert!(Measurement::decode(&packet).is_ok());
        for cut in 0..needs {
            prop_assert_eq!(Measurement::decode(&packet[..cut]), Err(Why::Torn));
        }
    }
}
