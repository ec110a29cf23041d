//! The weight over time, as it is kept with a batch: thinned as it comes, and never without a settled weight.

use std::time::Duration;

use tarehand_mixing::tick::Tick;
use tarehand_protocol::Mass;

use crate::log::{BatchId, Sample};

/// Of a weight that moves, samples are kept at least so far apart (our own choice: a pour of two seconds has twenty).
const MOVING: Duration = Duration::from_millis(100);
/// Of a weight that stays, one is kept so often.
const STILL: Duration = Duration::from_secs(5);
/// So many are written at once: a bench that weighs all day writes a few times a minute.
const PIECE: usize = 256;

/// Samples that wait to be written.
#[derive(Debug, Default)]
pub(super) struct Traced {
    batch: Option<BatchId>,
    waiting: Vec<Sample>,
    last: Option<(Tick, Mass)>,
}

/// A piece of a batch's trace.
pub(super) type Piece = (BatchId, Vec<Sample>);

/// Whether a weight has just settled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// It has: it is always kept.
    Settled,
    /// One of many.
    Passing,
}

impl Traced {
    /// Hears a weight of a batch, and returns what is to be written now.
    pub(super) fn hear(
        &mut self,
        batch: BatchId,
        at: Tick,
        gross: Mass,
        kind: Kind,
    ) -> Option<Piece> {
        let before = (self.batch != Some(batch)).then(|| self.take()).flatten();
        if before.is_some() || self.batch.is_none() {
            *self = Self {
                batch: Some(batch),
                ..Self::default()
            };
        }
        let due = self.last.is_none_or(|(then, known)| {
            let apart = if known == gross { STILL } else { MOVING };
            apart <= at.since(then)
        });
        if due || kind == Kind::Settled {
            self.last = Some((at, gross));
            self.waiting.push(Sample {
                tick_us: i64::try_from(at.micros()).unwrap_or(i64::MAX),
                gross_ug: gross.micrograms(),
            });
        }
        let full = (PIECE <= self.waiting.len()).then(|| self.take()).flatten();
        before.or(full)
    }

    /// Returns what waits: a batch has ended, or the service does.
    pub(super) fn take(&mut self) -> Option<Piece> {
        let batch = self.batch?;
        let waiting = std::mem::take(&mut self.waiting);
        (!waiting.is_empty()).then_some((batch, waiting))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BATCH: BatchId = BatchId::from_number(1);

    fn at(millis: u64) -> Tick {
        Tick::from_millis(millis)
    }

    #[test]
    fn a_still_weight_is_kept_seldom_a_moving_one_often_and_a_settled_one_always() {
        let mut traced = Traced::default();
        let gram = Mass::from_grams(1);
        for step in 0..100 {
            assert!(
                traced
                    .hear(BATCH, at(step * 100), gram, Kind::Passing)
                    .is_none()
            );
        }
        assert_eq!(traced.take().unwrap().1.len(), 2, "10 s of rest");
        for step in 100..200 {
            let gross = Mass::from_milligrams(i64::try_from(step).unwrap());
            assert!(
                traced
                    .hear(BATCH, at(10_000 + step * 12), gross, Kind::Passing)
                    .is_none()
            );
        }
        let moving = traced.take().unwrap().1.len();
        assert!(
            (11..=13).contains(&moving),
            "1.2 s of pouring at 80 Hz: {moving}"
        );
        let settled = traced.hear(BATCH, at(12_401), Mass::ZERO, Kind::Settled);
        assert!(settled.is_none());
        assert_eq!(traced.take().unwrap().1[0].gross_ug, 0);
    }

    #[test]
    fn another_jar_gets_a_trace_of_its_own_and_long_ones_are_written_in_pieces() {
        let mut traced = Traced::default();
        let other = BatchId::from_number(2);
        assert!(
            traced
                .hear(BATCH, at(0), Mass::ZERO, Kind::Settled)
                .is_none()
        );
        let piece = traced
            .hear(other, at(1), Mass::ZERO, Kind::Settled)
            .unwrap();
        assert_eq!((piece.0, piece.1.len()), (BATCH, 1));
        let pieces =
            (0..1_000).filter_map(|step| traced.hear(other, at(step), Mass::ZERO, Kind::Settled));
        assert_eq!(pieces.count(), 3);
    }
}
