//! Teaching a scale from a minute of what it sent: under two seconds on one core.

use criterion::{Criterion, criterion_group, criterion_main};
use tarehand_protocol::scale::capture::{Capture, Captured, Moment};
use tarehand_protocol::scale::teach::{Lesson, teach};
use tarehand_protocol::{Mass, MassUnit};

/// A minute of 20 frames a second, of 14 bytes with a counter, a second sensor and a check.
fn minute() -> Lesson {
    let mut moments = Vec::new();
    let mut now = 0_u32;
    for frame in 0..1_200_u32 {
        let at_us = u64::from(frame) * 50_000;
        let weight = [0, 10_013, 25_021, 39_987, 0][frame as usize / 240];
        if frame % 240 == 12 {
            let pan = Mass::from_milligrams(i64::from(weight) * 10);
            moments.push(Moment {
                at_us,
                what: Captured::Pan(pan),
            });
        }
        now = (now * 2 + weight * 3) / 5 + u32::from(now < weight);
        let now = if now.abs_diff(weight) < 4 {
            weight
        } else {
            now
        };
        let mut bytes = vec![0xa5, 0x10];
        bytes.extend((now + frame % 2).to_le_bytes());
        bytes.extend([(frame & 0xff) as u8, 0x01]);
        bytes.extend((3_000 + frame % 17).to_le_bytes());
        bytes.push(if now == weight { 0x40 } else { 0x00 });
        bytes.push(bytes.iter().fold(0, |all, byte| all ^ byte));
        moments.push(Moment {
            at_us,
            what: Captured::Bytes(bytes),
        });
    }
    let capture = Capture {
        device: String::new(),
        moments,
    };
    Lesson::new(MassUnit::Gram).hear(&capture, &[])
}

fn bench(criterion: &mut Criterion) {
    let lesson = minute();
    let mut group = criterion.benchmark_group("teach");
    group.sample_size(10);
    group.bench_function("a minute of bits", |bencher| {
        bencher.iter(|| teach(&lesson))
    });
    group.finish();
}

criterion_group!(benches, bench);
criterion_main!(benches);
