//! How hard a push has to be.

use tarehand_protocol::Mass;

/// A push of less is a sleeve or a cable (our own choice).
const LEAST: Mass = Mass::from_grams(3);
/// So many bands of a quiet pan are no accident (our own choice).
const BANDS: i64 = 8;
/// Of how hard this person usually taps a push must have at least this much (our own choice).
const SHARE: f64 = 0.25;
/// How much a new tap says about how hard this person usually taps.
const NEWS: f64 = 0.2;

/// How hard a push has to be, learnt from the taps that were taken.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Strength {
    /// The logarithm of the usual push in grams; an estimate.
    usual_ln: Option<f64>,
}

impl Strength {
    /// Returns the least push that counts on a pan whose quiet readings lie within `band`.
    pub(super) fn least(self, band: Mass) -> Mass {
        let bands = Mass::from_micrograms(band.micrograms().saturating_mul(BANDS));
        let learnt = self.usual_ln.map_or(Mass::ZERO, |usual| {
            Mass::from_estimated_grams(usual.exp() * SHARE)
        });
        LEAST.max(bands).max(learnt)
    }

    /// Learns from a tap that was taken.
    pub(super) fn learn(&mut self, push: Mass) {
        let push = push.grams().max(LEAST.grams()).ln();
        self.usual_ln = Some(match self.usual_ln {
            None => push,
            Some(usual) => usual + NEWS * (push - usual),
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn who_taps_hard_is_not_answered_by_a_touch() {
        let band = Mass::from_milligrams(100);
        let mut strength = Strength::default();
        assert_eq!(strength.least(band), LEAST);
        for _ in 0..10 {
            strength.learn(Mass::from_grams(80));
        }
        let least = strength.least(band);
        assert!(
            Mass::from_grams(15) < least && least < Mass::from_grams(25),
            "{least}"
        );
        // Taught softness is forgotten hardness.
        for _ in 0..40 {
            strength.learn(Mass::from_grams(5));
        }
        assert_eq!(strength.least(band), LEAST);
    }

    #[test]
    fn a_restless_pan_needs_a_harder_push() {
        let strength = Strength::default();
        assert_eq!(strength.least(Mass::from_grams(2)), Mass::from_grams(16));
    }
}
