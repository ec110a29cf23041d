//! Indications of Bluetooth's Weight Scale Service.

use tarehand_protocol::scale::weight_service::{Feature, Measurement};
use tarehand_protocol::scale::{Decoded, Decoder, Why};
use tarehand_protocol::{MassUnit, Reading};

use super::run;

pub(crate) fn holds(packet: &[u8]) {
    let decoder = Decoder::weight_service();
    let got = run::of_packet(&decoder, packet);
    assert_eq!(got.len(), 1);
    got.iter().for_each(run::an_outcome_says_what_it_is);
    let whole = length(packet).is_some_and(|length| length <= packet.len());
    match got.as_slice() {
        [Decoded::Reading(Reading::Weight(weighed))] => {
            assert!(whole);
            assert_eq!(weighed.gross.micrograms(), micrograms(packet));
        }
        [Decoded::Reading(Reading::NoWeight(_))] => assert!(whole),
        _ => assert!(!whole),
    }
    // Cut off within what its flags say, it is none.
    if let Some(length) = length(packet).filter(|_| whole) {
        for end in 0..length {
            assert_eq!(Measurement::decode(&packet[..end]), Err(Why::Torn));
        }
    }
    let stream = run::outcomes(&decoder, [packet]);
    assert_eq!(run::weights(&stream), []);
    if let Some(feature) = Feature::decode(packet) {
        for unit in MassUnit::ALL {
            assert!(
                feature
                    .division(unit)
                    .is_none_or(|step| 0 < step.micrograms())
            );
        }
    }
}

/// How long it is by its flags: GATT Specification Supplement, Weight Measurement.
fn length(packet: &[u8]) -> Option<usize> {
    let flags = packet.first()?;
    let parts =
        [(2, 7), (4, 1), (8, 4)].map(|(flag, length)| if flags & flag == 0 { 0 } else { length });
    Some(3 + parts.iter().sum::<usize>())
}

/// Steps of 0.005 kg, or of 0.01 lb of 453.59237 g each, rounded half to even.
fn micrograms(packet: &[u8]) -> i64 {
    let weight = i64::from(packet[1]) + 256 * i64::from(packet[2]);
    if packet[0] & 1 == 0 {
        return weight * 5_000_000;
    }
    let tenths = weight * 45_359_237;
    let (whole, rest) = (tenths / 10, tenths % 10);
    whole + i64::from(5 < rest || (rest == 5 && whole % 2 == 1))
}
