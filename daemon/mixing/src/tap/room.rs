//! Which scales may be tapped on: a push must never be more than the scale carries.

use tarehand_protocol::Mass;

/// A scale that carries less is small: on it a firm push is half of what it carries (our own choice).
const SMALL: Mass = Mass::from_grams(1_000);
/// A firm push is no more than this (our own guess, made wide).
const PUSH: Mass = Mass::from_grams(500);
/// So much of what a scale carries is left free, where that is more than a push (our own choice).
const FREE: i64 = 4;
/// A division finer than this is that of a scale which often carries only some hundred grams (common practice).
const FINE: Mass = Mass::from_milligrams(50);

/// Returns the most that may stand on the pan of a scale while it is listened to for taps; `None` for a small scale,
/// on which nobody is to push at all.
///
/// A scale whose capacity nobody told is small when its division is fine, or not known yet.
#[must_use]
pub fn most_under_taps(capacity: Option<Mass>, division: Option<Mass>) -> Option<Mass> {
    let Some(capacity) = capacity else {
        return division
            .is_some_and(|division| FINE <= division)
            .then_some(Mass::LIMIT);
    };
    let free = PUSH.max(Mass::from_micrograms(capacity.micrograms() / FREE));
    (SMALL <= capacity).then(|| capacity - free)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_small_scale_is_never_tapped_on() {
        let small = Some(Mass::from_grams(600));
        assert_eq!(most_under_taps(small, Some(Mass::from_grams(1))), None);
        assert_eq!(most_under_taps(None, Some(Mass::from_milligrams(10))), None);
        assert_eq!(most_under_taps(None, None), None);
    }

    #[test]
    fn room_for_a_push_is_left_below_what_a_scale_carries() {
        let most = |grams| most_under_taps(Some(Mass::from_grams(grams)), None);
        assert_eq!(most(1_000), Some(Mass::from_grams(500)));
        assert_eq!(most(5_000), Some(Mass::from_grams(3_750)));
        let tenth = Some(Mass::from_milligrams(100));
        assert_eq!(most_under_taps(None, tenth), Some(Mass::LIMIT));
    }
}
