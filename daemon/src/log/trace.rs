//! The weight over time, packed; kept apart from the journal.

use rusqlite::types::Type;
use rusqlite::{Connection, params};

use super::batch::BatchId;
use super::error::Fault;

/// One point of a weight trace.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sample {
    /// When, in microseconds of bench time.
    pub tick_us: i64,
    /// The gross weight in micrograms.
    pub gross_ug: i64,
}

#[derive(Debug, thiserror::Error)]
#[error("a weight trace ends within a sample")]
struct Torn;

/// Writes one chunk of samples behind the others of its batch.
pub(super) fn append(conn: &Connection, batch: BatchId, samples: &[Sample]) -> Result<(), Fault> {
    if samples.is_empty() {
        return Ok(());
    }
    conn.prepare_cached(
        "INSERT INTO trace (batch, chunk, samples)
         SELECT ?1, coalesce(max(chunk) + 1, 0), ?2 FROM trace WHERE batch = ?1",
    )?
    .execute(params![batch.number(), pack(samples)])?;
    Ok(())
}

/// Returns all samples of a batch, in the order they were written.
pub(super) fn read(conn: &Connection, batch: BatchId) -> Result<Vec<Sample>, Fault> {
    let mut statement =
        conn.prepare_cached("SELECT samples FROM trace WHERE batch = ?1 ORDER BY chunk")?;
    let mut rows = statement.query([batch.number()])?;
    let mut samples = Vec::new();
    while let Some(row) = rows.next()? {
        let packed = row.get_ref(0)?.as_blob().map_err(rusqlite::Error::from)?;
        let chunk = unpack(packed).ok_or_else(|| {
            rusqlite::Error::FromSqlConversionFailure(0, Type::Blob, Box::new(Torn))
        })?;
        samples.extend(chunk);
    }
    Ok(samples)
}

/// Packs samples: each value as the difference to the one before, zigzag and base 128.
///
/// A quiet pan at 10 readings a second takes about four bytes a sample instead of sixteen.
fn pack(samples: &[Sample]) -> Vec<u8> {
    let mut bytes = Vec::with_capacity(samples.len() * 5);
    let mut before = Sample {
        tick_us: 0,
        gross_ug: 0,
    };
    for &sample in samples {
        push(&mut bytes, sample.tick_us.wrapping_sub(before.tick_us));
        push(&mut bytes, sample.gross_ug.wrapping_sub(before.gross_ug));
        before = sample;
    }
    bytes
}

/// Unpacks samples; `None` when the bytes end within one or a number is too long.
fn unpack(mut bytes: &[u8]) -> Option<Vec<Sample>> {
    let mut samples = Vec::new();
    let mut before = Sample {
        tick_us: 0,
        gross_ug: 0,
    };
    while !bytes.is_empty() {
        let sample = Sample {
            tick_us: before.tick_us.wrapping_add(take(&mut bytes)?),
            gross_ug: before.gross_ug.wrapping_add(take(&mut bytes)?),
        };
        samples.push(sample);
        before = sample;
    }
    Some(samples)
}

fn push(bytes: &mut Vec<u8>, value: i64) {
    let mut rest = value.wrapping_shl(1).cast_unsigned() ^ (value >> 63).cast_unsigned();
    loop {
        let [low, ..] = rest.to_le_bytes();
        rest >>= 7;
        if rest == 0 {
            bytes.push(low & 0x7F);
            return;
        }
        bytes.push(low | 0x80);
    }
}

fn take(bytes: &mut &[u8]) -> Option<i64> {
    let mut value: u64 = 0;
    for shift in (0..64).step_by(7) {
        let (&first, rest) = bytes.split_first()?;
        *bytes = rest;
        value |= u64::from(first & 0x7F) << shift;
        if first & 0x80 == 0 {
            return Some((value >> 1).cast_signed() ^ -(value & 1).cast_signed());
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn a_trace_is_unpacked_as_it_was_packed(values: Vec<(i64, i64)>) {
            let samples: Vec<Sample> =
                values.iter().map(|&(tick_us, gross_ug)| Sample { tick_us, gross_ug }).collect();
            prop_assert_eq!(unpack(&pack(&samples)), Some(samples));
        }

        #[test]
        fn unpacking_never_panics(bytes: Vec<u8>) {
            drop(unpack(&bytes));
        }
    }

    #[test]
    fn a_negative_difference_is_zigzag_and_base_128() {
        // The worked examples of the protocol buffers' encoding guide (from memory): sint64 -1 is
        // 0x01, 1 is 0x02, and the varint of 150 (which is zigzag of 75) is 0x96 0x01.
        let bytes = pack(&[
            Sample {
                tick_us: -1,
                gross_ug: 1,
            },
            Sample {
                tick_us: 74,
                gross_ug: 1,
            },
        ]);
        assert_eq!(bytes, [0x01, 0x02, 0x96, 0x01, 0x00]);
    }
}
