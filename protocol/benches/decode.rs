//! Built-in shapes against regular expressions, on the same lines and to the same readings.
//!
//! The decoder's side includes finding the lines in the stream; the other side gets them cut.

use std::hint::black_box;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use regex::bytes::{Captures, Regex};
use tarehand_protocol::scale::profile::Layout;
use tarehand_protocol::scale::{Decoded, Decoder, Profile, Settings, Shape};
use tarehand_protocol::{Basis, Decimal, MassUnit, Motion, Reading, Sent, Weighed};

const LINES: u32 = 1_000;

struct Case {
    name: &'static str,
    decoder: Decoder,
    pattern: Regex,
    line: fn(u32) -> String,
}

fn cases() -> Vec<Case> {
    let told = |shape| {
        let settings = Settings {
            layout: Layout::Shape(shape, 1),
            ..Settings::named("bench")
        };
        Decoder::of(&Profile::from_settings(&settings).expect("the settings are right"))
    };
    let pattern = |text: &str| Regex::new(text).expect("the pattern is right");
    vec![
        Case {
            name: "status head",
            decoder: told(Shape::StatusHead),
            pattern: pattern(
                r"(?-u)\A(?<state>ST|US),(?:GS),(?<sign>[-+]) *(?<weight>[\d.]+) *(?<unit>[a-z]+)\z",
            ),
            line: |at| format!("ST,GS,+{:>7}.{:02} g\r\n", at % 300, at % 100),
        },
        Case {
            name: "fourteen bytes",
            decoder: told(Shape::Lettered),
            pattern: pattern(
                r"(?-u)\A:W(?<sign>[-+ ]) *(?<weight>[\d.]+)(?<unit>[a-z]{2})(?<state>[SUM]) \z",
            ),
            line: |at| format!(":W {:>3}.{:02}kgS \r", at % 300, at % 100),
        },
        Case {
            name: "number and unit",
            decoder: told(Shape::Number),
            pattern: pattern(r"(?-u)\A *(?<sign>[-+]?) *(?<weight>[\d.]+) *(?<unit>[a-z]+) *\z"),
            line: |at| format!("{:>6}.{:02} g\r\n", at % 300, at % 100),
        },
        Case {
            name: "number and unit, tolerant",
            decoder: Decoder::tolerant(None),
            pattern: pattern(r"(?-u)\A *(?<sign>[-+]?) *(?<weight>[\d.]+) *(?<unit>[a-z]+) *\z"),
            line: |at| format!("{:>6}.{:02} g\r\n", at % 300, at % 100),
        },
    ]
}

fn by_regex(pattern: &Regex, line: &[u8]) -> Option<Reading> {
    let captures = pattern.captures(line)?;
    let group = |name: &str| Captures::name(&captures, name).map(|found| found.as_bytes());
    let number = Decimal::parse(group("weight")?, b'.').ok()?;
    let number = match group("sign") {
        Some(b"-") => Decimal::new(-number.mantissa(), number.scale())?,
        _ => number,
    };
    let sent = Sent::Single(number, MassUnit::from_word(group("unit")?)?);
    Some(Reading::Weight(Weighed {
        gross: sent.mass()?,
        sent,
        basis: Basis::Gross,
        motion: match group("state") {
            Some(b"ST" | b"S") => Motion::Stable,
            Some(_) => Motion::Moving,
            None => Motion::Unknown,
        },
    }))
}

fn decode(criterion: &mut Criterion) {
    for case in cases() {
        let lines: Vec<String> = (0..LINES).map(case.line).collect();
        let stream = lines.concat().into_bytes();
        let cut: Vec<&[u8]> = lines
            .iter()
            .map(|line| line.trim_end_matches(['\r', '\n']).as_bytes())
            .collect();
        let mut decoder = case.decoder.clone();
        let mut ours = Vec::new();
        decoder.push(&stream, &mut |decoded| match decoded {
            Decoded::Reading(reading) => ours.push(Some(reading)),
            Decoded::Rejected(_) => ours.push(None),
        });
        let theirs: Vec<Option<Reading>> = cut
            .iter()
            .map(|line| by_regex(&case.pattern, line))
            .collect();
        assert_eq!(ours, theirs, "both sides give the same readings");
        assert!(ours.iter().all(Option::is_some), "every line is read");

        let mut group = criterion.benchmark_group(case.name);
        group.throughput(Throughput::Elements(u64::from(LINES)));
        group.bench_function("shape", |bencher| {
            bencher.iter(|| {
                decoder.push(black_box(&stream), &mut |decoded| {
                    black_box(decoded);
                });
            });
        });
        group.bench_function("regex", |bencher| {
            bencher.iter(|| {
                for line in black_box(&cut) {
                    black_box(by_regex(&case.pattern, line));
                }
            });
        });
        group.finish();
    }
}

criterion_group!(benches, decode);
criterion_main!(benches);
