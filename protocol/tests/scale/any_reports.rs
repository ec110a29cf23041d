//! Any report that a descriptor can say, built here bit by bit.

use proptest::collection::vec;
use proptest::prelude::*;
use tarehand_protocol::scale::Decoded;
use tarehand_protocol::scale::hid::Reports;
use tarehand_protocol::{Mass, Motion, Reading};

/// A part of a report.
#[derive(Clone, Copy, Debug)]
enum Part {
    Weight { bits: u8, signed: bool },
    Scaling { bits: u8 },
    Unit { bits: u8 },
    Status { bits: u8 },
    Padding { bits: u8 },
}

/// Bits, the least first.
#[derive(Default)]
struct Bits(Vec<bool>);

impl Bits {
    fn add(&mut self, value: i64, count: u8) {
        self.0.extend((0..count).map(|bit| value >> bit & 1 == 1));
    }

    fn bytes(&self) -> Vec<u8> {
        let byte = |bits: &[bool]| {
            bits.iter()
                .rev()
                .fold(0, |all, &bit| all * 2 + u8::from(bit))
        };
        self.0.chunks(8).map(byte).collect()
    }
}

fn parts() -> impl Strategy<Value = Vec<Part>> {
    let all = (
        4_u8..=32,
        any::<bool>(),
        4_u8..=8,
        4_u8..=16,
        4_u8..=8,
        vec(1_u8..=32, 0..4),
    );
    let all = all.prop_map(|(weight, signed, scaling, unit, status, paddings)| {
        let mut parts = vec![
            Part::Weight {
                bits: weight,
                signed,
            },
            Part::Scaling { bits: scaling },
            Part::Unit { bits: unit },
            Part::Status { bits: status },
        ];
        parts.extend(paddings.into_iter().map(|bits| Part::Padding { bits }));
        parts
    });
    all.prop_shuffle()
}

fn descriptor(parts: &[Part], id: Option<u8>) -> Vec<u8> {
    let mut bytes = vec![0x05, 0x8d, 0x09, 0x20, 0xa1, 0x01, 0x95, 0x01];
    if let Some(id) = id {
        bytes.extend([0x85, id]);
    }
    for &part in parts {
        let (usage, bits, least) = match part {
            Part::Weight { bits, signed } => (0x40, bits, if signed { 0x80 } else { 0 }),
            Part::Scaling { bits } => (0x41, bits, 0),
            Part::Unit { bits } => (0x50, bits, 0),
            Part::Status { bits } => (0x70, bits, 0),
            Part::Padding { bits } => {
                bytes.extend([0x75, bits, 0x81, 0x03]);
                continue;
            }
        };
        bytes.extend([0x15, least, 0x75, bits, 0x09, usage, 0x81, 0x02]);
    }
    bytes.push(0xc0);
    bytes
}

proptest! {
    #[test]
    fn any_report_decodes_to_its_weight(
        parts in parts(), id in prop::option::of(1_u8..), raw: i64, tens in -6_i64..=2, moving: bool,
    ) {
        let mut bits = Bits::default();
        let mut whole = 0;
        for &part in &parts {
            match part {
                Part::Weight { bits: count, signed } => {
                    whole = raw & ((1 << count) - 1);
                    bits.add(whole, count);
                    if signed && whole >> (count - 1) == 1 {
                        whole -= 1 << count;
                    }
                }
                Part::Scaling { bits: count } => bits.add(tens, count),
                Part::Unit { bits: count } => bits.add(2, count),
                Part::Status { bits: count } => bits.add(if moving { 3 } else { 4 }, count),
                Part::Padding { bits: count } => bits.add(raw, count),
            }
        }
        let mut report: Vec<u8> = id.into_iter().collect();
        report.extend(bits.bytes());
        let reports = Reports::find(&descriptor(&parts, id)).unwrap();
        let micrograms = i128::from(whole) * 10_i128.pow(u32::try_from(tens + 6).unwrap());
        let micrograms = i64::try_from(micrograms).unwrap();
        match reports.decode(&report) {
            Some(Decoded::Reading(Reading::Weight(weighed))) => {
                prop_assert_eq!(weighed.gross, Mass::from_micrograms(micrograms));
                let motion = if moving { Motion::Moving } else { Motion::Stable };
                prop_assert_eq!(weighed.motion, motion);
            }
            other => {
                let limit = Mass::LIMIT.micrograms();
                prop_assert!(limit < micrograms.abs(), "{:?}", other);
            }
        }
        // A report that is cut off gives nothing else.
        let cut = report.len() - 1;
        let needed = parts.iter().rev().take_while(|part| matches!(part, Part::Padding { .. })).count();
        if needed == 0 {
            let got = reports.decode(&report[..cut]);
            prop_assert!(!matches!(got, Some(Decoded::Reading(_))), "{:?}", got);
        }
    }

    #[test]
    fn any_descriptor_and_any_report_are_taken_without_panic(
        descriptor in vec(prop_oneof![
            any::<u8>(),
            prop::sample::select(vec![
                0x05, 0x8d, 0x09, 0x20, 0xa1, 0x01, 0x40, 0x41, 0x50, 0x70, 0x75, 0x95, 0x81, 0x02, 0x85, 0xc0,
            ]),
        ], 0..200),
        report in vec(any::<u8>(), 0..40),
    ) {
        let whole = [&[0x05, 0x8d, 0x09, 0x20, 0xa1, 0x01, 0x09, 0x40, 0x75, 0x10, 0x95, 0x01, 0x81, 0x02], descriptor.as_slice()].concat();
        for bytes in [&descriptor, &whole] {
            if let Ok(reports) = Reports::find(bytes) {
                let _outcome = reports.decode(&report);
                let _capacity = reports.capacity(&report);
                let _division = reports.division(&report);
            }
        }
    }
}
