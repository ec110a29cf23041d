//! When a scale speaks: all the time, or only when the weight has changed.

use tarehand_protocol::scale::capture::{Captured, Moment};
use tarehand_protocol::scale::profile::Reports;

/// A scale that is silent for so long while something stands still does not speak all the time: the slowest that do
/// send every three seconds (the double's own range; our own choice).
const SILENT_US: u64 = 4_000_000;
/// So many things must have stood in silence.
const ENOUGH: usize = 3;

/// Returns when the scale speaks, as far as what was heard tells.
pub(super) fn reports(moments: &[Moment]) -> Reports {
    let (mut stood, mut silent) = (0, 0);
    let mut standing = None;
    let mut last_us = None;
    for moment in moments {
        match moment.what {
            Captured::Pan(_) => {
                stood += 1;
                standing = Some(Silence::NotYet);
            }
            Captured::Hand(_) => {
                // The silence of what stood may last until the next bytes come.
                standing = standing.map(|_| Silence::Over);
            }
            Captured::Display(_) => {}
            Captured::Bytes(_) | Captured::Packet(_) => {
                let quiet = last_us.is_some_and(|last| last + SILENT_US <= moment.at_us);
                if quiet && standing.is_some() {
                    silent += 1;
                    standing = None;
                } else if standing == Some(Silence::Over) {
                    standing = None;
                }
                last_us = Some(moment.at_us);
            }
        }
    }
    // Of the last thing nobody knows what would have come.
    match ENOUGH <= silent && stood <= silent + 1 {
        true => Reports::OnChange,
        false => Reports::Stream,
    }
}

/// Whether a silence may still be that of what stands on the pan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Silence {
    NotYet,
    Over,
}

#[cfg(test)]
mod tests {
    use tarehand_protocol::Mass;
    use tarehand_protocol::scale::capture::Hand;

    use super::*;

    /// Four things that stand for ten seconds each, with so many bytes, so far apart, from when they are put on.
    fn lesson(count: u64, apart_us: u64) -> Vec<Moment> {
        let mut moments = Vec::new();
        for grams in 0..4_u64 {
            let from_us = grams * 10_000_000;
            let mut say = |at_us, what| moments.push(Moment { at_us, what });
            say(
                from_us,
                Captured::Pan(Mass::from_grams(i64::try_from(grams).unwrap())),
            );
            for at in 0..count {
                say(from_us + at * apart_us, Captured::Bytes(vec![0]));
            }
            say(from_us + count * apart_us, Captured::Hand(Hand::Busy));
        }
        moments
    }

    #[test]
    fn a_scale_that_is_silent_whenever_something_stands_speaks_on_change() {
        assert_eq!(reports(&lesson(12, 100_000)), Reports::OnChange);
        assert_eq!(reports(&lesson(99, 100_000)), Reports::Stream);
        assert_eq!(reports(&lesson(4, 2_500_000)), Reports::Stream);
        assert_eq!(reports(&[]), Reports::Stream);
    }
}
